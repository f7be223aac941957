"""How many taps and entries the usual tasks take on a tablet, counted as they are done by touch.

A tap is any touch, each key of the number pad among them; an entry is a field filled. `-s` prints the counts.
"""

from collections.abc import Sequence

import pytest
from playwright.sync_api import Locator

from regrind.record.models import Piece
from regrind.shop.models import Wheel, WorkHolding
from tests.bench.tray import ground, ready_to_grind

from .job_bench import planned, status
from .job_steps import Hand

TABLET = {"width": 1024, "height": 768}


class Counted:
    """A hand at a tablet whose taps and entries are counted."""

    def __init__(self, hand: Hand) -> None:
        self.hand, self.page, self.taps, self.entries = hand, hand.page, 0, 0

    def tap(self, what: Locator, *, leads_on: bool = False) -> None:
        self.taps += 1
        if not leads_on:
            what.tap()
            return
        with self.page.expect_event("load"):
            what.tap()

    def press(self, words: str) -> None:
        self.tap(self.page.get_by_role("button", name=words, exact=True), leads_on=True)

    def enter(self, field: str, *keys: str) -> None:
        """The field is touched and filled on the pad."""
        self.tap(self.page.locator(field).first)
        self._press(keys)

    def enter_first(self, field: str, *keys: str) -> None:
        """The pad stands beside the page and names the first empty field: its keys fill that without a touch."""
        label = self.page.locator(field).evaluate("f => f.labels[0].firstChild.textContent.trim()")
        assert self.page.locator(".pad .display").inner_text().split("\n")[0] == label
        self._press(keys)
        assert self.page.locator(field).input_value().startswith(keys[0])

    def _press(self, keys: Sequence[str]) -> None:
        self.entries += 1
        for key in keys:
            self.tap(self.page.locator(f".pad .key-{'point' if key == '.' else key}"))


@pytest.fixture
def counted(open_device, bench_hand) -> Counted:
    hand = Hand(open_device("tablet", viewport=TABLET, device_scale_factor=1))
    hand.sign_in("Bea")
    return Counted(hand)


def show(task: str, counted: Counted) -> None:
    print(f"{task}: {counted.taps} taps, {counted.entries} entries")


def test_ten_like_tools_from_three_readings_to_released(counted, make_batch):
    line = make_batch(10).lines.get()
    Wheel.objects.create(
        name="D64 cup", shape="cup", abrasive="diamond", diameter_nm=100_000_000, marked_maximum_rpm=6000
    )
    WorkHolding.objects.create(name="Work head")
    counted.hand.open(f"/bench/{line}/inspect")
    counted.enter_first("#id_diameter", *".2498")
    counted.enter("#id_damage_depth", "4", "thou")
    counted.enter("#id_reach", *".06")
    counted.press("Save inspection")
    counted.press("Plan this option")
    counted.tap(counted.page.get_by_role("link", name="Grind 10 pieces"), leads_on=True)
    counted.enter_first("#id_minutes", *"95")
    counted.press("Save grind")
    size = planned(f"{line}-1").removeprefix("0")
    counted.enter_first("#id_diameter", *size)
    counted.enter(".nth input", *size)
    counted.press("Save, and release all 10 (2 measured)")
    assert status(str(line)) == {("released", "ground"): 10}
    show("ten like tools, three readings to released", counted)
    assert (counted.taps, counted.entries) == (30, 6)


def test_an_exception_is_asked_about_or_scrapped(counted, make_batch):
    """A cracked piece, from its inspection: nothing is measured and nothing typed."""
    for button, ends in (("Ask the customer", ("waiting", "")), ("Return as scrap", ("released", "scrap"))):
        line, counted.taps, counted.entries = make_batch(1).lines.get(), 0, 0
        counted.hand.open(f"/bench/{line}/inspect")
        counted.press("Save as cracked")
        counted.tap(counted.page.locator(".sheet summary"))
        counted.press(button)
        assert status(str(line)) == {ends: 1}
        show(f"exception: {button.lower()}", counted)
        assert (counted.taps, counted.entries) == (3, 0)


def test_ten_pieces_are_undone_from_the_line_page(counted, make_batch, bench_hand):
    line = make_batch(10).lines.get()
    ready_to_grind(line, bench_hand)
    counted.hand.open(f"/bench/{line}/")
    counted.press("Undo")
    assert {piece.status for piece in Piece.objects.all()} == {"inspected"}
    show("undo of ten pieces from the line page", counted)
    assert (counted.taps, counted.entries) == (1, 0)


def test_a_label_after_the_release(counted, make_batch, bench_hand):
    line = make_batch(1).lines.get()
    ground(line, bench_hand)
    counted.hand.open(f"/bench/{line}/check")
    counted.enter("#id_diameter", *planned(f"{line}-1").removeprefix("0"))
    counted.press("Save and release 1-1")
    counted.taps, counted.entries = 1, 0  # the button that print_paper presses
    assert str(line) in counted.hand.print_paper("label", str(line))
    show("label after release", counted)
