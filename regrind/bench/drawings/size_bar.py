"""One size for all as a bar of pieces: each at the largest diameter it comes clean at; a line is what is taken."""

from collections.abc import Callable, Collection, Mapping, Sequence

from django.utils.safestring import SafeString

from regrind.geometry.common_size import Piece, Size
from regrind.geometry.units import Unit
from regrind.shop.web import svg

WIDTH, BLOCK, GAP, PAD, HEAD, FOOT = 360, 16.0, 4.0, 30, 34, 30
NUMBER = 66.0  # the width of a size in figures
NONE_AT = 14.0  # where those stand that come clean at no size


def draw_size_bar(pieces: Sequence[Piece], sizes: Sequence[Size], taken_nm: Collection[int], unit: Unit) -> SafeString:
    """Diameter to the right. What stands on a line or right of it comes clean at it, filled; left of all it is open.

    pieces: with the cut-backs that the line's limits allow; sizes: the steps there are; taken_nm: one or two of them.
    """
    most, place = _find_most(pieces), _scale(pieces, sizes)
    clean = {name for size in sizes if size.diameter_nm in taken_nm for name, _ in size.clean}
    stacks = _stack({name: NONE_AT if nm is None else place(nm) for name, nm in most.items()})
    tall = max(map(len, stacks.values()), default=1)
    floor = HEAD + tall * (BLOCK + GAP)
    parts = [svg.line((PAD * 1.4, floor), (WIDTH - 8, floor), "axis")]
    for x, names in stacks.items():
        parts += [_block(x, floor - n * (BLOCK + GAP), name in clean) for n, name in enumerate(names, 1)]
    parts += [svg.line((place(size.diameter_nm), floor), (place(size.diameter_nm), floor + 6), "dim") for size in sizes]
    some_never = any(nm is None for nm in most.values())
    parts += _numbers({place(size.diameter_nm): size.diameter_nm for size in sizes}, floor, unit)
    parts += [svg.text((2, floor + 40), "at none", look="note")] if some_never else []
    parts += [part for nm in sorted(taken_nm) for part in _taken(place(nm), floor, svg.in_unit(nm / 1e6, unit))]
    in_words = ", ".join(svg.in_unit(nm / 1e6, unit) for nm in sorted(taken_nm, reverse=True)) or "no size"
    foot = FOOT + 16 if some_never else FOOT
    return svg.wrap(WIDTH, floor + foot, f"{len(clean)} of {len(pieces)} pieces come clean at {in_words}", parts)


def _find_most(pieces: Sequence[Piece]) -> dict[str, int | None]:
    """By name, the largest diameter that a piece comes clean at, None where it does at none."""
    return {p.name: max((c.diameter_nm for c in p.cleans), default=None) for p in pieces}


def _scale(pieces: Sequence[Piece], sizes: Sequence[Size]) -> Callable[[int], float]:
    """Diameter in nm -> its place across the drawing."""
    known = [nm for nm in _find_most(pieces).values() if nm is not None] + [size.diameter_nm for size in sizes]
    low, high = min(known), max(known)

    def place(nm: int) -> float:
        share = 0.5 if high == low else (nm - low) / (high - low)
        return PAD * 2 + share * (WIDTH - 3 * PAD)

    return place


def _stack(places: dict[str, float]) -> dict[float, list[str]]:
    """Pieces that would cover each other stand on one another."""
    stacks: dict[float, list[str]] = {}
    for name, x in sorted(places.items(), key=lambda item: item[1]):
        near = next((place for place in stacks if abs(place - x) < BLOCK + 1), x)
        stacks.setdefault(near, []).append(name)
    return stacks


def _block(x: float, top: float, clean: bool) -> SafeString:
    """Filled where it comes clean; else open, with a bar across: a shape, not a colour alone."""
    box = svg.rect((x - BLOCK / 2, top), (BLOCK, BLOCK), "dye" if clean else "was")
    if clean:
        return box
    return svg.wrap_parts([box, svg.line((x - BLOCK / 2, top + BLOCK), (x + BLOCK / 2, top), "was")])


def _taken(x: float, floor: float, words: str) -> list[SafeString]:
    return [
        svg.line((x, 20), (x, floor + 8), "line"),
        svg.text((min(max(x, 50.0), WIDTH - 50), 14), words, size=16, anchor="middle"),
    ]


def _numbers(ticks: Mapping[float, int], floor: float, unit: Unit) -> list[SafeString]:
    """The sizes below their ticks, the smallest always, then each that has room beside the one before it."""
    parts, free_from = [], 0.0
    for x, nm in sorted(ticks.items()):
        if x >= free_from:
            words, centre = svg.in_unit(nm / 1e6, unit), min(x, WIDTH - NUMBER / 2)
            parts.append(svg.text((centre, floor + 24), words, anchor="middle", look="note"))
            free_from = centre + NUMBER + GAP
    return parts


def find_track(pieces: Sequence[Piece], sizes: Sequence[Size]) -> tuple[float, float]:
    """Where the smallest and the largest size stand, in percent of the drawing's width: a slider lies below them."""
    place = _scale(pieces, sizes)
    ends = [place(size.diameter_nm) for size in sizes]
    return round(100 * min(ends) / WIDTH, 2), round(100 * max(ends) / WIDTH, 2)
