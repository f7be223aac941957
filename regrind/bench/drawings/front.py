"""The front of a tool in its plane through the axis, drawn true: the outline as received, and the one after.

A kind says both as points: (radius, back from the corner as it was), in mm, from the axis out.
"""

from collections.abc import Sequence
from itertools import pairwise

from regrind.paper.values import Sketch

Point = tuple[float, float]
WORN_SHARE = 0.03  # how deep damage is drawn, of the radius: only how far back it reaches is true


def sketch_front(
    before: Sequence[Point], after: Sequence[Point], worn: tuple[float, float], words: tuple[str, str], note: str
) -> Sketch:
    """Both outlines mirrored about the axis. worn: from where to where back damage reaches; words: for each outline."""
    shown = [*before, *after]
    radius, foot = max(r for r, _ in shown), max(z for _, z in shown)
    foot += max(0.6 * radius, 0.5 * (worn[1] - worn[0]))
    old, new = ([*points, (points[-1][0], foot)] for points in (before, after))
    top = min(z for _, z in shown)
    return Sketch(
        "The front",
        body=_mirror(old),
        before=_mirror(old),
        after=_mirror(new),
        off=((*_mirror(old), *reversed(_mirror(new))),),
        worn=_mark_wear(old, worn, radius),
        centre=(((0.0, -(top - 0.05 * radius)), (0.0, -foot)),),
        was=words[0],
        will=words[1],
        note=note,
    )


def _mirror(points: Sequence[Point]) -> tuple[Point, ...]:
    return (*((-r, -z) for r, z in reversed(points)), *((r, -z) for r, z in points))


def _mark_wear(outline: Sequence[Point], worn: tuple[float, float], radius: float) -> tuple[tuple[Point, ...], ...]:
    """The damage, dark along both edges as far back as it reaches."""
    along = cut_outline(outline, *worn)
    if len(along) < 2:
        return ()
    inner = [(r - WORN_SHARE * radius, z) for r, z in reversed(along)]
    return tuple(tuple((side * r, -z) for r, z in [*along, *inner]) for side in (-1, 1))


def cut_outline(outline: Sequence[Point], start: float, end: float) -> list[Point]:
    """The part of an outline between two places along the axis, with a point at each end; along the axis it rises."""
    part: list[Point] = []
    for (r0, z0), (r1, z1) in pairwise(outline):
        if z1 <= z0 or z1 <= start or z0 >= end:
            continue
        low, high = max(z0, start), min(z1, end)
        part += [(r0 + (r1 - r0) * (z - z0) / (z1 - z0), z) for z in (low, high)]
    return part
