"""What a plan takes from a line's family, and nobody stated, confirmed or read on the tool."""

from collections.abc import Collection
from dataclasses import replace

from regrind.geometry.case import KIND
from regrind.geometry.defaults import Default, fill_shape
from regrind.geometry.inputs import Tool
from regrind.record.line_dimensions import Dimension, assumed_dimensions, tool_of
from regrind.record.models import Family, Line

from .kinds.registry import kind_of
from .models import Inspection

# The reading that stands in the place of a value of the line or its family, and what the plan's case calls it.
READ_INSTEAD = {
    "helix_cdeg": ("helix", "helix_deg"),
    "core_nm": ("core", "core_diameter"),
    "rake_cdeg": ("rake", "rake_deg"),
    "primary_relief_cdeg": ("primary", "primary_relief_deg"),
    "secondary_relief_cdeg": ("secondary", "secondary_relief_deg"),
    "primary_land_nm": ("land", "primary_land"),
    "corner_radius_nm": ("corner_size", "corner_radius"),
    "point_angle_cdeg": ("point_angle", "point_angle_deg"),
}
NOT_PLANNED = ("coating", "maker", "catalogue", "shank_nm", "overall_nm")
READ_AS = {"drop": "primary"}  # a drop gives the primary relief


def assumed_fields(line: Line, read: Collection[str]) -> tuple[str, ...]:
    """The fields of the plan's case that rest on the family alone. read: the quantities that were read on the tool."""
    instead = set(read) | {READ_AS[name] for name in read if name in READ_AS}
    names = [row.name for row in assumed_dimensions(line) if row.name in READ_INSTEAD]
    return tuple(READ_INSTEAD[name][1] for name in names if READ_INSTEAD[name][0] not in instead)


def list_from_family(line: Line, inspection: Inspection, *, flute: bool = False) -> list[Dimension]:
    """What a plan takes from the family and nobody stated, confirmed or read.

    flute: whether the flute length is the line's or the family's, and no other that is known better.
    """
    replaced = {name for name, (reading, _) in READ_INSTEAD.items() if reading in inspection.readings}
    replaced |= {"primary_relief_cdeg"} if inspection.relief_cdeg is not None else set()
    replaced |= {"teeth"} if inspection.teeth else set()
    replaced |= set() if flute else {"flute_length_nm"}
    return [row for row in assumed_dimensions(line) if row.name not in {*replaced, *NOT_PLANNED}]


def list_supplied(line: Line, inspection: Inspection) -> tuple[str, ...]:
    """The fields of the case that its kind takes from a table, since neither family nor reading has them."""
    read = {reading.quantity for reading in inspection.readings.values()}
    return kind_of(line.family).supplied(tool_of(line), read)


def assume_helix(worn: Family) -> tuple[Default, float]:
    """The helix as the family has it, else the program's default, with the default's spread; and the relief in rad.

    worn: with teeth and nominal diameter. Raises geometry's Refused where no default fits such a tool.
    """
    size = worn.nominal_nm or 0
    shape = fill_shape(Tool(KIND, worn.teeth or 0, size, size, material=worn.material or None))
    assumed = next(default for default in shape.defaults if default.field == "helix_deg")
    if worn.helix_cdeg is not None:
        assumed = replace(assumed, value=worn.helix_cdeg / 100)
    return assumed, shape.flank.primary_rad
