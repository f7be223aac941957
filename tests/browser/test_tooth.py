"""The ring of teeth and the flank unrolled, under a finger."""

import re

import pytest
from playwright.sync_api import expect

from .job_steps import Hand

DEVICES = ["tablet", "portrait", "phone"]


@pytest.fixture
def inspecting(open_device, bench_hand, make_batch):
    line = make_batch(2).lines.get()

    def at(device: str, part: str):
        hand = Hand(open_device(device))
        hand.sign_in("Bea")
        hand.open(f"/bench/{line}/inspect")
        hand.page.get_by_text(part).click()
        return hand.page

    return at


def press(page, *keys: str) -> None:
    for key in keys:
        page.locator(f".pad .key-{key}").tap()


@pytest.mark.parametrize("device", DEVICES)
def test_a_tooth_is_tapped_on_the_ring_and_the_next_follows_as_the_tool_is_turned(inspecting, device):
    page = inspecting(device, "Runout, tooth by tooth")
    page.get_by_role("link", name="Tooth 2").tap()
    expect(page.locator("#id_tooth_2")).to_be_focused()
    press(page, "2", "tenths", "sign", "next")
    expect(page.locator(".ring .here")).to_have_attribute("data-focus", "id_tooth_3")
    expect(page.locator(".ring [data-read=id_tooth_2]")).to_have_text("-2 tenths")
    sizes = [key.bounding_box() for key in page.locator(".ring circle.toothkey").all()]
    assert len(sizes) == 3
    assert min(min(b["width"], b["height"]) for b in sizes) >= 56


@pytest.mark.parametrize("device", DEVICES)
def test_damage_is_tapped_where_it_is_and_repeated_on_every_tooth(inspecting, device, axe):
    page = inspecting(device, "Damage, where it is")
    page.locator("#id_note").fill("typed before")
    cells = [cell.bounding_box() for cell in page.locator(".cell").all()]
    assert min(min(b["width"], b["height"]) for b in cells) >= 56
    page.get_by_role("button", name="Tooth 2, end to .0100").tap()
    expect(page.locator("#id_mark_1_depth")).to_be_focused()
    page.get_by_role("button", name="Tooth 2, .0200 in to .0400 in").tap()
    expect(page.locator("#id_mark_1_to")).to_have_value(".0400\u202fin")
    expect(page.locator("#id_mark_1_depth")).to_be_focused()
    press(page, "4", "thou")
    page.get_by_role("button", name="chip", exact=True).tap()
    page.get_by_role("button", name="Repeat on every tooth").tap()
    expect(page.locator("#id_mark_3_tooth")).to_have_value("3")
    rows = [
        [page.locator(f"#id_mark_{n}_{name}").input_value() for name in ("tooth", "from", "depth", "what")]
        for n in (1, 2, 3)
    ]
    assert rows == [[tooth, "0", "4 thou", "chip"] for tooth in ("2", "1", "3")]
    assert page.locator(".cell.deep-3").count() == 9
    expect(page.locator("#id_note")).to_have_value("typed before")
    assert axe(page) == []


def test_without_javascript_a_tap_on_the_flank_fills_the_row_too(open_device, bench_hand, make_batch):
    line = make_batch(2).lines.get()
    hand = Hand(open_device("tablet", java_script_enabled=False))
    hand.sign_in("Bea")
    hand.open(f"/bench/{line}/inspect")
    hand.fill(diameter=".2498")
    hand.page.get_by_text("Damage, where it is").click()
    with hand.page.expect_navigation():
        hand.page.get_by_role("button", name="Tooth 2, end to .0100").click()
    assert [hand.page.locator(f"#id_{name}").input_value() for name in ("diameter", "mark_1_tooth")] == [".2498", "2"]


def test_enter_in_a_field_keeps_and_taps_no_tooth(inspecting):
    page = inspecting("desk", "Damage, where it is")
    page.get_by_text("Three readings").click()
    page.locator("#id_diameter").fill(".2498")
    page.locator("#id_damage_depth").fill("4 thou")
    page.locator("#id_reach").fill(".060")
    with page.expect_navigation(url="**/plan"):
        page.locator("#id_reach").press("Enter")


def test_the_offered_size_is_as_marked_until_another_is_typed(inspecting):
    page = inspecting("tablet", "Three readings")
    measured, marked = page.get_by_label("measured", exact=True), page.get_by_label("as marked")
    marked.tap()
    expect(page.locator("#id_diameter")).to_have_value(re.compile("2500"))
    expect(marked).to_be_checked()
    page.locator("#id_diameter").fill(".2497")
    expect(measured).to_be_checked()
