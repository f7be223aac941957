"""A sharpening shop's box: drills, reamers, saws, side cutters and end mills from the counter to the labels, counted.

Entries are fields filled, boxes ticked and choices made; a button that sends a page is none.
"""

from collections import Counter
from dataclasses import dataclass, field

import pytest

from regrind.bench.models import Plan
from regrind.record.models import Batch, Customer, Piece
from regrind.shop.models import Wheel, WorkHolding

from .job_bench import check_them, grind_them, look
from .job_steps import Hand

MOST_A_LINE, MORE_AN_EXCEPTION = 12, 2
STEEL, CARBIDE = "B91 cup", "D64 cup"


@dataclass(frozen=True)
class Like:
    """One line: what the counter types, what the bench reads, what is then ground and read at the check."""

    wording: str
    count: int
    read: dict[str, str]
    grinds: str
    label: str
    wheel: str = STEEL
    checked: dict[str, str] = field(default_factory=dict)


BOX = [
    Like(
        "50 x 8 mm HSS drill 118°, flute length 75 mm",
        50,
        {"diameter": "7.98 mm", "worn_margin": "0.9 mm"},
        "point",
        "Point 118",
        checked={"point_angle": "118", "overall": "116 mm"},
    ),
    Like(
        "4 x 10H7 HSS reamer 6 flute, flute length 38 mm",
        4,
        {"diameter": "10.009 mm", "worn_margin": "0.5 mm", "chamfer_length": "1.5 mm"},
        "chamfer",
        "Hole: H7",
        checked={"chamfer_length": "2.1 mm"},
    ),
    Like(
        "3 pcs 80 mm HSS slitting saw 64 teeth",
        3,
        {"diameter": "79.8 mm", "width": "1.6 mm", "rim_depth": "0.2 mm"},
        "periphery",
        "Width 1.600 mm",
        checked={"width": "1.6 mm"},
    ),
    Like(
        "2 pcs 100 mm HSS side and face cutter 20 teeth",
        2,
        {"diameter": "99.7 mm", "width": "10 mm", "rim_depth": "0.15 mm"},
        "periphery",
        "Width 10.000 mm",
        checked={"width": "10 mm"},
    ),
    Like(
        "12 x 6 mm 3 flute carbide end mill 30°, flute length 16 mm",
        12,
        {"diameter": "5.995 mm", "damage_depth": "0.05 mm", "reach": "0.4 mm"},
        "end",
        "Corner: sharp",
        CARBIDE,
    ),
]


@pytest.fixture
def shop(gauges):
    Customer.objects.create(name="Stillwell", unit="mm")
    for name, abrasive in ((CARBIDE, "diamond"), (STEEL, "CBN")):
        Wheel.objects.create(
            name=name,
            abrasive=abrasive,
            shape="11V9",
            grit=name[:3],
            bond="resin",
            diameter_nm=100_000_000,
            marked_maximum_rpm=6000,
        )
    WorkHolding.objects.create(name="Work head")


@pytest.fixture
def desk(open_device, front_desk) -> Hand:
    hand = Hand(open_device("tablet"))
    hand.sign_in("Fay")
    hand.entries = 0
    return hand


@pytest.fixture
def bench(open_device, bench_hand) -> Hand:
    hand = Hand(open_device("tablet"))
    hand.sign_in("Bea")
    return hand


@pytest.fixture
def papers_folder(settings, tmp_path):
    settings.PAPERS = tmp_path / "papers"


def test_a_box_of_five_kinds_takes_twelve_entries_a_line_and_two_an_exception(desk, bench, shop, papers_folder):
    number = receive(desk)
    entries = {like.wording: work(bench, f"{number}-{n}", like, split=n == 1) for n, like in enumerate(BOX, start=1)}
    print("; ".join(f"{entries[like.wording]} for {like.wording}" for like in BOX), f"; {desk.entries} at the counter")
    # the counter's entries are of the whole box: each line is charged with all of them
    for n, like in enumerate(BOX, start=1):
        most = MOST_A_LINE + (MORE_AN_EXCEPTION if n == 1 else 0)
        assert entries[like.wording] + desk.entries / len(BOX) <= most, like.wording
    states = Counter(Piece.objects.filter(batch__number=number).values_list("status", "result"))
    assert states == {("released", "ground"): 70, ("released", "scrap"): 1}
    read_labels(desk, number)


def receive(desk: Hand) -> int:
    desk.open("/receiving/new")
    desk.choose(customer="Stillwell")
    desk.fill(order_number="PO 71", their_count="71")
    desk.press("Save, then list the tools")
    desk.fill(wording="\n".join(like.wording for like in BOX))
    desk.press("Read the lines")
    desk.press(f"Save {len(BOX)} lines")
    batch = Batch.objects.latest("number")
    assert [line.pieces.count() for line in batch.lines.order_by("number")] == [like.count for like in BOX]
    return batch.number


def work(bench: Hand, line: str, like: Like, *, split: bool) -> int:
    """A line over the bench; split: its seventh piece is found cracked. Returns the entries that it took."""
    bench.entries = 0
    look(bench, line, **like.read)
    if split:
        return_as_scrap(bench, "1-7 ", "split along the web")
    bench.press("Plan this option")
    plans = Plan.objects.filter(piece__line__number=line.split("-")[1], decision="grind")
    assert set(plans.values_list("grinds", flat=True)) == {like.grinds}
    grind_them(bench, line, like.wheel, minutes="60")
    size = f"{(plans.first().diameter_nm or 0) / 1e6:.4f} mm"
    diameter = {} if "point_angle" in like.checked else {"diameter": size}
    check_them(bench, line, nth=size, **diameter, **like.checked)
    return bench.entries


def return_as_scrap(bench: Hand, short: str, reason: str) -> None:
    bench.page.locator("details", has=bench.page.locator(".strip")).locator("summary").click()
    with bench.page.expect_navigation():
        bench.page.locator(".strip a", has_text=short).click()
    bench.entries += 1  # the tap on the strip that says which
    bench.page.locator(".sheet summary").click()
    bench.page.locator("#id_reason").fill(reason)
    bench.entries += 1
    bench.press("Return as scrap")


def read_labels(desk: Hand, number: int) -> None:
    desk.open(f"/office/{number}/papers")
    for n, like in enumerate(BOX, start=1):
        words = desk.print_paper("label", f"{number}-{n}")
        assert like.label in words, (like.wording, words)
