"""A hole to be reamed: its limits from a class or from deviations, and how a reamer's diameter stands to them."""

from dataclasses import dataclass
from typing import Any, Literal

from regrind.geometry.fields import Fields, read_signed_length
from regrind.geometry.fits import find_hole_tolerance, find_reamer_sizes
from regrind.geometry.kinds.reading import require
from regrind.geometry.units import NM_PER_MM

Size = Literal["as_new", "low", "high", "too_small", "too_large"]
_CLASSES = ("H6", "H7", "H8", "H9", "H10")
_LARGEST_MM = 80
_DEVIATIONS = ("lower_deviation", "upper_deviation")
_DIGITS = 9


@dataclass(frozen=True, slots=True)
class Hole:
    """The sizes of a hole, and of a new reamer for it, in mm."""

    lower_mm: float
    upper_mm: float
    reamer_lower_mm: float
    reamer_upper_mm: float

    @classmethod
    def between(cls, lower_nm: int, upper_nm: int) -> "Hole":
        """The hole between two sizes in whole nm, lower below upper.

        >>> Hole.between(10_040_000, 10_062_000).reamer_upper_mm
        10.058
        """
        sizes = (lower_nm, upper_nm, *find_reamer_sizes(lower_nm, upper_nm))
        return cls(*(size / NM_PER_MM for size in sizes))

    def judge(self, diameter_mm: float) -> Size:
        """How a reamer of a diameter in mm serves: as a new one, low or high in the hole's limits, or not at all.

        Compared to 1e-9 mm. Source: ISO 522 / DIN 1420 for the new reamer's sizes.

        >>> Hole.between(10_000_000, 10_015_000).judge(10.003)
        'low'
        """
        size = round(diameter_mm, _DIGITS)
        if self.reamer_lower_mm <= size <= self.reamer_upper_mm:
            return "as_new"
        if size < self.reamer_lower_mm:
            return "low" if size >= self.lower_mm else "too_small"
        return "high" if size <= self.upper_mm else "too_large"

    def describe(self, diameter_mm: float) -> dict[str, Any]:
        """The hole and how a reamer of a diameter in mm stands to it, ready for the answer."""
        return {
            "verdict": self.judge(diameter_mm),
            "hole_lower_mm": self.lower_mm,
            "hole_upper_mm": self.upper_mm,
            "reamer_lower_mm": self.reamer_lower_mm,
            "reamer_upper_mm": self.reamer_upper_mm,
            "wear_left_mm": diameter_mm - self.lower_mm,
        }


def read_hole(fields: Fields) -> Hole | None:
    """A hole by nominal size with its class, or with both deviations; None after a problem.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> read_hole(Fields({"nominal": "10 mm", "class": "H7"}, "hole", [])).upper_mm
    10.015
    """
    before, nominal = len(fields.problems), fields.length("nominal", above_zero=True)
    by_class = fields.has("class")
    lower, upper = _read_class(fields, nominal) if by_class else _read_deviations(fields, nominal)
    fields.close()
    return Hole.between(lower, upper) if len(fields.problems) == before and not fields.broken else None


def _read_class(fields: Fields, nominal: int) -> tuple[int, int]:
    name = fields.one_of("class", _CLASSES)
    if nominal > _LARGEST_MM * NM_PER_MM:
        fields.refuse("nominal", f"must be above 0 and at most {_LARGEST_MM} mm with a class: give both deviations")
    elif name and nominal:
        return nominal, nominal + find_hole_tolerance(name.replace("H", "IT"), nominal / NM_PER_MM) * 1000
    return nominal, nominal


def _read_deviations(fields: Fields, nominal: int) -> tuple[int, int]:
    require(fields, *_DEVIATIONS, why="where no class is given")
    deviations = [read_signed_length(fields.take(key), fields.name(key), fields.problems) for key in _DEVIATIONS]
    lower, upper = (nominal + (deviation or 0) for deviation in deviations)
    if None not in deviations and upper <= lower:
        fields.refuse("upper_deviation", "must be above the lower deviation")
    elif nominal and lower <= 0:
        fields.refuse("lower_deviation", "leaves no hole: nominal and deviation together must be above 0")
    return lower, upper
