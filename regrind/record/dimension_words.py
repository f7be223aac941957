"""A tool's dimensions in words: label and figure, in the reader's unit."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from regrind.geometry.units import Unit

from .kinds import Kind
from .line_dimensions import assumed_dimensions, line_dimensions, tool_of
from .names import size_name

if TYPE_CHECKING:
    from .models import Line

# What a tool's name tells of it, besides kind and size.
NAMED = (
    "thread",
    "tap_flutes",
    "teeth",
    "corner_radius_nm",
    "point_angle_cdeg",
    "material",
    "coating",
    "helix_cdeg",
    "unequal_index",
    "maker",
    "catalogue",
)
UNDECIDING = ("maker", "catalogue", "shank_nm", "overall_nm")
LABELS = {
    "nominal_nm": "diameter",
    "teeth": "flutes",
    "corner_radius_nm": "corner radius",
    "shank_nm": "shank",
    "flute_length_nm": "flute length",
    "overall_nm": "overall length",
    "helix_cdeg": "helix",
    "point_angle_cdeg": "point angle",
    "maker": "maker",
    "thread": "thread",
    "tap_flutes": "of the tap",
    "catalogue": "catalogue",
    "unequal_index": "index",
    "core_nm": "core diameter",
    "rake_cdeg": "radial rake",
    "primary_relief_cdeg": "primary relief",
    "secondary_relief_cdeg": "secondary relief",
    "primary_land_nm": "primary land",
    "face_arc_nm": "radius of the flute face",
}


def label(name: str, kind: Kind | None = None) -> str:
    """What a column of Family is called, of a kind in its own word."""
    of_kind = {"point_angle_cdeg": kind.angle, "teeth": kind.count_teeth(2).split(" ")[1]} if kind else {}
    return of_kind.get(name) or LABELS.get(name, name)


def figure(name: str, value: Any, unit: Unit) -> str:
    """A value of that column: `1/4 in`, `30°`, `carbide`, `unequal`."""
    if name == "unequal_index":
        return "unequal" if value else "equal"
    if name.endswith("_cdeg"):
        return f"{value / 100:g}°"
    if name.endswith("_nm"):
        return size_name(value, unit)
    return str(value)


def property_words(properties: Mapping[str, Any], unit: Unit, kind: Kind | None = None) -> str:
    """Properties in a few words: `carbide, AlTiN, helix 30°, shank 1/4 in`; kind: of the tool they are of."""
    return ", ".join(_words(name, value, unit, kind) for name, value in properties.items())


def _words(name: str, value: Any, unit: Unit, kind: Kind | None = None) -> str:
    text = figure(name, value, unit)
    if name in ("material", "coating", "tap_flutes"):
        return text
    if name in ("unequal_index", "teeth"):
        return f"{text} {label(name, kind)}"
    return f"{label(name, kind)} {text}"


def name_tools(line: Line, unit: Unit) -> str:
    """A line's tools in one line, what is only assumed named as such: `1/2 in, 4 flutes, … (assumed: carbide)`."""
    name = tool_of(line, with_assumed=False).name(unit)
    assumed = {row.name: row.value for row in assumed_dimensions(line) if row.name in NAMED}
    if line.family.kind_data.corner != "radius":
        assumed.pop("corner_radius_nm", None)
    return f"{name} (assumed: {property_words(assumed, unit, line.family.kind_data)})" if assumed else name


def say_assumed(line: Line, name: str) -> str:
    """`carbide, assumed from the family`; '' where the value of that column is known, or nobody knows it at all."""
    row = line_dimensions(line).get(name)
    if row is None or row.source != "assumed":
        return ""
    return f"{_words(name, row.value, line.batch.customer.unit, line.family.kind_data)}, {row.source_words}"


def assumed_words(line: Line) -> list[tuple[str, str]]:
    """What the family adds and nobody confirmed: (name of the column, `helix 40°`), in the customer's unit."""
    unit, kind = line.batch.customer.unit, line.family.kind_data
    return [(row.name, property_words({row.name: row.value}, unit, kind)) for row in assumed_dimensions(line)]


def deciding_words(line: Line) -> list[tuple[str, str]]:
    """The same without what no decision at the bench hangs on: maker, catalogue number, shank and overall length."""
    return [(name, words) for name, words in assumed_words(line) if name not in UNDECIDING]
