"""One size for all as a bar of pieces: each at the largest diameter it comes clean at; a line is what is taken."""

from collections.abc import Collection, Sequence

from django.utils.safestring import SafeString

from regrind.geometry.common_size import Piece, Size
from regrind.geometry.units import Unit
from regrind.shop.web import svg

WIDTH, BLOCK, GAP, PAD, HEAD, FOOT = 360, 16.0, 4.0, 30, 34, 30
NONE_AT = 14.0  # where those stand that come clean at no size


def draw_size_bar(pieces: Sequence[Piece], sizes: Sequence[Size], taken_nm: Collection[int], unit: Unit) -> SafeString:
    """Diameter to the right. What stands right of a line comes clean at it, filled; what stands left of all is open.

    pieces: with the cut-backs that the line's limits allow; sizes: the steps there are; taken_nm: one or two of them.
    """
    most = {p.name: max((c.diameter_nm for c in p.cleans), default=None) for p in pieces}
    known = [nm for nm in most.values() if nm is not None] + [size.diameter_nm for size in sizes]
    low, high = min(known), max(known)

    def place(nm: int) -> float:
        share = 0.5 if high == low else (nm - low) / (high - low)
        return PAD * 2 + share * (WIDTH - 3 * PAD)

    clean = {name for size in sizes if size.diameter_nm in taken_nm for name, _ in size.clean}
    stacks = _stack({name: NONE_AT if nm is None else place(nm) for name, nm in most.items()})
    tall = max(map(len, stacks.values()), default=1)
    floor = HEAD + tall * (BLOCK + GAP)
    parts = [svg.line((PAD * 1.4, floor), (WIDTH - 8, floor), "axis")]
    for x, names in stacks.items():
        parts += [_block(x, floor - n * (BLOCK + GAP), name in clean) for n, name in enumerate(names, 1)]
    parts += [svg.line((place(size.diameter_nm), floor), (place(size.diameter_nm), floor + 6), "dim") for size in sizes]
    parts += _words(low, high, floor, unit, any(nm is None for nm in most.values()))
    parts += [part for nm in sorted(taken_nm) for part in _taken(place(nm), floor, svg.in_unit(nm / 1e6, unit))]
    in_words = ", ".join(svg.in_unit(nm / 1e6, unit) for nm in sorted(taken_nm, reverse=True)) or "no size"
    return svg.wrap(WIDTH, floor + FOOT, f"{len(clean)} of {len(pieces)} pieces come clean at {in_words}", parts)


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
        svg.line((x - BLOCK / 2 - 2, 20), (x - BLOCK / 2 - 2, floor + 8), "line"),
        svg.text((min(max(x, 50.0), WIDTH - 50), 14), words, size=16, anchor="middle"),
    ]


def _words(low: int, high: int, floor: float, unit: Unit, some_never: bool) -> list[SafeString]:
    parts = [svg.text((PAD * 2, floor + 24), svg.in_unit(low / 1e6, unit), anchor="middle", look="note")]
    if high != low:
        parts.append(svg.text((WIDTH - PAD, floor + 24), svg.in_unit(high / 1e6, unit), anchor="middle", look="note"))
    if some_never:
        parts.append(svg.text((2, floor + 24), "at none", look="note"))
    return parts
