"""What was taken off against what the plan predicted: filled bars for the one, an outline for the other."""

from collections.abc import Callable, Mapping

from django.utils.safestring import SafeString

from regrind.geometry.units import Unit, show, show_with_unit
from regrind.shop.web import svg

from .frame import BOTTOM, HEIGHT, LABEL, LEFT, RIGHT, TOP, WIDTH, Axis, Chart, axis

BIN_NM = 10_000  # what the roll-ups keep: the start of each bin of diameter
MOST_BINS = 24
NM = {"in": 25_400_000.0, "mm": 1_000_000.0}
TITLE = "Stock taken off the diameter"


def draw_spread(
    taken: Mapping[int, int],
    predicted: Mapping[int, int],
    unit: Unit,
    link: Callable[[int, int], str] = lambda start, end: "",
) -> Chart:
    """taken, predicted: number of regrinds by the start of their bin, in nm of diameter. link: the address of the
    pieces that lost from start up to end."""
    if not taken:
        return Chart(
            TITLE,
            None,
            empty="No piece was measured both before and after yet: read the diameter at the "
            "inspection and at the final check.",
        )
    wide = _bin(min([*taken, *predicted]), max([*taken, *predicted]))
    real, plan = _again(taken, wide), _again(predicted, wide)
    starts = sorted({*real, *plan})
    across = axis([starts[0], starts[-1] + wide], LEFT, WIDTH - RIGHT, most=4, scale=NM[unit])
    up = axis([0, max([*real.values(), *plan.values()])], HEIGHT - BOTTOM, TOP, most=4, from_zero=True)
    parts = [*_marks(across, up, unit), *_filled(real, wide, across, up), *_outline(plan, wide, across, up), *_named()]
    rows = tuple(
        (
            f"{show(start, unit)} – {show_with_unit(start + wide, unit)}",
            str(real.get(start, 0)),
            str(plan.get(start, 0)),
        )
        for start in starts
    )
    links = tuple(link(start, start + wide) if start in real else "" for start in starts)
    return Chart(
        TITLE,
        svg.wrap(WIDTH, HEIGHT, TITLE, parts),
        ("off the diameter", "taken", "predicted"),
        rows,
        links=links,
        note=f"{sum(taken.values())} regrinds of pieces that were themselves measured before and after.",
    )


def _bin(low: int, high: int) -> int:
    """The narrowest bin, a round multiple of what is kept, that makes no more than MOST_BINS of them."""
    width, steps = BIN_NM, (2, 2.5, 2)
    turn = 0
    while (high - low) / width >= MOST_BINS:
        width, turn = int(width * steps[turn % 3]), turn + 1
    return width


def _again(counts: Mapping[int, int], width: int) -> dict[int, int]:
    wider: dict[int, int] = {}
    for start, n in counts.items():
        wider[start // width * width] = wider.get(start // width * width, 0) + n
    return wider


def _marks(across: Axis, up: Axis, unit: Unit) -> list[SafeString]:
    floor = HEIGHT - BOTTOM
    parts = [svg.line((LEFT, floor), (WIDTH - RIGHT, floor), "axis"), svg.line((LEFT, TOP), (LEFT, floor), "axis")]
    for mark in across.marks:
        x = across.place(mark)
        parts += [
            svg.line((x, floor), (x, floor + 5), "axis"),
            svg.text((x, floor + 20), show(round(mark), unit), size=LABEL, anchor="middle", look="note"),
        ]
    parts.append(
        svg.text((WIDTH - RIGHT, HEIGHT - 22), f"off the diameter, {unit}", size=LABEL, anchor="end", look="note")
    )
    for mark in up.marks:
        if mark == int(mark):
            parts.append(svg.text((LEFT - 8, up.place(mark) + 5), f"{mark:.0f}", size=LABEL, anchor="end", look="note"))
    return parts


def _filled(counts: Mapping[int, int], wide: int, across: Axis, up: Axis) -> list[SafeString]:
    floor = up.place(0)
    return [
        svg.rect(
            (across.place(start) + 0.5, up.place(n)),
            (across.place(start + wide) - across.place(start) - 1, floor - up.place(n)),
            "bar",
        )
        for start, n in sorted(counts.items())
    ]


def _outline(counts: Mapping[int, int], wide: int, across: Axis, up: Axis) -> list[SafeString]:
    """The stairs over the bins; between bins that are apart it goes down to nothing."""
    parts, floor = [], up.place(0)
    run: list[svg.Point] = []
    last = None
    for start, n in sorted(counts.items()):
        if last is not None and start != last:
            parts.append(svg.path([*run, (run[-1][0], floor)], "will", closed=False))
            run = []
        x, right, high = across.place(start), across.place(start + wide), up.place(n)
        run = run or [(x, floor)]
        run += [(x, high), (right, high)]
        last = start + wide
    return [*parts, *([svg.path([*run, (run[-1][0], floor)], "will", closed=False)] if run else [])]


def _named() -> list[SafeString]:
    return [
        svg.text((LEFT, 16), "filled: taken", size=LABEL),
        svg.text((WIDTH - RIGHT, 16), "outlined: predicted by the plan", size=LABEL, anchor="end"),
    ]
