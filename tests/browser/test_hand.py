"""Signing in with gloves: large keys, no barrier on any state, and handing over keeps the page."""

import pytest
from playwright.sync_api import expect

from regrind.shop.models import Person
from regrind.shop.people.tablet_actions import set_pin

from .job_steps import Hand

pytestmark = pytest.mark.django_db(transaction=True)
PINS = {"Bea": "2580", "Cara": "1397"}


@pytest.fixture
def enrolled(open_device, owner, bench_hand):
    """enrolled("phone") -> a device that the owner enrolled, with two people who have a PIN and nobody signed in."""
    Person.objects.create_user("Cara", "a long password", bench=True)
    for person in Person.objects.filter(name__in=PINS):
        set_pin(by=owner, person=person, pin=PINS[person.name])

    def enrol(device: str, **options) -> Hand:
        hand = Hand(open_device(device, **options))
        hand.sign_in("Oda")
        hand.open("/shop/tablets")
        hand.fill(name="By the window")
        hand.press("Enrol this tablet")
        hand.press("Hand over")
        return hand

    return enrol


def open_by_pin(page, name: str, pin: str) -> None:
    page.get_by_role("link", name=name).click()
    for digit in pin:
        page.locator(f"[data-digit='{digit}']").click()
    page.locator(".keys .next").click()


def test_handing_over_takes_a_name_a_pin_and_keeps_the_page(enrolled):
    page = enrolled("tablet").page
    open_by_pin(page, "Bea", PINS["Bea"])
    page.goto("/bench/setups")
    page.get_by_role("button", name="Hand over").click()
    open_by_pin(page, "Cara", PINS["Cara"])
    page.wait_for_url("**/bench/setups")
    expect(page.locator(".top .who")).to_contain_text("Cara")


@pytest.mark.parametrize("device", ["tablet", "portrait", "phone"])
def test_keys_are_made_for_a_gloved_thumb(enrolled, device):
    page = enrolled(device).page
    tile = page.locator(".tile").first.bounding_box()
    assert tile["height"] >= 96
    page.locator(".tile").first.click()
    for key in page.locator(".keys button").all():
        box = key.bounding_box()
        assert min(box["width"], box["height"]) >= 95.9, key.inner_text()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_state_has_a_barrier(enrolled, axe, scheme):
    page = enrolled("tablet", color_scheme=scheme).page
    found = {"who": axe(page)}
    page.locator(".tile").first.click()
    page.wait_for_load_state()
    found["keypad"] = axe(page)
    page.locator(".keys .next").click()
    expect(page.locator(".error, .notice.wrong").first).to_be_visible()
    found["nothing typed"] = axe(page)
    page.goto("/shop/who")
    open_by_pin(page, "Bea", "0001")
    expect(page.locator("[role=alert]")).to_contain_text("That PIN is wrong")
    found["wrong PIN"] = axe(page)
    page.goto("/shop/who")
    open_by_pin(page, "Bea", PINS["Bea"])
    page.wait_for_url("**/")
    page.goto("/shop/settings")
    found["denied"] = axe(page)
    assert {state: barriers for state, barriers in found.items() if barriers} == {}


def test_without_script_the_same_pages_are_plain_forms(enrolled):
    page = enrolled("tablet", java_script_enabled=False).page
    page.get_by_role("link", name="Bea").click()
    expect(page.locator(".keys")).to_be_hidden()
    page.locator("[name=pin]").fill(PINS["Bea"])
    page.get_by_role("button", name="Open the bench").click()
    expect(page.locator(".top .who")).to_contain_text("Bea")
