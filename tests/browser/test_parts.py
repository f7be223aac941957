"""The page of all shared parts: each one is there, in its place, and its text fits, on a phone, a tablet and a desk.

Boxes are compared, not pixels: a pixel differs with a font or a browser, a box that is cut or overlaps is a fault.
"""

from itertools import pairwise
from pathlib import Path

import pytest

from .job_steps import Hand

PARTS = Path(__file__).parents[2] / "templates" / "shop" / "parts"
INSIDE_OTHERS = {"list_row"}  # shown within a list
IN_TAGS = {"page_head", "field", "badge", "state", "undo_bar"}  # rendered by a tag, or by another room's template
WIDTHS = {"phone": 390, "portrait": 800, "desk": 1440}
SECTIONS = """[...document.querySelectorAll('[data-part]')].map(section => {
    const box = section.getBoundingClientRect();
    return {part: section.dataset.part, left: box.left, right: box.right, top: box.top, bottom: box.bottom,
            shown: section.innerText.trim().length};
})"""
# What is wider than its own box, or reaches out of the section that it is in, unless it scrolls on purpose.
CUT = """[...document.querySelectorAll('[data-part] *')].filter(element => {
    if (element.closest('.scroll, .shape, option') || element.type === 'hidden') return false;
    const box = element.getBoundingClientRect(), around = element.closest('[data-part]').getBoundingClientRect();
    const wide = element.scrollWidth > element.clientWidth + 1 && element.clientWidth > 0;
    return wide || box.right > around.right + 1 || box.left < around.left - 1;
}).map(element => element.outerHTML.slice(0, 120))"""
CONTROLS = """[...document.querySelectorAll('[data-part] :is(button, .button, input, select, textarea)')]
    .map(control => [control.outerHTML.slice(0, 80), control.getBoundingClientRect().height, control.type])"""


@pytest.fixture
def parts_page(open_device, owner):
    """parts_page("phone") -> the page of all parts on that device."""

    def open_page(device: str):
        hand = Hand(open_device(device))
        hand.sign_in("Oda")
        hand.open("/dev/parts")
        return hand.page

    return open_page


def test_the_page_shows_every_part(parts_page):
    shown = {section["part"] for section in parts_page("desk").evaluate(SECTIONS)}
    assert shown == {path.stem for path in PARTS.glob("*.html")} - INSIDE_OTHERS | IN_TAGS


@pytest.mark.parametrize("device", WIDTHS)
def test_parts_stand_below_each_other_and_nothing_is_cut(parts_page, device):
    page = parts_page(device)
    sections = page.evaluate(SECTIONS)
    assert all(section["shown"] for section in sections)
    assert all(0 <= section["left"] < section["right"] <= WIDTHS[device] for section in sections)
    for above, below in pairwise(sections):
        assert below["top"] >= above["bottom"] - 1, f"{below['part']} overlaps {above['part']}"
    assert page.evaluate(CUT) == []
    page.evaluate("document.querySelector('[data-part=badge] .mark').style.width = '20px'")  # a fault would show
    assert page.evaluate(CUT) != []


def test_every_control_is_large_enough_for_a_glove(parts_page):
    controls = parts_page("portrait").evaluate(CONTROLS)
    small = [(html, height) for html, height, kind in controls if kind not in ("checkbox", "hidden") and height < 56]
    assert len(controls) > 20
    assert small == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_part_has_a_barrier(open_device, owner, axe, scheme):
    hand = Hand(open_device("portrait", color_scheme=scheme))
    hand.sign_in("Oda")
    hand.open("/dev/parts")
    assert axe(hand.page) == []


def test_a_day_is_said_as_the_shop_writes_it(parts_page):
    page = parts_page("phone")
    page.locator("#empty_due").fill("2026-01-31")
    assert page.locator("#empty_due_day").inner_text() == "31 Jan 2026"
    page.locator("#empty_due").fill("")
    assert page.locator("#empty_due_day").inner_text() == ""


HINTED_TICKS = """[...document.querySelectorAll('.field.check:has(.beside)')].map(field => {
    const [box, label, hint] = ['input', 'label', '.beside']
        .map(part => field.querySelector(part).getBoundingClientRect());
    return {below: hint.top - label.bottom, beside: label.left - box.right, hint: hint.width, field: field.clientWidth};
})"""


@pytest.mark.parametrize("device", WIDTHS)
def test_the_hint_of_a_tick_stands_below_its_label_over_the_whole_width(open_device, owner, device):
    hand = Hand(open_device(device))
    hand.sign_in("Oda")
    hand.open("/shop/settings")
    fields = hand.page.evaluate(HINTED_TICKS)
    assert fields
    assert all(0 <= field["beside"] < 30 and field["below"] >= -1 for field in fields)
    assert all(field["hint"] > field["field"] - 30 for field in fields)
