"""The whole job by a keyboard alone: no mouse, no touch, and the focus is seen wherever it is."""

import pytest
from playwright.sync_api import expect

from regrind.shop.models import Wheel, WorkHolding

from .job_bench import planned, status
from .job_steps import Hand

MOST_TABS = 90
IS_HERE = "what => document.activeElement.matches(what)"
RING = """() => { const look = getComputedStyle(document.activeElement), box = document.activeElement.closest('label');
    return look.outlineStyle !== 'none' || Boolean(box && getComputedStyle(box).outlineStyle !== 'none'); }"""


class Keys:
    """Hands that have a keyboard and nothing else."""

    def __init__(self, hand: Hand) -> None:
        self.page, self.keyboard = hand.page, hand.page.keyboard

    def go_to(self, what: str, *, key: str = "Tab") -> None:
        for _ in range(MOST_TABS):
            self.keyboard.press(key)
            if self.page.evaluate(IS_HERE, what):
                assert self.page.evaluate(RING), f"nothing shows that the focus is on {what}"
                return
        raise AssertionError(f"{MOST_TABS} times {key} do not reach {what}")

    def fill(self, what: str, text: str) -> None:
        self.go_to(what)
        self.keyboard.type(text)

    def press(self, what: str) -> None:
        self.go_to(what)
        with self.page.expect_event("load"):
            self.keyboard.press("Enter")


@pytest.fixture
def desk(open_device, bench_hand, make_batch) -> tuple[Keys, str]:
    Wheel.objects.create(
        name="D64 cup", shape="cup", abrasive="diamond", diameter_nm=100_000_000, marked_maximum_rpm=6000
    )
    WorkHolding.objects.create(name="Work head")
    hand = Hand(open_device("desk"))
    hand.sign_in("Bea")
    line = str(make_batch(1).lines.get())
    hand.open(f"/bench/{line}/inspect")
    return Keys(hand), line


def test_a_piece_is_inspected_planned_ground_checked_released_and_labelled_by_keys(desk):
    keys, line = desk
    read_it(keys)
    keys.press("button[value=keep]")
    keys.press("main a[href$='/grind']")
    keys.fill("#id_minutes", "20")
    keys.press("main .bar button.next")
    assert status(line) == {("ground", ""): 1}
    keys.fill("#id_diameter", planned(f"{line}-1"))
    keys.press("main .bar button.next")
    assert status(line) == {("released", "ground"): 1}
    address = f"/office/print/label/{line}"
    keys.page.route(f"**{address}", lambda route: route.fulfill(status=204))
    keys.go_to(f"form[action='{address}'] button")
    with keys.page.expect_request(lambda request: request.url.endswith(address) and request.method == "POST"):
        keys.keyboard.press("Enter")


def read_it(keys: Keys) -> None:
    """Each tooth, a mark on the flank, and the three readings."""
    keys.go_to("[name=part]")
    keys.keyboard.press("ArrowRight")
    for tooth, text in ((1, "0"), (2, "-2 tenths"), (3, "-4 tenths")):
        keys.fill(f"#id_tooth_{tooth}", text)
    keys.go_to("#part-runout", key="Shift+Tab")
    keys.keyboard.press("ArrowRight")
    keys.go_to(".cell[value='at:2:0']")
    keys.keyboard.press("Space")
    expect(keys.page.locator("#id_mark_1_depth")).to_be_focused()
    keys.keyboard.type("4 thou")
    keys.go_to("#part-damage", key="Shift+Tab")
    for _ in range(2):
        keys.keyboard.press("ArrowLeft")
    keys.fill("#id_diameter", ".2498")
    keys.press("main .bar button.next")


def test_the_sheet_that_asks_is_opened_and_sent_by_keys(desk):
    keys, line = desk
    keys.go_to(".sheet summary")
    keys.keyboard.press("Enter")
    keys.go_to("[name=usual_reason]")
    keys.keyboard.press("Space")
    keys.press("button[value=ask]")
    assert status(line) == {("waiting", ""): 1}
