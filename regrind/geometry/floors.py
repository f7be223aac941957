"""The least that may be left where the customer named nothing: of the diameter, and of the flute's length."""

import re
from dataclasses import dataclass
from functools import cache, lru_cache

from regrind.geometry.inputs import Case, Tool
from regrind.geometry.tables import rows
from regrind.geometry.units import NM_PER_IN, NM_PER_MM

SMALL_PERCENT = 10.0
KEPT_AT_ONCE = 0.75  # of the present flute
_REDUCTION_ITEM = "largest reduction of original diameter"
_INCHES = re.compile(r"\d*\.?\d+")
_SMALL = f"common practice, below what is published: {SMALL_PERCENT:g} % of the nominal diameter"
_FLUTE = "common practice: one nominal diameter and half the new flute; our choice: three quarters of the present one"


@dataclass(frozen=True, slots=True)
class Published:
    """The published largest reduction for a nominal diameter.

    `percent`: of that diameter, taken off. `between`: the diameter falls into a gap of the source.
    """

    least_diameter_mm: float
    percent: float
    between: bool
    source: str


@dataclass(frozen=True, slots=True)
class Floor:
    """A soft limit that may only ask: the least in mm, and where it comes from."""

    at_least_mm: float
    source: str


@dataclass(frozen=True, slots=True)
class CountedTo:
    """What regrinds are counted down to, in mm: a diameter, and a usable length or else a length of flute."""

    diameter_mm: float
    usable_length_mm: float | None
    flute_mm: float | None


@lru_cache(maxsize=1024)
def find_diameter_floor(nominal_diameter_nm: int) -> Floor:
    """The least diameter where the customer named none: the published share, below its first band 10 % off.

    nominal_diameter_nm: above 0. The published share is that of `find_published`, gaps included.
    Source: shared/18_practice_and_tolerances.csv; below 1/4 in common practice.

    >>> find_diameter_floor(25_000_000).at_least_mm, find_diameter_floor(4_000_000).at_least_mm
    (22.5, 3.6)
    """
    published = find_published(nominal_diameter_nm)
    if published:
        return Floor(published.least_diameter_mm, describe_published(published))
    return Floor(nominal_diameter_nm * (100 - SMALL_PERCENT) / (100 * NM_PER_MM), _SMALL)


def find_flute_floor_nm(tool: Tool) -> float:
    """The least length of flute in nm over all regrinds: one nominal diameter, and half the new flute.

    Half the present flute where nobody knows the new one; the result may end in half a nanometre.
    Source: common practice; the standard length of cut is 1.5 diameters (shared/18_practice_and_tolerances.csv).

    >>> find_flute_floor_nm(Tool("end mill", 4, 10_000_000, 22_000_000))
    11000000.0
    """
    return max(float(tool.nominal_diameter_nm), (tool.new_flute_length_nm or tool.flute_length_nm) / 2)


def find_flute_floor(tool: Tool) -> Floor:
    """The least length of flute that one regrind may leave unasked: `find_flute_floor_nm`, and 3/4 of the present.

    Source: common practice; the quarter a regrind is a choice of this program.

    >>> find_flute_floor(Tool("end mill", 4, 10_000_000, 22_000_000)).at_least_mm
    16.5
    """
    return Floor(max(find_flute_floor_nm(tool), KEPT_AT_ONCE * tool.flute_length_nm) / NM_PER_MM, _FLUTE)


def find_counted_to(case: Case) -> CountedTo:
    """What `regrinds_left` is counted down to: the customer's limits, else the floors.

    Source: `find_diameter_floor` and `find_flute_floor_nm`.

    >>> from regrind.geometry.example import read_example
    >>> find_counted_to(read_example())
    CountedTo(diameter_mm=5.842, usable_length_mm=12.7, flute_mm=None)
    """
    limits, tool = case.limits, case.tool
    if limits.diameter_nm is None:
        diameter = find_diameter_floor(tool.nominal_diameter_nm).at_least_mm
    else:
        diameter = limits.diameter_nm / NM_PER_MM
    if limits.usable_length_nm is None:
        return CountedTo(diameter, None, find_flute_floor_nm(tool) / NM_PER_MM)
    return CountedTo(diameter, limits.usable_length_nm / NM_PER_MM, None)


@lru_cache(maxsize=1024)
def find_published(nominal_diameter_nm: int) -> Published | None:
    """The smallest diameter a published rule leaves of a nominal one; None below its first band (1/4 in).

    nominal_diameter_nm: above 0. Between two bands the stricter one, that of larger diameters, is taken.
    Source: shared/18_practice_and_tolerances.csv.

    >>> find_published(6_350_000).percent, find_published(13_500_000).between, find_published(6_000_000)
    (15.0, True, None)
    """
    above = [band for band in _bands() if nominal_diameter_nm <= band[1]]
    if nominal_diameter_nm < _bands()[0][0]:
        return None
    first, _, percent, source = above[0] if above else _bands()[-1]
    least = nominal_diameter_nm * (100 - percent) / (100 * NM_PER_MM)
    return Published(least, float(percent), nominal_diameter_nm < first, source)


def describe_published(published: Published) -> str:
    """Source, share and gap of a published reduction, in one line.

    Source: as the limit itself names.

    >>> describe_published(Published(5.4, 15.0, False, "a maker's tip"))
    "a maker's tip: 15 % of the nominal diameter"
    """
    side = "; between two bands of the source, the stricter taken" if published.between else ""
    return f"{published.source}: {published.percent:g} % of the nominal diameter{side}"


@cache
def _bands() -> list[tuple[int, int, int, str]]:
    """First and last nominal diameter (nm), percent and source of each band, in rising order; the last is open."""
    table = [row for row in rows("18_practice_and_tolerances") if row["item"].startswith(_REDUCTION_ITEM)]
    bands = []
    for row in table:
        ends = [round(float(inch) * NM_PER_IN) for inch in _INCHES.findall(row["condition"])]
        first, last = (ends[0] + 1, 10**11) if len(ends) == 1 else (ends[0], ends[1])
        bands.append((first, last, int(row["value"]), row["source"]))
    return sorted(bands)
