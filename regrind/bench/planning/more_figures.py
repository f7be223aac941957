"""The figures of an option that only some kinds or ways have: its corner, the gash left, the face."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from regrind.geometry.units import Unit, show_with_unit, to_nm

CORNERS = {
    "radius": "Corner radius after",
    "chamfer": "Clip of the corner, along the axis",
    "ball": "Ball radius after",
}
ANGLES = {
    "face_relief_deg": "Relief at the new edge",
    "face_rake_deg": "Rake at the new edge",
    "face_turn_deg": "Turn of the tool into the wheel",
}
LENGTHS = {
    "set_over_mm": "Wheel’s plane behind the axis",
    "face_stock_mm": "Stock off the face, square to it",
    "tooth_width_mm": "Tooth width after",
}


@dataclass(frozen=True)
class More:
    """A figure beside the usual ones."""

    label: str
    text: str


def list_more(option: Mapping[str, Any], unit: Unit) -> list[More]:
    """Those that this option has, in the order of the page."""

    def length(mm: float) -> str:
        return show_with_unit(to_nm(mm), unit)

    more = [More(CORNERS[form], say_corner(option, unit))] if (form := option.get("corner_form")) in CORNERS else []
    if option.get("gash_left_mm") is not None:
        more.append(More("Gash left", length(option["gash_left_mm"]) if option["gash_left_mm"] else "none"))
    if option.get("way") != "face":
        return more
    more += [More(label, f"{option[name]:.1f}°") for name, label in ANGLES.items()]
    return more + [More(label, length(option[name])) for name, label in LENGTHS.items() if option[name] is not None]


def say_corner(option: Mapping[str, Any], unit: Unit) -> str:
    """The corner after, `R 1.000 mm`; '' of a square one, or where the face alone is ground."""
    if option.get("corner_form") not in CORNERS or option.get("corner_size_mm") is None:
        return ""
    size = show_with_unit(to_nm(option["corner_size_mm"]), unit)
    return size if option["corner_form"] == "chamfer" else f"R {size}"
