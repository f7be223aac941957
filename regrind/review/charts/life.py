"""A family's life: the diameter after each regrind, and the limits that it comes near."""

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
HEAD = ("regrind", "pieces", "median", "smallest", "largest")
EMPTY = "No measured piece with a known number of regrinds yet. Count the marks on the shank, or follow a tool."


def draw_family_life(
    sizes_by_regrind: Mapping[int, Sequence[int]],
    followed: Sequence[Sequence[tuple[int, int]]],
    levels: Sequence[tuple[int, str]],
    unit: Unit,
    note: str = "",
) -> Chart:
    """The diameters after each regrind, and the limits that they come near. All sizes in nm.

    sizes_by_regrind: diameters of pieces when they were returned, by number of their regrind (1 is the first).
    followed: the (regrind, diameter) pairs of each followed tool, joined by a thin line. levels: nominal size and
    smallest sizes, with their names.
    """
    shown = {k: sizes for k, sizes in sorted(sizes_by_regrind.items()) if k <= MOST_TIMES and sizes}
    if not shown:
        return Chart(TITLE, None, empty=EMPTY)
    picture = svg.wrap(WIDTH, HEIGHT, TITLE, _draw(shown, followed, levels, unit))
    return Chart(TITLE, picture, HEAD, tuple(_table_row(k, sizes, unit) for k, sizes in shown.items()), note=note)


def _draw(
    shown: Mapping[int, Sequence[int]],
    followed: Sequence[Sequence[tuple[int, int]]],
    levels: Sequence[tuple[int, str]],
    unit: Unit,
) -> list[SafeString]:
    every = [nm for sizes in shown.values() for nm in sizes]
    near = [level for level in levels if level[0] > min(every) - 4 * max(1, max(every) - min(every))]
    up = axis([*every, *(nm for nm, _ in near)], HEIGHT - BOTTOM, TOP, most=4, scale=NM[unit])
    first, last = min(shown), max(shown)
    step = (WIDTH - RIGHT - LEFT) / (last - first + 1)

    def across(k: int) -> float:
        return LEFT + step * (k - first + 0.5)

    lines, names = _levels(near, up)
    parts = [*_frame(up, unit), *lines]
    for tool in followed:
        spots = [(across(k), up.place(nm)) for k, nm in tool if first <= k <= last]
        parts += [svg.path(spots, "thread", closed=False)] if len(spots) > 1 else []
    for k, sizes in shown.items():
        parts += _column(across(k), k, sizes, up)
    return parts + names  # the names last: they have a ground of their own and stay readable


def _table_row(k: int, sizes: Sequence[int], unit: Unit) -> tuple[str, ...]:
    middle = (show_with_unit(round(nm), unit) for nm in (median(sizes), min(sizes), max(sizes)))
    return (str(k), str(len(sizes)), *middle)


def _frame(up: Axis, unit: Unit) -> list[SafeString]:
    floor = HEIGHT - BOTTOM
    parts = [
        svg.line((LEFT, floor), (WIDTH - RIGHT, floor), "axis"),
        svg.line((LEFT, TOP), (LEFT, floor), "axis"),
        svg.text((LEFT, 16), f"diameter after grinding, {unit}", size=LABEL, look="note"),
        svg.text((WIDTH - RIGHT, HEIGHT - 6), "number of the regrind", size=LABEL, anchor="end", look="note"),
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
    for nm, name in sorted(levels, reverse=True):
        y = up.place(nm)
        lines.append(svg.line((LEFT, y), (WIDTH - RIGHT, y), "limit"))
        if all(abs(y - other) > 18 for other in taken):
            taken.append(y)
            words.append(svg.text((WIDTH - RIGHT, y - 5), name, size=LABEL, anchor="end", look="note halo"))
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
