"""A tray of twelve like drills with one exception, from the bench to the labels: entries counted."""

import pytest

from regrind.bench.models import FinalCheck, Plan
from regrind.record.models import Family
from regrind.shop.models import Wheel, WorkHolding

from .job_bench import status
from .job_steps import Hand

DRILLS, MOST, MORE_EACH = 12, 12, 2
MM = 1_000_000


@pytest.fixture
def bench(open_device, bench_hand, gauges) -> Hand:
    hand = Hand(open_device("tablet"))
    hand.sign_in("Bea")
    hand.entries = hand.presses = 0
    return hand


@pytest.fixture
def line(make_batch):
    known = {"flute_length_nm": 75 * MM, "point_angle_cdeg": 11_800, "material": "HSS", "teeth": 2}
    drill = Family.objects.create(kind="drill", nominal_nm=8 * MM, **known)
    Wheel.objects.create(
        name="B91 cup",
        abrasive="CBN",
        shape="11V9",
        grit="B91",
        bond="resin",
        diameter_nm=100 * MM,
        marked_maximum_rpm=6000,
    )
    WorkHolding.objects.create(name="Drill chuck")
    return make_batch(DRILLS, of=drill).lines.get()


def test_twelve_like_drills_take_two_readings_for_all_and_two_entries_more_for_an_exception(bench, line):
    bench.open(f"/bench/{line}/inspect")
    bench.fill(diameter="7.98 mm", worn_margin="0.9 mm")
    bench.press("Save inspection")
    before = bench.entries
    bench.page.locator("details", has=bench.page.locator(".strip")).locator("summary").click()
    with bench.page.expect_navigation():
        bench.page.locator(".strip a", has_text="1-7 ").click()
    bench.entries += 1  # the tap on the strip that says which
    bench.page.locator(".sheet summary").click()
    bench.page.locator("#id_reason").fill("split along the web")
    bench.entries += 1
    bench.press("Return as scrap")
    assert bench.entries - before == MORE_EACH
    bench.press("Plan this option")
    assert Plan.objects.filter(decision="grind", copied_from=None).get().grinds == "point"
    bench.open(f"/bench/{line}/grind")
    bench.fill(minutes="60")
    bench.choose(wheel="B91 cup", holding="Drill chuck")
    bench.press("Save grind")
    bench.open(f"/bench/{line}/check")
    bench.fill(point_angle="118", overall="116 mm")
    bench.press(f"Save, and release all {DRILLS - 1} (1 measured)")
    assert status(str(line)) == {("released", "ground"): DRILLS - 1, ("released", "scrap"): 1}
    assert FinalCheck.objects.get(in_full=True).point_angle_cdeg == 11_800
    print(f"{DRILLS} drills with 1 exception: {bench.entries} entries, {bench.presses} taps")
    assert bench.entries <= MOST + MORE_EACH


def test_drills_one_by_one_take_two_readings_each(bench, line):
    bench.open(f"/bench/{line}/inspect")
    bench.follow("One by one")
    for n in range(1, DRILLS + 1):
        before = bench.entries
        bench.fill(diameter="7.98 mm", worn_margin=f"0.{n % 8 + 1} mm")
        bench.press("Save inspection")
        assert bench.entries - before == 2
    assert status(str(line)) == {("inspected", ""): DRILLS}
