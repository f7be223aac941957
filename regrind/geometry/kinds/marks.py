"""Marks that several kinds share: how they are read, what they take off, how deep a wear land lies."""

from collections.abc import Sequence
from dataclasses import dataclass

from regrind.geometry.fields import Fields
from regrind.geometry.kinds.kind import Terms
from regrind.geometry.kinds.quantity import Quantity, find_largest
from regrind.geometry.kinds.reading import read_one_of


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark on a tooth: what it is, its length in mm, and on a lip its distance `at` in from the corner."""

    field: str
    damage_kind: str
    length_mm: float
    at_mm: float = 0.0


def read_mark(fields: Fields, keys: Sequence[str]) -> Mark | None:
    """A mark given by the one of `keys` that stands; None after a problem.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> read_mark(Fields({"worn": "1 mm"}, "damage[0]", []), ("worn",)).length_mm
    1.0
    """
    one = read_one_of(fields, keys)
    return Mark(fields.path, *one) if one else None


def find_longest(marks: Sequence[Mark], damage_kind: str) -> float:
    """The longest mark of a sort in mm, 0 where there is none.

    Source: none needed: the largest of the marks.

    >>> find_longest([Mark("damage[0]", "chip", 0.2)], "worn_margin")
    0.0
    """
    return max((mark.length_mm for mark in marks if mark.damage_kind == damage_kind), default=0.0)


def find_stock(marks: Sequence[Mark], finish_mm: float, terms: Terms) -> tuple[Quantity, ...]:
    """The longest mark and the finish in mm, ties of what sets it; 0 where no mark has any length.

    Source: a mark is gone when all of it is ground away; docs/kinds-notes.md.

    >>> find_stock([Mark("damage[0]", "worn", 0.5)], 0.1, Terms())[0].value
    0.6
    """
    if not any(mark.length_mm for mark in marks):
        return (Quantity(0.0),)
    lengths = (terms.read(mark.length_mm, mark.field, "damage") for mark in marks)
    return tuple(length + finish_mm for length in find_largest(lengths))


def find_wear_depth(wear_land: Quantity, tan_relief: Quantity, tan_rake: Quantity) -> Quantity:
    """Depth in mm, square to the path of the edge, of a wear land of width `wear_land` along it.

    tan_relief, tan_rake: of flank and face, their product below 1.
    Source: the land as a flat cut into face and flank: VB tan a / (1 - tan a tan g); docs/kinds-notes.md.

    >>> round(find_wear_depth(Quantity(0.1016), Quantity(0.212557), Quantity(0.140541)).value, 5)
    0.02226
    """
    return wear_land * tan_relief / (1 - tan_relief * tan_rake)
