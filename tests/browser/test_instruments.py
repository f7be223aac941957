"""Gauges that send: a burst of keys or a line lands in the field in use, and never where a scan would go.

Formats are common practice: a figure alone, with leading zeros, with a channel before it, with its unit after it.
"""

import random
import re

import pytest
from playwright.sync_api import expect

from regrind.shop.models import Gauge
from tests.long_form import FULL

from .job_steps import Hand
from .key_sender import KeySender

BURSTS = 500 if FULL else 24
WHERE = "/bench/417-1/inspect"
TEETH = ("#id_tooth_1", "#id_tooth_2", "#id_tooth_3")
SERIAL = """Object.defineProperty(navigator, "serial", {value: {requestPort: async () => ({
    open: async ({baudRate}) => { window.baud = baudRate; },
    readable: new ReadableStream({start: port => {
        window.line = text => port.enqueue(new TextEncoder().encode(text)); }}) })}});"""


@pytest.fixture
def gauge():
    """gauge("Micrometer 2", sent_unit="mm") -> a gauge that sends as a keyboard."""

    def make(name: str, what: str = "micrometer", **values) -> Gauge:
        return Gauge.objects.create(name=name, what=what, resolution_nm=1_000, **{"sends": "keyboard", **values})

    return make


@pytest.fixture
def at_bench(open_device, bench_hand, make_batch):
    """at_bench() -> the inspection page of a line of three at a desk, its folds open and all its parts shown."""
    make_batch(3, number=417)

    def go(script: str = "") -> Hand:
        hand = Hand(open_device("desk"))
        if script:
            hand.page.add_init_script(script)
        hand.sign_in("Bea")
        hand.open(WHERE)
        hand.page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true })")
        hand.page.evaluate("document.querySelectorAll('.part').forEach(part => part.classList.add('wrong'))")
        return hand

    return go


def chosen(page, name: str) -> str:
    return page.locator(f"#id_{name} option:checked").inner_text().split(":")[0]


def alert(page):
    return page.locator("#scanned")


@pytest.mark.long
def test_bursts_land_in_the_field_in_use_and_scans_open_their_piece(at_bench, gauge):
    gauge("Indicator 9", "indicator", sent_unit="mm", sent_before="01A")
    page = at_bench().page
    sender, chance, wrong = KeySender(page), random.Random(417), []
    page.route(re.compile("/bench/piece/"), lambda route: route.fulfill(status=204))
    for number in range(BURSTS):
        figure, field = f"{chance.randrange(1, 900) / 1000:.3f}", chance.choice(TEETH)
        page.locator(field).focus()
        sender.send(f"01A+0000{figure}", end=chance.choice(["Enter", "Tab"]))
        value = page.locator(field).input_value()
        wrong += [] if value == f"{figure} mm" else [(number, field, figure, value)]
        with page.expect_request(lambda request: request.is_navigation_request()) as asked:
            sender.send(f"B417-1-{number % 3 + 1}")
        wrong += [] if asked.value.url.endswith(f"/417-1-{number % 3 + 1}") else [(number, asked.value.url)]
    assert wrong == []
    assert page.url.endswith(WHERE)


def test_a_burst_goes_from_tooth_to_tooth_and_names_its_gauge(at_bench, gauge):
    gauge("Indicator 9", "indicator", sent_unit="mm")
    page = at_bench().page
    sender = KeySender(page)
    page.locator(TEETH[0]).focus()
    for figure in ("0.002", "-0.013", "0.040"):
        sender.send(figure, later_ms=2000)
    assert [page.locator(tooth).input_value() for tooth in TEETH] == ["0.002 mm", "-0.013 mm", "0.040 mm"]
    expect(page.locator("#id_tooth_2_from")).to_have_text("from Indicator 9")
    assert chosen(page, "indicator") == "Indicator 9"
    assert chosen(page, "gauge") == "not recorded"
    expect(page.locator("#id_tooth_2_echo")).to_contain_text("−13 µm")


def test_of_two_gauges_that_send_alike_the_chosen_one_is_meant(at_bench, gauge):
    gauge("Micrometer 1", sent_unit="in")
    gauge("Micrometer 2", sent_unit="mm", sent_mark=",")
    gauge("Micrometer 3", sent_unit="mm")
    page = at_bench().page
    sender = KeySender(page)
    for choose, figure, value in (
        ("Micrometer 3", "6.345", "6.345 mm"),
        ("Micrometer 1", ".2498", ".2498 in"),
        ("Micrometer 1", "6,345", "6.345 mm"),  # only the second sends a comma
    ):
        page.locator("#id_gauge").select_option(label=f"{choose}: not calibrated")
        page.locator("#id_diameter").focus()
        sender.send(figure, later_ms=2000)
        expect(page.locator("#id_diameter")).to_have_value(value)
    assert chosen(page, "gauge") == "Micrometer 2"


@pytest.mark.parametrize(
    ("values", "bursts", "value", "said"),
    [
        ({"sent_unit": "mm"}, ["6.345", "6.345"], "6.345 mm", "sent 6.345 twice. It was entered once."),
        ({"sent_unit": "mm"}, ["6.345in"], ".2498 in", "sent in, and is in the register with mm"),
        ({"sent_unit": ""}, ["6.345"], ".2498 in", "sent no unit"),
        ({"sent_unit": ""}, ["6.345mm"], "6.345 mm", ""),
    ],
    ids=["sent twice", "wrong unit", "no unit", "its own unit"],
)
def test_what_a_gauge_sends_wrongly_is_said_and_not_entered(at_bench, gauge, values, bursts, value, said):
    gauge("Micrometer 2", **values)
    page = at_bench().page
    page.locator("#id_diameter").fill(".2498 in")
    sender = KeySender(page)
    for burst in bursts:
        sender.send(burst)
    expect(page.locator("#id_diameter")).to_have_value(value)
    if said:
        expect(alert(page)).to_contain_text(said)
    else:
        expect(alert(page)).to_have_count(0)
    expect(page.locator("#id_damage_depth")).to_have_value("")


def test_half_a_burst_is_taken_out_again(at_bench, gauge):
    gauge("Micrometer 2", sent_unit="mm")
    page = at_bench().page
    page.locator("#id_diameter").fill(".2498 in")
    KeySender(page).send("6.34", end="")
    expect(alert(page)).to_contain_text("Only a part of a reading came: “6.34”")
    expect(page.locator("#id_diameter")).to_have_value(".2498 in")


@pytest.mark.parametrize("where", ["#id_note", "button.next", "#search"])
def test_a_reading_without_a_number_field_goes_nowhere(at_bench, gauge, where):
    gauge("Micrometer 2", sent_unit="mm")
    page = at_bench().page
    page.locator(where).first.focus()
    KeySender(page).send("6.345")
    expect(alert(page)).to_contain_text("Micrometer 2 sent 6.345, and no number field is in use")
    assert page.url.endswith(WHERE)
    if where != "button.next":
        expect(page.locator(where)).to_have_value("")


def test_a_hand_that_types_the_same_figure_is_left_alone(at_bench, gauge):
    gauge("Micrometer 2", sent_unit="mm")
    page = at_bench().page
    page.locator("#id_diameter").focus()
    KeySender(page).send("6.345", 90, end="")
    expect(page.locator("#id_diameter")).to_have_value("6.345")
    expect(page.locator("#id_diameter_from")).to_have_count(0)


def test_a_serial_line_is_offered_where_the_browser_has_one_and_read_line_by_line(at_bench, gauge):
    gauge("Indicator 9", "indicator", sends="serial", sent_unit="mm", baud=4800)
    page = at_bench(SERIAL).page
    page.locator("#id_indicator").locator("xpath=..").get_by_role("button", name="Connect Indicator 9").click()
    expect(page.get_by_role("button", name="Indicator 9 is connected").first).to_be_disabled()
    assert page.evaluate("window.baud") == 4800
    page.locator(TEETH[0]).focus()
    page.evaluate("window.line('0.01'); window.line('2\\r\\n')")
    expect(page.locator(TEETH[0])).to_have_value("0.012 mm")


def test_no_serial_line_is_offered_where_the_browser_has_none(at_bench, gauge):
    gauge("Indicator 9", "indicator", sends="serial", sent_unit="mm")
    page = at_bench("delete Navigator.prototype.serial").page
    expect(page.get_by_role("button", name="Connect Indicator 9")).to_have_count(0)
