"""Ten like tools one by one, and twenty as one: entries and taps counted, and the same in a plain web form."""

import pytest
from playwright.sync_api import expect

from regrind.bench.models import FinalCheck, Inspection
from regrind.shop.models import Wheel, WorkHolding
from tests.bench.tray import ground

from .job_bench import planned, status
from .job_steps import Hand

TOOLS, MOST_PER_TOOL = 10, 4
READ = [(f".24{n:02}", f"{3 + n % 4} thou", ".060") for n in range(90, 90 + TOOLS)]
# What a plain form of one tool asks for: to be looked at; and from there to its release.
LOOKED_AT = ("piece", "diameter", "measured with", "gauge", "kind of damage", "depth", "how far back", "second gauge")
TO_RELEASE = (
    *LOOKED_AT,
    "decision",
    "size to grind to",
    "wheel",
    "work holding",
    "minutes",
    "size after",
    "gauge after",
    "released",
)


@pytest.fixture
def bench(open_device, bench_hand, gauges) -> Hand:
    hand = Hand(open_device("tablet"))
    hand.sign_in("Bea")
    hand.entries = hand.presses = 0
    return hand


def test_ten_like_tools_are_inspected_with_three_entries_and_one_tap_each(bench, make_batch):
    line = make_batch(TOOLS).lines.get()
    bench.open(f"/bench/{line}/inspect")
    bench.follow("One by one")
    bench.choose(gauge="v-anvil 1", indicator="indicator 1")
    per_tool, first = [], bench.entries
    for n, (diameter, depth, reach) in enumerate(READ, start=1):
        before, presses = bench.entries, bench.presses
        expect(bench.page.get_by_role("heading", level=1)).to_have_text(f"Inspect piece {line}-{n}")
        if n > 1:
            expect(bench.page.locator("#id_diameter")).to_be_focused()
            expect(bench.page.get_by_text("As on 1-")).to_be_visible()
        bench.fill(diameter=diameter, damage_depth=depth, reach=reach)
        bench.press("Save inspection")
        per_tool.append((bench.entries - before, bench.presses - presses))
    assert bench.page.url.endswith(f"/bench/{line}/plan")
    assert set(per_tool) == {(3, 1)}
    told(f"{TOOLS} tools looked at", bench.entries, bench.presses + 1, TOOLS, LOOKED_AT)
    rows = list(Inspection.objects.order_by("piece__number"))
    assert [row.diameter_nm for row in rows] == [round(float(d) * 25_400_000) for d, _, _ in READ]
    assert all(row.copied_from is None and row.method == "v-anvil" for row in rows)
    assert {reading.gauge.name for row in rows for reading in row.readings.values() if reading.gauge_id} == {
        "v-anvil 1",
        "indicator 1",
    }
    assert first == 2


def test_ten_like_tools_are_checked_with_three_entries_and_one_tap_each(bench, make_batch, bench_hand):
    line = make_batch(TOOLS).lines.get()
    ground(line, bench_hand)
    size = planned(f"{line}-1")
    bench.open(f"/bench/{line}/check")
    bench.follow("One by one")
    bench.choose(gauge="v-anvil 1", indicator="indicator 1", drop_way="along the tangent")
    bench.fill(drop_over=".020")
    per_tool = []
    for n in range(1, TOOLS + 1):
        before, presses = bench.entries, bench.presses
        expect(bench.page.get_by_role("heading", level=1)).to_have_text(f"Final check of piece {line}-{n}")
        bench.fill(diameter=size, drop=".0025", runout_sides=".0003")
        bench.press(f"Save and release 1-{n}")
        per_tool.append((bench.entries - before, bench.presses - presses))
    assert bench.page.url.endswith(f"/bench/{line}/checked")
    assert set(per_tool) == {(3, 1)}
    assert FinalCheck.objects.filter(in_full=True, relief_cdeg__isnull=False, passed=True).count() == TOOLS
    print(f"{TOOLS} tools checked: {bench.entries} entries, {bench.presses + 1} taps")


def test_twenty_like_tools_with_two_exceptions_take_two_entries_more_for_each(bench, make_batch):
    line, exceptions = make_batch(20).lines.get(), ((7, "cracked along the flute"), (12, "shank bent"))
    Wheel.objects.create(
        name="D64 cup",
        abrasive="diamond",
        shape="11V9",
        grit="D64",
        bond="resin",
        diameter_nm=100_000_000,
        marked_maximum_rpm=6000,
    )
    WorkHolding.objects.create(name="Work head")
    bench.open(f"/bench/{line}/inspect")
    bench.fill(diameter=".2496", damage_depth="3 thou", reach=".080")
    bench.press("Save inspection")
    before = bench.entries
    for n, why in exceptions:
        bench.page.locator("details", has=bench.page.locator(".strip")).locator("summary").click()
        with bench.page.expect_navigation():
            bench.page.locator(".strip a", has_text=f"1-{n} ").click()
        bench.entries += 1  # the tap on the strip that says which
        bench.page.locator(".sheet summary").click()
        bench.page.locator("#id_reason").fill(why)
        bench.entries += 1
        bench.press("Return as scrap")
    assert bench.entries - before == 2 * len(exceptions)
    bench.press("Plan this option")
    bench.open(f"/bench/{line}/grind")
    bench.fill(minutes="95")
    bench.choose(wheel="D64 cup", holding="Work head")
    bench.press("Save grind")
    bench.open(f"/bench/{line}/check")
    size = planned(f"{line}-1")
    bench.fill(diameter=size)
    for field in bench.page.locator("fieldset.nth input").all():
        bench.fill(**{str(field.get_attribute("name")): size})
    bench.press("Save, and release all 18 (4 measured)")
    assert status(str(line)) == {("released", "ground"): 18, ("released", "scrap"): 2}
    assert bench.entries <= 12 + 2 * len(exceptions)
    told("line of 20 with 2 exceptions", bench.entries, bench.presses, 20, TO_RELEASE)


def told(what: str, entries: int, taps: int, tools: int, fields: tuple[str, ...]) -> None:
    """The counts, beside those of a plain form that knows nothing from the tool before: it is filled once a tool."""
    print(f"{what}: {entries} entries, {taps} taps; a plain form: {tools * len(fields)} entries, {2 * tools} taps")
    assert entries < tools * len(fields) / 2


def test_the_exception_is_told_on_the_strip_by_a_word_and_a_shape(bench, make_batch, bench_hand):
    line = make_batch(3).lines.get()
    bench.open(f"/bench/{line}/inspect?piece={line.pieces.get(number=2).pk}")
    bench.fill(diameter=".2496", damage_depth="3 thou", reach=".080")
    bench.press("Save inspection")
    states = bench.page.locator(".strip .state")
    assert states.all_inner_texts() == ["received", "inspected", "received"]
    assert [state.get_attribute("class").split()[-1] for state in states.all()] == ["plain", "neutral", "plain"]
    expect(bench.page.get_by_text("Inspected 1 piece")).to_be_visible()
    bench.press("Undo")
    assert status(str(line)) == {("arrived", ""): 3}
