"""What stands in for a figure that the shop does not know, each with its spread, source and confidence."""

import math
from dataclasses import dataclass, replace
from functools import lru_cache

from regrind.geometry.damage import Flank
from regrind.geometry.handbook import find_handbook_relief
from regrind.geometry.inputs import Tool
from regrind.geometry.tables import rows
from regrind.geometry.units import NM_PER_IN, NM_PER_MM

_SMALL_BELOW_NM = 300 * NM_PER_IN // 1000
_FIRST_MM = 1.5875  # 1/16 in, the first row of the handbook's table
_COLUMNS = {
    "helix_deg": ("helix_deg", 2.0),
    "rake_deg": ("radial_rake_deg", 2.0),
    "primary_relief_deg": ("radial_primary_relief_deg", 1.5),
}
_STEEL = {"helix_deg": (30.0, 4.0), "rake_deg": (12.0, 3.0)}
_CORE_ITEM = "core diameter / cutting diameter"
_RECTANGLE = math.sqrt(3)  # half a width over this is the standard uncertainty of "anywhere between"


@dataclass(frozen=True, slots=True)
class Default:
    """A value used because none was given: `value` in mm for a length, in degrees for a `_deg` field; so is its
    `standard_uncertainty` (k = 1)."""

    field: str
    value: float
    standard_uncertainty: float
    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class Shape:
    """The tooth's shape in mm and rad, given or by default. `rake_rad` belongs to the nominal diameter where
    it comes from a catalogue, else to the edge as it stands."""

    core_mm: float
    rake_rad: float
    flank: Flank
    helix_rad: float
    arc_radius_mm: float | None
    defaults: tuple[Default, ...]

    @property
    def by_default(self) -> frozenset[str]:
        """Names of the fields that are defaults."""
        return frozenset(default.field for default in self.defaults)


def fill_shape(tool: Tool) -> Shape:
    """The tool's shape, with a default for each figure that is None (for the secondary: and not `one_relief`).

    tool: in the ranges that `case.read` keeps. The primary relief, where it is the default, stays below a
    secondary that was given, and the other way round.
    Source: the tables in shared/ that each default names.

    >>> [default.field for default in fill_shape(Tool("end mill", 4, 10_000_000, 22_000_000)).defaults]
    ['helix_deg', 'core_diameter', 'rake_deg', 'primary_relief_deg', 'secondary_relief_deg', 'primary_land']
    """
    used: list[Default] = []
    helix = _take(tool.helix_deg, "helix_deg", tool, used)
    core = _take(_mm(tool.core_diameter_nm), "core_diameter", tool, used)
    rake = _take(tool.rake_deg, "rake_deg", tool, used)
    primary = _take(tool.primary_relief_deg, "primary_relief_deg", tool, used)
    secondary = None if tool.one_relief else _take(tool.secondary_relief_deg, "secondary_relief_deg", tool, used)
    land = _take(_mm(tool.primary_land_nm), "primary_land", tool, used)
    flank = Flank(math.radians(primary), None if secondary is None else math.radians(secondary), land)
    arc = _mm(tool.face_arc_radius_nm)
    return Shape(core / 2, math.radians(rake), flank, math.radians(helix), arc, tuple(used))


def _take(value: float | None, field: str, tool: Tool, used: list[Default]) -> float:
    if value is not None:
        return value
    default = _choose(field, tool)
    used.append(default)
    return default.value


def _choose(field: str, tool: Tool) -> Default:
    if field == "core_diameter":
        return _core(tool.teeth, tool.nominal_diameter_nm)
    if field == "primary_land":
        return _whole_land(tool.nominal_diameter_nm) if tool.one_relief else _land(tool.nominal_diameter_nm)
    if field == "primary_relief_deg":
        return _primary(tool)
    if field == "secondary_relief_deg":
        return _secondary(tool)
    return _by_material(field, tool)


def is_high_speed_steel(material: str | None) -> bool | None:
    """Whether a tool is of high-speed (or tool) steel and not of carbide; None where the word says neither.

    material: free text, as it was said. Source: the trade's words.

    >>> is_high_speed_steel("HSS-Co"), is_high_speed_steel("carbide"), is_high_speed_steel(None)
    (True, False, None)
    """
    word = (material or "").strip().casefold()
    if "carbide" in word or word in ("hm", "vhm"):
        return False
    return True if word.startswith("hs") or "steel" in word or "cobalt" in word else None


def _by_material(field: str, tool: Tool) -> Default:
    """Carbide's figure or high-speed steel's; of a tool of neither carbide's, its spread reaching to the other."""
    steel = is_high_speed_steel(tool.material)
    if steel:
        return _steel(field, tool.nominal_diameter_nm)
    column, spread = _COLUMNS[field]
    usual = _from_catalogue(field, column, spread, _catalogue_row(tool))
    if steel is False:
        return usual
    apart = usual.value - _steel(field, tool.nominal_diameter_nm).value
    spread = math.hypot(usual.standard_uncertainty, apart)
    return replace(usual, standard_uncertainty=spread, source=f"{usual.source}; material not known", confidence="low")


@lru_cache(maxsize=256)
def _steel(field: str, nominal_nm: int) -> Default:
    """Of high-speed steel: relief by diameter from the handbook, helix and rake as most catalogue tools have them."""
    if field in _STEEL:
        return Default(field, *_STEEL[field], "high-speed steel, general purpose: common practice, from memory", "low")
    line = find_handbook_relief(max(nominal_nm / NM_PER_MM, _FIRST_MM))
    assert line is not None, "the table begins at 1/16 in"
    least, most = math.degrees(line.least_relief_rad), math.degrees(line.most_relief_rad)
    spread = max(1.5, (most - least) / 2 / _RECTANGLE)
    small = "; smaller than its first row" if nominal_nm / NM_PER_MM < _FIRST_MM else ""
    source = f"{line.source}: middle of {least:g} to {most:g} degrees{small}"
    return Default(field, (least + most) / 2, spread, source, "low" if small else "medium")


def _primary(tool: Tool) -> Default:
    usual = _by_material("primary_relief_deg", tool)
    above = tool.secondary_relief_deg
    if above is None or usual.value < above:
        return usual
    return Default("primary_relief_deg", above / 2, above / 4, "half the secondary relief that was given", "low")


def _secondary(tool: Tool) -> Default:
    """The catalogue's for carbide; for steel, and where that is hardly above the primary, 10 degrees above it."""
    row, below = _secondary_row(tool.teeth), tool.primary_relief_deg
    primary = _primary(tool).value if below is None else below
    usual = _from_catalogue("secondary_relief_deg", "radial_secondary_relief_deg", 3.0, row)
    if not is_high_speed_steel(tool.material) and usual.value >= primary + 4 * usual.standard_uncertainty / 3:
        return usual
    above = min(primary + 10, (primary + 45) / 2)
    source = "10 degrees above the primary relief, at most half way to 45: common practice, from memory"
    return Default("secondary_relief_deg", above, (above - primary) / 4, source, "low")


def _from_catalogue(field: str, column: str, spread: float, row: dict[str, str]) -> Default:
    """A single figure with `spread` as its standard uncertainty, or the middle of a printed range."""
    low, _, high = row[column].partition("-")
    least, most = float(low), float(high or low)
    uncertainty = max(spread, (most - least) / 2 / _RECTANGLE)
    source = f"{row['source']}: {row['tool']}, {row['flutes']} flutes, {row['size_band']}; spread assumed"
    return Default(field, (least + most) / 2, uncertainty, source, "low" if row["confidence"] == "low" else "medium")


def _catalogue_row(tool: Tool) -> dict[str, str]:
    return _square_row(tool.teeth, tool.nominal_diameter_nm < _SMALL_BELOW_NM)


@lru_cache(maxsize=256)
def _square_row(teeth: int, small: bool) -> dict[str, str]:
    """Row of the catalogue for square end mills: most flutes not above, the size band's line of the pair."""
    table = [row for row in rows("05_carbide_end_mill_regrind_geometry") if row["tool"] == "square end mill"]
    flutes = max(int(row["flutes"]) for row in table if int(row["flutes"]) <= teeth)
    return next(row for row in table if int(row["flutes"]) == flutes and row["size_band"].startswith("small") is small)


@lru_cache(maxsize=128)
def _secondary_row(teeth: int) -> dict[str, str]:
    """The catalogue prints no secondary for square end mills: corner radius or ball nose stand in for it."""
    table = [row for row in rows("05_carbide_end_mill_regrind_geometry") if _tells_secondary(row)]
    flutes = max(_flutes(row) for row in table if _flutes(row) <= teeth)
    return next(
        row for kind in ("corner", "ball") for row in table if row["tool"].startswith(kind) and _flutes(row) == flutes
    )


def _tells_secondary(row: dict[str, str]) -> bool:
    return bool(row["radial_secondary_relief_deg"]) and row["tool"] in ("corner radius end mill", "ball nose mill")


def _flutes(row: dict[str, str]) -> int:
    return int(row["flutes"].split()[0])


@lru_cache(maxsize=256)
def _core(teeth: int, nominal_nm: int) -> Default:
    table = {row["condition"]: row for row in rows("18_practice_and_tolerances") if row["item"] == _CORE_ITEM}
    row = table["5+ flutes" if teeth >= 5 else f"{teeth} flutes"]
    low, high = (float(part) for part in row["value"].split("-"))
    nominal = nominal_nm / NM_PER_MM
    spread = (high - low) / 2 / _RECTANGLE * nominal
    return Default("core_diameter", round((low + high) / 2 * nominal, 9), spread, row["source"], row["confidence"])


@lru_cache(maxsize=256)
def _land(nominal_nm: int) -> Default:
    """Between half the handbook's widest land and the whole of it; below its first row in that row's proportion."""
    nominal = nominal_nm / NM_PER_MM
    line = find_handbook_relief(nominal)
    first = find_handbook_relief(_FIRST_MM)
    assert first is not None, "the table begins at 1/16 in"
    widest = line.widest_land_mm if line else first.widest_land_mm * nominal / first.diameter_mm
    source = f"{first.source}: half the widest land to the whole of it, common practice"
    return Default("primary_land", round(0.75 * widest, 9), 0.25 * widest / _RECTANGLE, source, "low")


def _whole_land(nominal_nm: int) -> Default:
    nominal = nominal_nm / NM_PER_MM
    source = "memory: a tooth with one relief is a tenth to a fifth of the diameter wide"
    return Default("primary_land", round(0.15 * nominal, 9), 0.05 * nominal / _RECTANGLE, source, "low")


def _mm(nm: int | None) -> float | None:
    return None if nm is None else nm / NM_PER_MM
