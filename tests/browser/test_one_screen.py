"""What decides stands on one screen of a tablet, on its side and upright; the usual case needs no scrolling."""

import pytest
from playwright.sync_api import Page, expect

from regrind.bench.models import Photo, Plan
from regrind.geometry.units import parse
from regrind.shop.models import Wheel, WorkHolding
from tests.bench.hostile_photos import exif
from tests.bench.photo_maker import picture
from tests.bench.tray import ground, inspect, pieces_of, ready_to_grind

from .job_bench import EXAMPLE, planned, status
from .job_steps import Hand
from .scrolling import NOTE_SCROLL, SIZES, scrolled_px

IN_SIGHT = """names => { const bar = document.querySelector('.bar.actions').getBoundingClientRect();
    return names.filter(name => { const box = document.querySelector(name).getBoundingClientRect();
        return !box.height || box.top < 0 || box.bottom > Math.min(bar.top, innerHeight) || box.right > innerWidth;
    }); }"""
IN_SHEET = """[...document.querySelectorAll('.sheet button, .sheet input:not([hidden])')].filter(one => {
    const box = one.getBoundingClientRect();
    return box.height && (box.top < 0 || box.bottom > innerHeight); }).map(one => one.name)"""
GRIND = [
    *("h1", ".pieces", ".aims .page", ".short.caution", "[name=grinds]", "#id_minutes", "#id_wheel", "#id_holding"),
    ".undo button",
]
CHECK = [
    *("h1", ".pieces", ".aimed .page", "#id_diameter", ".nth input", "#id_drop", "#relief", "#id_runout_sides"),
    *("#id_overall", "#id_corner", "#id_coating", ".undo button"),
]
PLAN = [
    *("h1", ".verdict", ".decides .page", ".decides > div:nth-child(2)", ".optionkeys", ".deck .picture svg"),
    "[name=pieces]",
]


@pytest.fixture
def tablet(open_device, bench_hand):
    """tablet("upright") -> somebody of the bench at a tablet of that size, which notes how far a page is scrolled."""

    def at(size: str) -> Hand:
        hand = Hand(open_device("tablet", viewport=SIZES[size], device_scale_factor=1))
        hand.page.add_init_script(NOTE_SCROLL)
        hand.sign_in("Bea")
        return hand

    return at


@pytest.mark.parametrize("size", sorted(SIZES))
def test_ten_like_tools_are_inspected_on_one_screen(tablet, make_batch, size):
    line, hand = make_batch(10).lines.get(), tablet(size)
    hand.open(f"/bench/{line}/inspect")
    needed = ["h1", ".pieces", "#id_diameter", "#id_damage_depth", "#id_reach", "#id_diameter_source_1"]
    assert hand.page.evaluate(IN_SIGHT, needed) == []
    hand.page.evaluate("document.querySelector('.pieces').style.marginBottom = '1100px'")  # what is not there shows
    assert hand.page.evaluate(IN_SIGHT, needed) == [
        "#id_diameter",
        "#id_damage_depth",
        "#id_reach",
        "#id_diameter_source_1",
    ]


@pytest.mark.parametrize("size", sorted(SIZES))
def test_ten_like_tools_are_planned_on_one_screen(tablet, make_batch, bench_hand, size):
    line, hand = make_batch(10).lines.get(), tablet(size)
    inspect(
        by=bench_hand,
        pieces=pieces_of(line),
        expected={},
        damage="depth",
        typed={"diameter": parse(".2498 in"), "damage_depth": parse("4 thou"), "reach": parse(".06 in")},
    )
    hand.open(f"/bench/{line}/plan")
    assert hand.page.evaluate(IN_SIGHT, PLAN) == []
    hand.press("Plan this option")
    assert scrolled_px(hand.page) == 0


@pytest.mark.parametrize("size", sorted(SIZES))
def test_unlike_pieces_show_their_verdict_and_figures_before_the_common_size(tablet, make_batch, bench_hand, size):
    line, hand = make_batch(10).lines.get(), tablet(size)
    pieces = pieces_of(line)
    for few, depth in ((pieces[:4], "4 thou"), (pieces[4:7], "6 thou"), (pieces[7:], "3 thou")):
        typed = {"diameter": parse(".2498 in"), "damage_depth": parse(depth), "reach": parse(".06 in")}
        inspect(by=bench_hand, pieces=few, expected={}, damage="depth", typed=typed)
    hand.open(f"/bench/{line}/plan")
    assert hand.page.evaluate(IN_SIGHT, [*PLAN, ".piecechips"]) == []
    below = "document.querySelector('#sizes').getBoundingClientRect().top >= innerHeight - 60"
    assert hand.page.evaluate(below)


@pytest.mark.parametrize("size", sorted(SIZES))
def test_an_options_number_changes_picture_and_figures_in_place(tablet, make_batch, size):
    line, hand = make_batch(1).lines.get(), tablet(size)
    hand.open(f"/bench/{line}/inspect")
    hand.fill(**EXAMPLE)
    hand.choose(wear_land_way="cutting")
    hand.press("Save inspection")
    hand.page.evaluate("sessionStorage.clear()")  # the inspection in full is longer than a screen
    assert hand.page.evaluate(IN_SIGHT, PLAN) == []
    picture = hand.page.locator(".deck .picture svg")
    before = picture.get_attribute("aria-label"), hand.figures("Diameter after"), hand.figures("Usable length")
    hand.page.locator("#option-3").tap()
    expect(hand.page.locator("#option-3")).to_have_attribute("aria-current", "true")
    after = picture.get_attribute("aria-label"), hand.figures("Diameter after"), hand.figures("Usable length")
    assert all(new != old for new, old in zip(after, before, strict=True))
    assert hand.page.evaluate(IN_SIGHT, PLAN) == []
    assert scrolled_px(hand.page) == 0
    chosen = hand.page.locator("tr.chosen b"), hand.page.locator("a[aria-label='Option 3'][aria-current] text")
    assert [found.text_content() for found in chosen] == ["3", "3"]
    assert hand.page.locator("svg .chosen-number").text_content() == "3"


@pytest.mark.parametrize("size", sorted(SIZES))
def test_ten_like_tools_are_ground_on_one_screen(tablet, make_batch, bench_hand, size):
    line, hand = make_batch(10).lines.get(), tablet(size)
    ready_to_grind(line, bench_hand)
    Wheel.objects.create(
        name="D64 cup", shape="cup", abrasive="diamond", diameter_nm=100_000_000, marked_maximum_rpm=6000
    )
    WorkHolding.objects.create(name="Work head")
    hand.open(f"/bench/{line}/grind")
    assert hand.page.evaluate(IN_SIGHT, GRIND) == []
    hand.page.locator("#id_minutes").tap()
    hand.page.locator(".pad .key-2").tap()
    hand.page.locator(".pad .key-0").tap()
    hand.choose(wheel="D64 cup", holding="Work head")
    hand.press("Save grind")
    assert status(str(line)) == {("ground", ""): 10}
    assert scrolled_px(hand.page) == 0


@pytest.mark.parametrize("size", sorted(SIZES))
def test_ten_like_tools_are_checked_on_one_screen(tablet, make_batch, bench_hand, size):
    """The diameters that are required on the pad; one outside the tolerance is said beside its field while it is typed,
    and the relief names its target."""
    line, other, hand = make_batch(10).lines.get(), make_batch(2).lines.get(), tablet(size)
    ground(line, bench_hand)
    hand.open(f"/bench/{line}/check")
    assert hand.page.evaluate(IN_SIGHT, CHECK) == []
    expect(hand.page.locator(".field:has(#relief)")).to_contain_text("planned 12.0° ± 1°")
    right, nth = planned(f"{line}-1").removeprefix("0"), "[name^=diameter_]"
    for field, figure in (("#id_diameter", ".2419"), (nth, ".2402")):
        hand.page.locator(field).tap()
        press_keys(hand.page, figure)
    for field, said in (("#id_diameter", "over .2413\u202fin"), (nth, "under .2403\u202fin")):
        expect(hand.page.locator(f".field:has({field}) .beside .outside")).to_have_text(said)
        assert hand.page.locator(field).evaluate("f => getComputedStyle(f).borderTopWidth") == "2px"
    assert hand.page.evaluate(IN_SIGHT, [name for name in CHECK if name != "#relief"]) == []
    for field in ("#id_diameter", nth):
        hand.page.locator(field).tap()
        hand.page.locator(".pad .key-clear").tap()
        press_keys(hand.page, right)
        expect(hand.page.locator(f".field:has({field}) .outside")).to_have_count(0)
    hand.press("Save, and release all 10 (2 measured)")
    assert status(str(line)) == {("released", "ground"): 10}
    after = [".papers form[action*=label] button", ".papers form[action*=report] button", ".undo button"]
    assert hand.page.evaluate(IN_SIGHT, after) == []
    assert hand.page.get_by_role("link", name=f"Next tray: inspect 2 pieces of {other}").is_visible()
    assert scrolled_px(hand.page) == 0


def press_keys(page: Page, figure: str) -> None:
    for digit in figure:
        page.locator(f".pad .key-{'point' if digit == '.' else digit}").tap()


def test_relief_runout_and_length_outside_their_limits_are_marked_while_typed(tablet, make_batch, bench_hand):
    line, hand = make_batch(2).lines.get(), tablet("on its side")
    line.runout_limit_nm, line.shortest_nm = parse(".0005 in").nm, parse(".5 in").nm
    line.save()
    ground(line, bench_hand)
    hand.open(f"/bench/{line}/check")
    hand.choose(drop_way="along the tangent")
    typed = {"diameter": ".2408", "runout_sides": ".0006", "drop": ".005", "drop_over": ".010", "usable": ".49"}
    for name, text in typed.items():
        hand.field(name).fill(text)
    hand.field("usable").blur()  # the relief is worked out anew whenever a field is left
    said = {"runout_sides": "over .0005\u202fin", "usable": "under .5000\u202fin"}
    for name, words in said.items():
        expect(hand.page.locator(f"#id_{name}_echo .outside")).to_have_text(words)
    expect(hand.page.locator("#relief .state.outside")).to_be_visible()
    for name in ("runout_sides", "drop", "usable"):
        assert hand.field(name).evaluate("f => getComputedStyle(f).borderTopWidth") == "2px"
    hand.field("drop").fill(".0018")
    hand.field("drop").blur()
    expect(hand.page.locator("#relief .state.outside")).to_have_count(0)
    assert hand.field("drop").evaluate("f => getComputedStyle(f).borderTopWidth") == "1px"


@pytest.mark.parametrize("size", sorted(SIZES))
@pytest.mark.parametrize(
    ("button", "ends"), [("Ask the customer", ("waiting", "")), ("Return as scrap", ("released", "scrap"))]
)
def test_asking_and_scrapping_take_three_taps_and_no_word(tablet, make_batch, bench_hand, size, button, ends):
    line, hand = make_batch(1).lines.get(), tablet(size)
    inspect(by=bench_hand, pieces=pieces_of(line), expected={}, damage="nothing", typed={"diameter": parse(".2498 in")})
    hand.open(f"/bench/{line}/plan")
    hand.page.locator(".sheet summary").tap()
    hand.page.get_by_text("worn through").tap()
    with hand.page.expect_event("load"):
        hand.page.get_by_role("button", name=button).tap()
    assert status(str(line)) == {ends: 1}
    assert "worn through" in Plan.objects.get().reason
    assert scrolled_px(hand.page) == 0


@pytest.mark.parametrize("size", sorted(SIZES))
@pytest.mark.parametrize(
    ("button", "ends"), [("Ask the customer", ("waiting", "")), ("Return as scrap", ("released", "scrap"))]
)
def test_the_same_is_done_at_the_inspection_with_a_photo_in_the_sheet(
    tablet, make_batch, settings, tmp_path, size, button, ends
):
    settings.MEDIA_ROOT = tmp_path / "photos"
    line, hand = make_batch(1).lines.get(), tablet(size)
    hand.open(f"/bench/{line}/inspect")
    hand.page.locator(".sheet summary").tap()
    hand.page.get_by_text("worn through", exact=True).last.tap()
    hand.page.locator("#id_photo").set_input_files(
        {"name": "crack.jpg", "mimeType": "image/jpeg", "buffer": picture(exif=exif())}
    )
    assert hand.page.evaluate(IN_SHEET) == []
    with hand.page.expect_event("load"):
        hand.page.get_by_role("button", name=button).tap()
    assert status(str(line)) == {ends: 1}
    assert Photo.objects.get().about == "not_ground"
    assert scrolled_px(hand.page) == 0


@pytest.mark.parametrize("size", sorted(SIZES))
def test_the_flank_stays_in_sight_while_damage_is_tapped_on_it(tablet, make_batch, size):
    """After the first tap the pad is open for the depth; the second tap needs no scrolling back."""
    line, hand = make_batch(1).lines.get(), tablet(size)
    hand.open(f"/bench/{line}/inspect")
    hand.page.locator("label:has(#part-damage)").tap()
    flank = ["#id_pieces_0", ".unrolled", ".band:last-child .cell:last-child"]
    cell = hand.page.get_by_role("button", name="Tooth 2, .0200 in to .0400 in")
    before = cell.bounding_box()
    cell.tap()
    expect(hand.page.locator("#id_mark_1_depth")).to_be_focused()
    assert cell.bounding_box() == before  # nothing has moved under the finger
    hand.page.get_by_role("button", name="Tooth 2, .3000 in to .6000 in").tap()
    expect(hand.page.locator("#id_mark_1_to")).to_have_value(".6000\u202fin")
    press_keys(hand.page, ".004")
    expect(hand.page.locator("#id_mark_1_depth")).to_have_value(".004")
    hand.page.get_by_role("button", name="chip", exact=True).tap()
    expect(hand.page.get_by_role("button", name="chip", exact=True)).to_have_attribute("aria-pressed", "true")
    expect(hand.page.locator("#id_mark_1_what")).to_have_value("chip")
    assert hand.page.evaluate(IN_SIGHT, [*flank, *(f"#id_mark_1_{name}" for name in ("depth", "wear_land"))]) == []
    assert scrolled_px(hand.page) == 0
