"""The limits that a plan is judged by, as one dated edition: each with value, unit, source and what it leaves open.

Change a limit, a default or its table, and the edition changes with it; a stored plan keeps the edition it was
judged by.
"""

from dataclasses import dataclass
from functools import cache

from regrind.geometry.floors import KEPT_AT_ONCE, SMALL_PERCENT
from regrind.geometry.tables import rows

EDITION = "2026-11"
_PRACTICE = "common practice"
_GAPS = "the source leaves gaps between its bands: the stricter, that of larger diameters, is taken there"
_BELOW = "; below 1/4 in it says nothing: there diameter_floor stands"


@dataclass(frozen=True, slots=True)
class DatedLimit:
    """A limit is never a bare number: value, unit, where it comes from, in which edition, what it leaves open."""

    name: str
    condition: str
    value: float
    unit: str
    source: str
    note: str = ""
    edition: str = EDITION


RAKE = DatedLimit(
    "rake_deg",
    "radial rake at the new edge",
    0.0,
    "deg",
    _PRACTICE,
    "where the face was not measured it rests on an assumed arc and can only ask",
)
_NONE_NAMED = "only where the customer names none; it can only ask"
DIAMETER_FLOOR = DatedLimit(
    "diameter_floor",
    "below 1/4 in, largest reduction",
    SMALL_PERCENT,
    "%",
    _PRACTICE,
    _NONE_NAMED + "; from 1/4 in on the published reduction",
)
FLUTE_FLOOR = DatedLimit(
    "flute_floor", "flute left, and half the new flute", 1.0, "nominal diameters", _PRACTICE, _NONE_NAMED
)
FLUTE_AT_ONCE = DatedLimit(
    "flute_floor", "flute left by one regrind, of the present", KEPT_AT_ONCE, "1", "our choice", _NONE_NAMED
)
COLLET_RUNOUT = DatedLimit(
    "shank_runout", "small end mill in its collet", 0.0005, "in", _PRACTICE, "a soft note: it changes no verdict"
)


@cache
def list_limits() -> tuple[DatedLimit, ...]:
    """Every limit of this edition that does not come from the customer.

    Source: shared/18_practice_and_tolerances.csv for the published reductions, else as each limit says.

    >>> [(limit.condition, limit.value) for limit in list_limits()][0]
    ('.250 to .500 in', 15.0)
    """
    published = [
        row
        for row in rows("18_practice_and_tolerances")
        if row["item"].startswith("largest reduction of original diameter")
    ]
    return (
        *(
            DatedLimit(
                "published_reduction",
                row["condition"],
                float(row["value"]),
                row["unit"],
                row["source"],
                _GAPS + (_BELOW if row["condition"].startswith(".250") else ""),
            )
            for row in published
        ),
        RAKE,
        DIAMETER_FLOOR,
        FLUTE_FLOOR,
        FLUTE_AT_ONCE,
        COLLET_RUNOUT,
    )
