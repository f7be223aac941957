"""How many taps and entries the usual tasks take on a tablet, counted as they are done by touch.

A tap is any touch, each key of the number pad among them; an entry is a field filled. `-s` prints the counts.
"""

import re
from collections.abc import Sequence

import pytest
from playwright.sync_api import Locator, expect

from regrind.bench.models import Inspection
from regrind.bench.readings import fetch_readings
from regrind.geometry.units import parse
from regrind.record.models import Piece
from regrind.shop.models import Wheel, WorkHolding
from tests.bench.tray import ground, inspect, pieces_of, ready_to_grind

from .job_bench import planned, status
from .job_steps import Hand
from .scrolling import NOTE_SCROLL, SIZES, scrolled_px

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
        expect(self.page.locator(".pad .display")).to_have_text(re.compile(f"^{label}"))
        self._press(keys)
        assert self.page.locator(field).input_value().startswith(keys[0])

    def enter_at_first(self, field: str, *keys: str, size: str) -> None:
        """Where the pad is a sheet from below, the field is touched first."""
        enter = self.enter_first if size == "on its side" else self.enter
        enter(field, *keys)

    def type_on(self, *keys: str) -> None:
        """The field that has the focus is filled on the pad."""
        self._press(keys)

    def mark(self, first: str, last: str, row: int, kind: str) -> None:
        """Damage from one cell of the flank to another, as deep as on the tool before."""
        for name in (first, last):
            self.tap(self.page.get_by_role("button", name=name))
            expect(self.page.locator(f"#id_mark_{row}_depth")).to_be_focused()
        self.entries += 1
        self.tap(self.page.get_by_role("button", name=".0040\u202fin", exact=True))
        self.tap(self.page.get_by_role("button", name=kind, exact=True))

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


@pytest.mark.parametrize("size", sorted(SIZES))
def test_one_tool_in_full(open_device, bench_hand, make_batch, family, size):
    """Four teeth, two marks as deep as usual, the end and the diameter, each on one screen: nothing is scrolled."""
    family.teeth = 4
    family.save()
    before, typed = make_batch(1).lines.get(), {"damage_depth": parse("4 thou"), "reach": parse(".06 in")}
    inspect(by=bench_hand, pieces=pieces_of(before), expected={}, damage="depth", typed=typed)
    line = make_batch(1).lines.get()
    counted = Counted(Hand(open_device("tablet", viewport=SIZES[size], device_scale_factor=1)))
    counted.page.add_init_script(NOTE_SCROLL)
    counted.hand.sign_in("Bea")
    counted.hand.open(f"/bench/{line}/inspect")
    counted.enter_at_first("#id_diameter", *".2498", size=size)
    counted.tap(counted.page.locator("label:has(#part-runout)"))
    counted.enter_at_first("#id_tooth_1", "0", size=size)
    for tooth, tenths in ((2, "2"), (3, "4"), (4, "1")):
        counted.tap(counted.page.locator(".pad .key-next"))
        expect(counted.page.locator(f"#id_tooth_{tooth}")).to_be_focused()
        counted.type_on(tenths, "tenths", "sign")
    counted.tap(counted.page.locator("label:has(#part-damage)"))
    counted.mark("Tooth 2, end to .0100 in", "Tooth 2, .0200 in to .0400 in", 1, "chip")
    counted.mark("Tooth 4, end to .0100 in", "Tooth 4, .0100 in to .0200 in", 2, "chip")
    counted.tap(counted.page.get_by_role("button", name="Damage on the end face"))
    expect(counted.page.locator("#id_end_depth")).to_be_focused()
    counted.type_on(".", "0", "1")
    assert scrolled_px(counted.page) == 0
    counted.press("Save inspection")
    row = Inspection.objects.latest("pk")
    fetch_readings([row])
    read = {name: reading.text for name, reading in row.readings.items()}
    assert [read[f"tooth_{n}"] for n in (1, 2, 3, 4)] == ["0", "-2 tenths", "-4 tenths", "-1 tenths"]
    assert [read[name] for name in ("mark_1_depth", "mark_2_depth", "end_depth")] == [*[".0040\u202fin"] * 2, ".01"]
    assert (row.diameter_nm, row.damage_nm, row.reach_nm) == (6_344_920, 101_600, 1_016_000)
    show(f"one tool in full, {size}", counted)
    assert counted.taps <= 35
    assert counted.entries <= 10


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
