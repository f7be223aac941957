"""A keyboard scanner at any page: the code opens what it names wherever the focus is, and leaves nothing in a field.

Keys are sent through the browser's own input with the times that a scanner or a hand would give them, so that a busy
machine changes nothing.
"""

import itertools
import re

import pytest
from playwright.sync_api import expect

from regrind.receiving.actions import follow
from tests.long_form import FULL

from .job_steps import Hand
from .key_sender import KeySender

HAND_MS = 90
SCANS = 500 if FULL else 40
FILLED = {
    "diameter": ".2498 in",
    "damage_depth": "4 thou",
    "reach": "",
    "note": "chip at tooth 2",
    "done_at": "2026-11-20T10:15",
    "lines": "first line\nsecond line",
}
ADD_TEXTAREA = """() => { const area = document.createElement('textarea'); area.id = 'id_lines'; area.name = 'lines';
    area.setAttribute('aria-label', 'lines'); document.querySelector('main form').append(area); }"""
FOCUS = {  # how a person has come to stand there
    "a number field": "#id_diameter",
    "an empty number field": "#id_reach",
    "a text field": "#id_note",
    "several lines": "#id_lines",
    "the search box": "#search",
    "a date": "#id_done_at",
    "a list": "#id_method",
    "a tick box": "input[name=pieces]",
    "a radio button": "input[name=damage]",
    "a button": "button.next",
    "a link": "a.button",
    "a fold": "summary",
    "nothing": "",
}
STATE = """() => [...document.querySelectorAll('main form [name]:not([type=hidden])')].map(
    f => [f.name, f.type === 'checkbox' || f.type === 'radio' ? f.checked : f.value])"""


@pytest.fixture
def at_inspection(open_device, bench_hand, make_batch):
    """The inspection page of a line of twelve at a desk, signed in; with the pieces' tags for half of them."""
    batch = make_batch(12, 3, number=417)
    pieces = list(batch.pieces.filter(line__number=1).select_related("batch__customer", "line__family", "tool"))
    codes = {str(piece): f"/bench/piece/{piece}" for piece in pieces}
    codes |= {follow(by=bench_hand, piece=piece).tag: f"/bench/piece/{piece}" for piece in pieces[:4]}
    codes |= {"417-1": "/bench/417-1/", "417-2": "/bench/417-2/", "417": "/receiving/417/"}
    hand = Hand(open_device("desk"))
    hand.sign_in("Bea")
    return hand, codes


def stand(page, where: str) -> None:
    """The page open again, its form filled, the focus at a place in it."""
    page.goto("/bench/417-1/inspect")
    page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true })")
    page.evaluate(ADD_TEXTAREA)  # as the pages at the counter have one
    for name, text in FILLED.items():
        page.locator(f"#id_{name}").fill(text)
    point(page, where)


def point(page, where: str) -> None:
    """The focus put to a place; in a text that is there, a sign of it selected."""
    page.evaluate("document.activeElement.blur()")
    if where:
        page.locator(where).first.focus()
        page.evaluate("() => { const f = document.activeElement; f.selectionStart > 2 && f.setSelectionRange(1, 2); }")


def test_every_scan_opens_what_it_names_and_leaves_every_field_as_it_was(at_inspection):
    hand, codes = at_inspection
    page, scanner, opened, polluted = hand.page, KeySender(hand.page), [], []
    stand(page, "")
    before = page.evaluate(STATE)
    # Answered with nothing, so that the page stays and its form can be looked at after the scan.
    page.route(re.compile("/bench/piece/|/bench/417-./$|/receiving/417/"), lambda route: route.fulfill(status=204))
    scans = itertools.islice(zip(itertools.cycle(FOCUS.items()), itertools.cycle(codes.items())), SCANS)
    for (name, where), (code, leads) in scans:
        point(page, where)
        with page.expect_request(lambda request: request.is_navigation_request()) as asked:
            scanner.send(f"B{code}")
        opened.append(asked.value.url.endswith(leads))
        polluted += [(name, code, b, a) for b, a in zip(before, page.evaluate(STATE), strict=True) if a != b]
    assert (opened, polluted) == ([True] * SCANS, [])


@pytest.mark.parametrize("where", ["#id_diameter", "#id_method", "button.next"])
def test_the_piece_is_then_on_the_screen_and_what_was_typed_is_offered_again(at_inspection, where):
    hand, _ = at_inspection
    stand(hand.page, where)
    with hand.page.expect_navigation(url="**/bench/piece/417-1-3"):
        KeySender(hand.page).send("B417-1-3")
    expect(hand.page.get_by_role("heading", name="Piece 417-1-3")).to_be_visible()
    hand.page.goto("/bench/417-1/inspect")
    hand.page.get_by_role("button", name="Restore them").click()
    expect(hand.page.locator("#id_note")).to_have_value(FILLED["note"])


def test_a_scan_into_a_selection_puts_the_caret_and_the_selection_back(at_inspection):
    hand, _ = at_inspection
    stand(hand.page, "#id_note")
    KeySender(hand.page).send("B417-1-99")
    expect(hand.page.locator("#id_note")).to_have_value("cB417-1-99ip at tooth 2")  # no number of ours: the field's
    stand(hand.page, "#id_diameter")
    KeySender(hand.page).send("B417-1-99")
    expect(hand.page.get_by_role("alert")).to_have_text("The scan “B417-1-99” matches nothing here. Check the label.")
    expect(hand.page.locator("#id_diameter")).to_have_value(".2498 in")
    assert hand.page.evaluate("[document.activeElement.selectionStart, document.activeElement.selectionEnd]") == [1, 2]


@pytest.mark.parametrize("where", ["#id_diameter", "#id_note", "button.next"])
def test_what_is_no_number_of_ours_never_lands_in_a_number_field_nor_sends_the_form(at_inspection, where):
    hand, _ = at_inspection
    stand(hand.page, where)
    KeySender(hand.page).send("ACME/4410.063")
    if where == "#id_note":
        expect(hand.page.locator(where)).to_have_value("cACME/4410.063ip at tooth 2")
    else:
        expect(hand.page.get_by_role("alert")).to_contain_text("is not a number of this shop")
    expect(hand.page.locator("#id_diameter")).to_have_value(".2498 in")
    assert hand.page.url.endswith("/bench/417-1/inspect")


@pytest.mark.parametrize("where", ["#id_reach", "#id_note", "#search"])
def test_a_hand_is_never_taken_for_a_scanner(at_inspection, where):
    hand, codes = at_inspection
    stand(hand.page, where)
    hand.page.locator(where).fill("")
    asked = []
    hand.page.on("request", lambda request: asked.append(request.url))
    for code in list(codes)[:6]:
        KeySender(hand.page).send(code, HAND_MS, end="")
        expect(hand.page.locator(where)).to_have_value(code)
        hand.page.locator(where).fill("")
    with hand.page.expect_navigation():
        KeySender(hand.page).send("417-1", HAND_MS)  # Enter does what it does in that field
    assert not [url for url in asked if "/open?" in url]
    assert hand.page.url.endswith("/bench/417-1/" if where == "#search" else "/bench/417-1/inspect")


def test_a_strange_code_in_the_search_box_is_searched_for(at_inspection):
    hand, _ = at_inspection
    stand(hand.page, "#search")
    with hand.page.expect_navigation(url=re.compile(r"/search\?q=ACME")):
        KeySender(hand.page).send("ACME-4410")


def test_without_a_network_the_scan_says_so_and_the_form_stays(at_inspection):
    hand, _ = at_inspection
    stand(hand.page, "#id_diameter")
    hand.page.context.set_offline(True)
    KeySender(hand.page).send("B417-1-2")
    expect(hand.page.get_by_role("alert").last).to_contain_text("There is no network")
    hand.page.context.set_offline(False)
    expect(hand.page.locator("#id_diameter")).to_have_value(".2498 in")
