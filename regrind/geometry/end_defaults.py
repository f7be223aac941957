"""What the end teeth usually are, where nobody measured them: dish and end reliefs, with source and spread."""

from functools import lru_cache

from regrind.geometry.defaults import Default, is_high_speed_steel
from regrind.geometry.inputs import Tool
from regrind.geometry.tables import rows
from regrind.geometry.units import NM_PER_IN

_SMALL_BELOW_NM = 300 * NM_PER_IN // 1000
_TABLE = "27b_endform_angles"
_NAMED = {"radius": "corner radius end mill", "ball": "ball nose mill"}
_COLUMNS = {
    "dish_deg": ("dish_deg", 1.0),
    "end_primary_relief_deg": ("axial_primary_relief_deg", 1.5),
    "end_secondary_relief_deg": ("axial_secondary_relief_deg", 3.0),
    "rake_deg": ("radial_rake_deg", 2.0),
    "primary_relief_deg": ("radial_primary_relief_deg", 1.5),
}


def find_end_defaults(tool: Tool) -> tuple[Default, ...]:
    """Dish and end reliefs that nobody gave, in degrees, as a maker publishes them for the regrind of such a tool.

    tool: in the ranges that `case.read` keeps. A ball has no dish. The secondary is left out where it would not be
    above a primary that was given. The table is for carbide: of another material its confidence is low.
    Source: shared/27b_endform_angles.csv; the spreads are assumed.

    >>> [(default.field, default.value) for default in find_end_defaults(Tool("end mill", 4, 10_000_000, 22_000_000))]
    [('dish_deg', 1.5), ('end_primary_relief_deg', 7.0), ('end_secondary_relief_deg', 16.0)]
    """
    row = _find_row(_name(tool), tool.teeth, tool.nominal_diameter_nm < _SMALL_BELOW_NM)
    end = tool.end_teeth
    known = {
        "dish_deg": end.dish_deg,
        "end_primary_relief_deg": end.primary_relief_deg,
        "end_secondary_relief_deg": end.secondary_relief_deg,
    }
    used = [_make(tool, row, field) for field, value in known.items() if value is None and row[_COLUMNS[field][0]]]
    least = end.primary_relief_deg or 0.0
    return tuple(one for one in used if one.field != "end_secondary_relief_deg" or one.value > least)


def find_face_defaults(tool: Tool) -> tuple[Default, ...]:
    """Radial rake and primary relief of a roughing end mill that nobody gave, in degrees, as a maker publishes them.

    tool: in the ranges that `case.read` keeps. The table is for carbide: of another material its confidence is low.
    Source: shared/27b_endform_angles.csv; the spreads are assumed.

    >>> tool = Tool("roughing end mill", 4, 10_000_000, 22_000_000, rake_deg=12)
    >>> [(default.field, default.value) for default in find_face_defaults(tool)]
    [('primary_relief_deg', 9.0)]
    """
    row = _find_row("roughing mill", tool.teeth, tool.nominal_diameter_nm < _SMALL_BELOW_NM)
    known = {"rake_deg": tool.rake_deg, "primary_relief_deg": tool.primary_relief_deg}
    return tuple(_make(tool, row, field) for field, value in known.items() if value is None)


def _name(tool: Tool) -> str:
    if tool.kind == "roughing end mill":
        return "roughing mill"
    return _NAMED.get(tool.corner.form, "square end mill")


def _make(tool: Tool, row: dict[str, str], field: str) -> Default:
    column, spread = _COLUMNS[field]
    sure = row["confidence"] if is_high_speed_steel(tool.material) is False else "low"
    source = f"{row['source']}: {row['tool']}, {row['flutes'] or 'any'} flutes; spread assumed"
    return Default(field, float(row[column]), spread, source, sure)


@lru_cache(maxsize=256)
def _find_row(name: str, teeth: int, small: bool) -> dict[str, str]:
    """The row of most flutes not above, or of the fewest there are; of each pair the line of the size."""
    table = [row for row in rows(_TABLE) if row["tool"] == name]
    flutes = sorted({int(row["flutes"] or 0) for row in table})
    fitting = max((count for count in flutes if count <= teeth), default=flutes[0])
    pair = [row for row in table if int(row["flutes"] or 0) == fitting]
    return pair[0] if small or len(pair) == 1 else pair[1]
