"""What hands and eyes need at the bench: targets, errors, narrow screens and more contrast."""

import re

import pytest
from playwright.sync_api import expect

from regrind.geometry.units import parse
from tests.bench.tray import ground, inspect, pieces_of, ready_to_grind

from .job_steps import Hand

NARROW = {"viewport": {"width": 320, "height": 640}}
CONTROLS = ", ".join(
    f"main {one}"
    for one in (
        "button",
        ".button",
        ".chip",
        "select",
        "summary",
        "label.tap",
        ".radios label",
        "input:not([type=hidden], [type=checkbox], [type=radio])",
    )
)
SMALL = """selector => [...document.querySelectorAll(selector)]
    .filter(e => e.checkVisibility({visibilityProperty: true})).map(e => [e, e.getBoundingClientRect()])
    .filter(([e, b]) => b.height && (b.height < 47.5 || b.width < 48))
    .map(([e, b]) => `${e.tagName} ${e.className} ${(e.textContent || e.name).trim()} ${b.width}x${b.height}`)"""
SHAPES = """() => ['inside', 'close', 'outside'].map(state => {
    const made = document.createElement('span'), shape = document.createElement('span');
    made.className = `state ${state}`; shape.className = 'shape'; made.append(shape);
    document.querySelector('main').append(made);
    const look = getComputedStyle(shape);
    return look.backgroundColor + look.backgroundImage + getComputedStyle(shape, '::after').content; })"""


@pytest.fixture
def bench(open_device, bench_hand, gauges):
    def at(device: str, **options) -> Hand:
        hand = Hand(open_device(device, **options))
        hand.sign_in("Bea")
        return hand

    return at


@pytest.fixture
def pages(make_batch, bench_hand, wheel, holding) -> dict[str, str]:
    """The bench's pages with work on them, in every mode that they have."""
    batch = make_batch(6, 6, 6, 6, number=417)
    lines = list(batch.lines.order_by("number"))
    pieces = pieces_of(lines[1])
    for some, depth in ((pieces[:3], "3 thou"), (pieces[3:], "6 thou")):
        inspect(
            by=bench_hand,
            pieces=some,
            expected={},
            damage="depth",
            typed={"diameter": parse("0.2498 in"), "damage_depth": parse(depth), "reach": parse("0.7 in")},
        )
    ready_to_grind(lines[2], bench_hand)
    checked = ground(lines[3], bench_hand)
    first = pieces_of(lines[0])[1].pk
    return {
        "bench": "/bench/",
        "line": "/bench/417-2/",
        "inspect": "/bench/417-1/inspect",
        "one": f"/bench/417-1/inspect?piece={first}&next=1",
        "plan": "/bench/417-2/plan",
        "exception": f"/bench/417-2/plan?piece={pieces[4].pk}",
        "grind": "/bench/417-3/grind",
        "check": "/bench/417-4/check",
        "check one": f"/bench/417-4/check?piece={checked[2].pk}&next=1",
    }


def open_folds(hand: Hand) -> None:
    hand.page.evaluate("document.querySelectorAll('details').forEach(fold => { fold.open = true })")


@pytest.mark.parametrize("device", ["tablet", "portrait", "phone"])
def test_every_control_of_the_bench_is_large_enough_for_a_glove(bench, pages, device):
    hand, small = bench(device), {}
    for name, where in pages.items():
        hand.open(where)
        open_folds(hand)
        small |= {name: found} if (found := hand.page.evaluate(SMALL, CONTROLS)) else {}
    assert small == {}
    hand.page.evaluate("document.querySelector('main .button').style.minHeight = '40px'")  # a small one is noticed
    assert hand.page.evaluate(SMALL, CONTROLS)


def test_the_pages_of_one_piece_fit_320_px_with_the_pad_open(bench, pages):
    hand, widths = bench("phone", **NARROW), {}
    for name in ("one", "exception", "check one", "inspect"):
        hand.open(pages[name])
        open_folds(hand)
        number = hand.page.locator("main input.length").first
        if number.is_visible():
            number.tap()
            expect(hand.page.locator(".pad")).to_be_visible()
            keys = hand.page.locator(".pad .key-5").bounding_box()
            assert min(keys["width"], keys["height"]) >= 48  # 72 where there is room: test_pad
        widths[name] = hand.page.evaluate("document.scrollingElement.scrollWidth")
    assert max(widths.values()) <= NARROW["viewport"]["width"], widths


WRONG = {
    "inspect": (
        "Save inspection",
        {"diameter": ".2.5", "damage_depth": "4", "reach": "9 m"},
        "diameter",
        ["is not a length", "needs a unit"],
    ),
    "one": (
        "Save inspection",
        {"diameter": ".2498", "damage_depth": "", "reach": ".06", "tooth_1": "0", "tooth_2": "1 thou"},
        "damage_depth",
        ["Write how deep", "out of range"],
    ),
    "check": ("Save,? and release", {"diameter": "24"}, "diameter", ["needs a unit"]),
    "grind": ("Save grind", {"minutes": "soon"}, "minutes", []),
}


@pytest.mark.parametrize("name", sorted(WRONG))
def test_an_error_keeps_what_was_typed_names_the_field_and_takes_the_focus(bench, pages, axe, name):
    words, typed, first, said = WRONG[name]
    hand = bench("tablet")
    hand.open(pages[name])
    hand.fill(**typed)
    with hand.page.expect_event("load"):
        hand.page.get_by_role("button", name=re.compile(f"^{words}")).click()
    assert hand.status == 422
    for field, text in typed.items():
        expect(hand.page.locator(f"[name={field}]")).to_have_value(text)
    expect(hand.page.locator(f"[name={first}]")).to_be_focused()
    assert hand.page.locator(f"#id_{first}_error").is_visible()
    for part in said:
        assert part in hand.text()
    assert axe(hand.page) == []


CONTRAST = ("wcag2aaa",)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_where_more_contrast_is_asked_for_all_text_has_seven_to_one(bench, pages, axe, scheme):
    hand, found = bench("tablet", contrast="more", color_scheme=scheme), {}
    for name in ("line", "one", "plan", "check"):
        hand.open(pages[name])
        low = [line for line in axe(hand.page, CONTRAST) if line.startswith("color-contrast")]
        found |= {name: low} if low else {}
    assert found == {}


def test_forced_colours_leave_each_state_its_shape(bench, pages):
    hand = bench("tablet", forced_colors="active")
    hand.open(pages["line"])
    looks = hand.page.evaluate(SHAPES)
    assert len(looks) == len(set(looks)) == 3
    chosen = hand.page.locator(".bar .next").evaluate("b => getComputedStyle(b).backgroundColor")
    assert chosen != hand.page.evaluate("getComputedStyle(document.body).backgroundColor")
