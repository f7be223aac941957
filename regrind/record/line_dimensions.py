"""What is known of a line's tools, value by value: stated on the line, confirmed, or assumed from their family.

What a line states wins over its family. What the family adds stays assumed until somebody confirms it for this line.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from .models import Family, Line

Source = Literal["stated", "confirmed", "assumed"]
SOURCE_WORDS: dict[Source, str] = {
    "stated": "stated on this line",
    "confirmed": "confirmed",
    "assumed": "assumed from the family",
}
# The properties of a tool that a line may state, by the names of Family's columns.
PROPERTIES = (
    "nominal_nm",
    "teeth",
    "material",
    "coating",
    "helix_cdeg",
    "corner_radius_nm",
    "maker",
    "catalogue",
    "shank_nm",
    "flute_length_nm",
    "overall_nm",
    "point_angle_cdeg",
    "thread",
    "tap_flutes",
)
WHEN_NEW = (
    "core_nm",
    "rake_cdeg",
    "primary_relief_cdeg",
    "secondary_relief_cdeg",
    "primary_land_nm",
    "face_arc_nm",
)
DIMENSIONS = (*PROPERTIES, "unequal_index", *WHEN_NEW)
ALWAYS_STATED = ("nominal_nm",)  # a family of another size never fits
UNKNOWN = (None, "", False)


@dataclass(frozen=True)
class Dimension:
    """One value of a line's tools: the name of Family's column, the value in its unit, and where it comes from."""

    name: str
    value: Any
    source: Source

    @property
    def source_words(self) -> str:
        return SOURCE_WORDS[self.source]


def known(properties: Mapping[str, Any]) -> dict[str, Any]:
    """The properties that hold a value: what is empty stays unknown."""
    return {name: properties[name] for name in (*PROPERTIES, "unequal_index") if properties.get(name) not in UNKNOWN}


def write_values(values: Mapping[str, Any]) -> str:
    """Properties as the line's columns `stated` and `confirmed` hold them."""
    return json.dumps(dict(sorted(values.items())))


def line_dimensions(line: Line) -> dict[str, Dimension]:
    """Each known value of a line's tools by its name, with its source; what nobody knows is left out.

    Where the line holds no words of its own, its family was chosen as a whole: all of it counts as stated.
    """
    stated, confirmed = read_values(line.stated), read_values(line.confirmed)
    from_family: Source = "assumed" if line.stated else "stated"
    dimensions: dict[str, Dimension] = {}
    for name in DIMENSIONS:
        if name in stated:
            dimensions[name] = Dimension(name, stated[name], "stated")
        elif name in confirmed:
            dimensions[name] = Dimension(name, confirmed[name], "confirmed")
        elif (value := getattr(line.family, name)) not in UNKNOWN:
            dimensions[name] = Dimension(name, value, "stated" if name in ALWAYS_STATED else from_family)
    return dimensions


def read_values(text: str) -> dict[str, Any]:
    """The reverse of `write_values`; nothing for ""."""
    values: dict[str, Any] = json.loads(text or "{}")
    return values


def assumed_dimensions(line: Line) -> list[Dimension]:
    """What the family adds and nobody confirmed, in the order of DIMENSIONS."""
    return [dimension for dimension in line_dimensions(line).values() if dimension.source == "assumed"]


def tool_of(line: Line, *, with_assumed: bool = True) -> Family:
    """The line's tools as one unsaved Family: the family's values, the line's own in their place.

    with_assumed: False leaves out what nobody stated or confirmed for this line.
    """
    dimensions, tool, blank = line_dimensions(line), copy.copy(line.family), type(line.family)()
    for name in DIMENSIONS:
        dimension = dimensions.get(name)
        if dimension and (with_assumed or dimension.source != "assumed"):
            setattr(tool, name, dimension.value)
        elif getattr(tool, name) not in UNKNOWN:
            setattr(tool, name, getattr(blank, name))
    return tool
