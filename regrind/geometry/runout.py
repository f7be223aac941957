"""The runout that a reground end mill may have, by the published row of its diameter."""

from dataclasses import dataclass
from functools import lru_cache

from regrind.geometry.ranges import require_above_zero
from regrind.geometry.tables import rows
from regrind.geometry.units import NM_PER_IN, NM_PER_MM

_ITEM = "TIR after grinding"
_MM_PER_IN = NM_PER_IN / NM_PER_MM


@dataclass(frozen=True, slots=True)
class RunoutLimit:
    """The largest total indicator reading in mm for diameters from `from_mm` on, and where it stands."""

    from_mm: float
    most_mm: float
    source: str


def find_runout_limit(diameter_mm: float) -> RunoutLimit | None:
    """The largest runout of a ground carbide end mill for finishing; None below the table's first row.

    diameter_mm: above 0. Raises Refused naming it.
    Source: a US end-mill maker's posted tolerances, read (shared/18); between two rows the smaller one's holds.

    >>> limit = find_runout_limit(6.35)
    >>> round(limit.most_mm / 25.4, 4)
    0.0005
    """
    require_above_zero("diameter_mm", diameter_mm)
    return next((limit for limit in _limits() if diameter_mm >= limit.from_mm - 1e-9), None)


@lru_cache(maxsize=1)
def _limits() -> tuple[RunoutLimit, ...]:
    """The table's row of diameters and row of readings, the largest diameter first."""
    row = next(row for row in rows("18_practice_and_tolerances") if row["item"] == _ITEM)
    bands = row["condition"].removeprefix("finishers ").split("/")
    return tuple(
        RunoutLimit(_first(band) * _MM_PER_IN, float(most) * _MM_PER_IN, row["source"])
        for band, most in zip(bands, row["value"].split("/"), strict=True)
    )


def _first(band: str) -> float:
    """Where a band begins, in inches: `.061-.111` at .061, `.112 in and over` at .112."""
    return float(band.strip().split()[0].split("-")[0])
