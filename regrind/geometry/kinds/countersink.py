"""Countersinks and chamfer mills, ground on the flute face: the relief stays."""

import math
from dataclasses import dataclass

from regrind.geometry.defaults import Default
from regrind.geometry.fields import Fields
from regrind.geometry.kinds.face_steps import explain_face
from regrind.geometry.kinds.kind import Checked, Kind, Option, Terms, take
from regrind.geometry.kinds.marks import Mark, find_stock, read_mark
from regrind.geometry.kinds.quantity import Quantity, tan
from regrind.geometry.kinds.reading import read_marks, read_mm, read_mm_if, read_number, read_part, read_tool

_DAMAGE = ("wear_land", "face_depth")
_RELIEF = Default("relief_deg", 10.0, 3.0, "memory: trade practice for cam-relieved countersinks", "low")


@dataclass(frozen=True, slots=True)
class Countersink:
    """A countersink or chamfer mill with its marks; lengths in mm, the included angle in rad."""

    diameter_mm: float
    included_rad: float
    relief_deg: float | None
    tooth_thickness_mm: float | None
    marks: tuple[Mark, ...]
    finish_mm: float
    cracked: bool

    @property
    def defaults(self) -> tuple[Default, ...]:
        """What stands in for figures that were not given."""
        return (_RELIEF,) if self.relief_deg is None else ()


def _plan(tool: Countersink, terms: Terms) -> list[Option]:
    stocks = find_stock(tool.marks, tool.finish_mm, terms)
    stock, slope = stocks[0].value, math.tan(_find_relief(tool).value)
    checked = _find_checked(tool, terms, stocks)
    thickness = checked.get("tooth_thickness")
    values = {
        "face_stock_mm": stock,
        "diameter_mm": checked["diameter"].value,
        "set_back_mm": stock * slope / math.tan(tool.included_rad / 2),
        "tooth_thickness_mm": None if thickness is None else thickness.value,
        "index_deg": math.degrees(stock / (tool.diameter_mm / 2)),
        "included_angle_deg": math.degrees(tool.included_rad),
    }
    return [Option(("face",) if stock else (), values, checked)]


def _find_relief(tool: Countersink) -> Quantity:
    return take(tool.relief_deg, _RELIEF) * math.radians(1)


def _find_checked(tool: Countersink, terms: Terms, stocks: tuple[Quantity, ...]) -> dict[str, Checked]:
    """Every radius falls by r tan(relief) per radian: by the stock along the rim times tan(relief)."""
    diameter, slope = terms.read(tool.diameter_mm, "diameter"), tan(_find_relief(tool))
    diameters = tuple(diameter - slope * stock * 2 for stock in stocks)
    asks = ("rests_on_default_relief_deg",) if tool.relief_deg is None else ()
    checked = {"diameter": Checked(diameters, 2 * terms.typical_mm * slope.value, asks=asks)}
    if tool.tooth_thickness_mm is not None:
        thickness = terms.read(tool.tooth_thickness_mm, "tooth_thickness")
        thicknesses = tuple(thickness - stock for stock in stocks)
        checked["tooth_thickness"] = Checked(thicknesses, terms.typical_mm, hard=True)
    return checked


def _read(fields: Fields) -> Countersink:
    tool, measured = read_tool(fields), read_part(fields, "measured", needed=True)
    allow = read_part(fields, "allow", needed=True)
    tool.whole("teeth", 1, 12)
    read_mm(tool, "nominal_diameter", above_zero=True)
    countersink = Countersink(
        read_mm(measured, "diameter", above_zero=True),
        math.radians(read_number(tool, "included_angle_deg", 20, 160)),
        tool.number_if("relief_deg", 1, 40),
        read_mm_if(tool, "tooth_thickness", above_zero=True),
        read_marks(fields, lambda mark: read_mark(mark, _DAMAGE)),
        read_mm(allow, "finish"),
        measured.flag("cracked"),
    )
    for part in (tool, measured, allow):
        part.close()
    return countersink


KIND = Kind(
    names=("countersink", "chamfer mill"),
    limits={"diameter": None, "tooth_thickness": "tooth_thickness"},
    typical="face_stock",
    read=_read,
    plan=_plan,
    explain=explain_face,
)
