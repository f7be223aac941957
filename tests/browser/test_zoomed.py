"""At twice the size, and on a screen 320 px wide, the bench's pages lose nothing: no field hides under bar or pad."""

import pytest

from regrind.geometry.units import parse
from tests.bench.tray import ground, inspect, pieces_of, ready_to_grind

from .job_steps import Hand

SIZES = {"twice the size": {"width": 512, "height": 384}, "320 wide": {"width": 320, "height": 640}}
# What is chosen or typed is brought where a keyboard's focus would bring it; then nothing lies over its middle.
COVERED = """async within => { const found = [];
    const fields = ':is(input:not([type=hidden]), select, button, summary)';
    for (const field of document.querySelectorAll(within + ' ' + fields)) {
        if (!field.checkVisibility() || field.closest('.pad') || field.disabled) continue;
        field.scrollIntoView({block: 'nearest'});
        field.focus();
        await new Promise(done => setTimeout(done, 30));
        const box = field.getBoundingClientRect();
        const x = box.left + box.width / 2, y = box.top + box.height / 2;
        const over = document.elementFromPoint(x, y);
        const own = over && [field, ...field.labels || []].some(one => one.contains(over));
        if (!own || box.left < 0 || box.right > innerWidth + 1) found.push(field.name || field.textContent.trim());
    }
    return found; }"""
WIDER = "document.documentElement.scrollWidth - innerWidth"


@pytest.fixture
def zoomed(open_device, bench_hand):
    """zoomed("320 wide") -> somebody of the bench at a touch screen of that size."""

    def at(size: str) -> Hand:
        hand = Hand(open_device("zoomed", viewport=SIZES[size]))
        hand.sign_in("Bea")
        return hand

    return at


@pytest.mark.parametrize("size", sorted(SIZES))
@pytest.mark.parametrize("step", ["inspect", "plan", "grind", "check"])
def test_no_field_hides_under_bar_or_pad(zoomed, make_batch, bench_hand, size, step):
    line, hand = make_batch(3).lines.get(), zoomed(size)
    if step == "plan":
        typed = {"diameter": parse(".2498 in"), "damage_depth": parse("4 thou"), "reach": parse(".06 in")}
        inspect(by=bench_hand, pieces=pieces_of(line), expected={}, damage="depth", typed=typed)
    elif step == "grind":
        ready_to_grind(line, bench_hand)
    elif step == "check":
        ground(line, bench_hand)
    hand.open(f"/bench/{line}/{step}")
    assert hand.page.evaluate(WIDER) <= 0
    assert hand.page.evaluate(COVERED, "main form") == []


@pytest.mark.parametrize("size", sorted(SIZES))
@pytest.mark.parametrize("part", ["runout", "damage", "gauges"])
def test_no_field_of_a_part_of_the_inspection_hides(zoomed, make_batch, size, part):
    line, hand = make_batch(1).lines.get(), zoomed(size)
    hand.open(f"/bench/{line}/inspect")
    hand.page.locator(f"label:has(#part-{part})").tap()
    if part == "damage":
        hand.page.locator(".cell").nth(2).tap()
        hand.page.locator(".tapped h2").wait_for()
    assert hand.page.evaluate(WIDER) <= 0
    assert hand.page.evaluate(COVERED, f".part-{part}") == []


@pytest.mark.parametrize("size", sorted(SIZES))
def test_the_sheet_that_asks_or_returns_can_be_read_and_used(zoomed, make_batch, bench_hand, size):
    line, hand = make_batch(1).lines.get(), zoomed(size)
    inspect(by=bench_hand, pieces=pieces_of(line), expected={}, damage="nothing", typed={"diameter": parse(".2498 in")})
    hand.open(f"/bench/{line}/plan")
    hand.page.locator(".sheet summary").tap()
    assert hand.page.evaluate(WIDER) <= 0
    assert hand.page.evaluate(COVERED, ".sheet .panel") == []
    top = hand.page.locator(".sheet .panel").evaluate("panel => panel.getBoundingClientRect().top")
    assert top >= 0
