"""A family's life: the diameter that pieces leave with, by how often they had been ground, and the limits they near."""

from collections.abc import Mapping, Sequence
from statistics import median

from django.utils.safestring import SafeString

from regrind.geometry.units import Unit, show, show_with_unit
from regrind.shop.web import svg

from .frame import BOTTOM, HEIGHT, LABEL, LEFT, RIGHT, TOP, WIDTH, Axis, Chart, axis
from .spread import NM

TITLE = "Diameter over visits"
MOST_TIMES = 12
CAP = 6


def draw_family_life(
    left: Mapping[int, Sequence[int]],
    followed: Sequence[Sequence[tuple[int, int]]],
    levels: Sequence[tuple[int, str]],
    unit: Unit,
    note: str = "",
) -> Chart:
    """left: diameters in nm that pieces left with, by which regrind of theirs it was (1 the first). followed: each
    followed tool's (regrind, diameter), joined by a thin line. levels: nominal size and smallest sizes, with words."""
    shown = {times: sizes for times, sizes in sorted(left.items()) if times <= MOST_TIMES and sizes}
    if not shown:
        return Chart(
            TITLE,
            None,
            empty="No piece whose regrinds are known was measured when done yet: count the "
            "marks on the shank, or follow a tool.",
        )
    every = [nm for sizes in shown.values() for nm in sizes]
    near = [level for level in levels if level[0] > min(every) - 4 * max(1, max(every) - min(every))]
    up = axis([*every, *(nm for nm, _ in near)], HEIGHT - BOTTOM, TOP, most=4, scale=NM[unit])
    times = sorted(shown)
    step = (WIDTH - RIGHT - LEFT) / (times[-1] - times[0] + 1)

    def across(k: int) -> float:
        return LEFT + step * (k - times[0] + 0.5)

    lines, words = _levels(near, up)
    parts = [*_frame(up, unit), *lines]
    for tool in followed:
        spots = [(across(k), up.place(nm)) for k, nm in tool if times[0] <= k <= times[-1]]
        parts += [svg.path(spots, "thread", closed=False)] if len(spots) > 1 else []
    for k, sizes in shown.items():
        parts += _column(across(k), k, sizes, up)
    parts += words  # over what is drawn, with a ground of their own, so that they can be read
    rows = tuple(
        (str(k), str(len(sizes)), *(show_with_unit(round(nm), unit) for nm in (median(sizes), min(sizes), max(sizes))))
        for k, sizes in shown.items()
    )
    return Chart(
        TITLE,
        svg.wrap(WIDTH, HEIGHT, TITLE, parts),
        ("regrind", "pieces", "middle", "smallest", "largest"),
        rows,
        note=note,
    )


def _frame(up: Axis, unit: Unit) -> list[SafeString]:
    floor = HEIGHT - BOTTOM
    parts = [
        svg.line((LEFT, floor), (WIDTH - RIGHT, floor), "axis"),
        svg.line((LEFT, TOP), (LEFT, floor), "axis"),
        svg.text((LEFT, 16), f"diameter it left with, {unit}", size=LABEL, look="note"),
        svg.text((WIDTH - RIGHT, HEIGHT - 6), "which regrind", size=LABEL, anchor="end", look="note"),
    ]
    parts += [
        svg.text((LEFT - 8, up.place(mark) + 5), show(round(mark), unit), size=LABEL, anchor="end", look="note")
        for mark in up.marks
    ]
    return parts


def _levels(levels: Sequence[tuple[int, str]], up: Axis) -> tuple[list[SafeString], list[SafeString]]:
    """Dashed lines, and their words at the right; words that would run into others stay in the table and the text."""
    lines: list[SafeString] = []
    words: list[SafeString] = []
    taken: list[float] = []
    for nm, said in sorted(levels, reverse=True):
        y = up.place(nm)
        lines.append(svg.line((LEFT, y), (WIDTH - RIGHT, y), "limit"))
        if all(abs(y - other) > 18 for other in taken):
            taken.append(y)
            words.append(svg.text((WIDTH - RIGHT, y - 5), said, size=LABEL, anchor="end", look="note halo"))
    return lines, words


def _column(x: float, k: int, sizes: Sequence[int], up: Axis) -> list[SafeString]:
    low, high, floor = up.place(min(sizes)), up.place(max(sizes)), HEIGHT - BOTTOM
    parts = [svg.line((x, low), (x, high), "whisker")]
    parts += [svg.line((x - CAP, y), (x + CAP, y), "whisker") for y in (low, high)] if len(sizes) > 1 else []
    return [
        *parts,
        svg.circle((x, up.place(median(sizes))), 6, "dye"),
        svg.text((x, floor + 18), str(k), size=LABEL, anchor="middle"),
        svg.text((x, floor + 36), f"n {len(sizes)}", size=LABEL, anchor="middle", look="note"),
    ]
