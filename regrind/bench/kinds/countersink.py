"""Countersinks and chamfer mills: ground on the flute faces alone, by turning each face into the wheel."""

from collections.abc import Mapping
from typing import Any

from regrind.geometry.units import Unit, show_with_unit, to_nm, write_mm
from regrind.paper import cautions
from regrind.paper.values import Sketch

from ..drawings.flute_face import sketch_flute_face
from .card import Figure, Section, Work
from .case_parts import build_uncertainty, keep_filled, list_damage, read_degrees, say, write_lengths
from .kind import BenchKind, Hold, KindPlan, Known, Wanted

DAMAGE = {"rim_land": "wear_land", "face_chip": "face_depth"}
ANGLE, WITHIN_CDEG = "included angle", 100
ANGLE_SOURCE = "indexed, the face keeps the angle; ± 1°, common practice, from memory"
INDEX = "Index every flute by that angle into the wheel; never feed parallel to the face: angle and rake would go."


def find_angle_deg(known: Known) -> float | None:
    """The included angle: as it was read, else the family's."""
    read, of_family = read_degrees(known, "included_angle"), known.family.point_angle_cdeg
    return read if read is not None else None if of_family is None else of_family / 100


def find_lacks(known: Known, wanted: Wanted) -> tuple[str, ...]:
    """The included angle and the number of teeth; the thickness of a tooth where it is held to a limit."""
    needed = (
        ("the included angle", find_angle_deg(known) is not None),
        ("the number of teeth", known.inspection.teeth or known.family.teeth),
        ("the thickness of a tooth, for its limit", known.read_nm("tooth_thickness") or not wanted.thickness_nm),
    )
    return tuple(name for name, value in needed if not value)


def build_case(known: Known, wanted: Wanted) -> dict[str, Any]:
    """The case of the headless plan, from what was read."""
    damage = list_damage(known, DAMAGE)
    return keep_filled(
        {
            "tool": _build_tool(known),
            "measured": write_lengths(diameter=known.inspection.diameter_nm),
            "damage": damage,
            "allow": {"finish": write_mm(wanted.finish_radial_nm)},
            "limits": write_lengths(diameter=wanted.smallest_diameter_nm, tooth_thickness=wanted.thickness_nm),
            "uncertainty": build_uncertainty(known, damaged=bool(damage)),
        }
    )


def _build_tool(known: Known) -> dict[str, Any]:
    relief = read_degrees(known, "primary")
    tool = {
        "kind": "countersink",
        "teeth": known.inspection.teeth or known.family.teeth,
        "included_angle_deg": find_angle_deg(known),
        **write_lengths(nominal_diameter=known.family.nominal_nm, tooth_thickness=known.read_nm("tooth_thickness")),
    }
    tool |= {"material": known.family.material} if known.family.material else {}
    return tool | ({} if relief is None else {"relief_deg": relief})


def list_figures(option: Mapping[str, Any], unit: Unit) -> list[tuple[str, str]]:
    """The figures of an option, most needed first."""
    return [
        ("Off the face, along the rim", say(option["face_stock_mm"], unit) if option["face_stock_mm"] else "nothing"),
        ("Index each flute by", f"{option['index_deg']:.2f}°"),
        ("Diameter after", say(option["diameter_mm"], unit)),
        ("Cone sets back by", say(option["set_back_mm"], unit)),
        ("Thickness of a tooth after", say(option["tooth_thickness_mm"], unit)),
        ("Included angle, kept", f"{option['included_angle_deg']:g}°"),
    ]


def say_short(option: Mapping[str, Any], unit: Unit) -> list[str]:
    """For the job sheet: what comes off the face, and by what angle."""
    stock = show_with_unit(to_nm(option["face_stock_mm"]), unit)
    return [f"{stock} off each face, index {option['index_deg']:.2f}°"]


def sketch_face(case: Mapping[str, Any], option: Mapping[str, Any], unit: Unit) -> dict[str, Sketch]:
    """A tooth's face before and after."""
    return {"face": sketch_flute_face(case, option, unit)}


def list_holds(tool: Mapping[str, Any], option: Mapping[str, Any]) -> list[Hold]:
    """The included angle, which the work keeps."""
    angle = round(100 * option["included_angle_deg"])
    return [Hold("point_angle", ANGLE, angle - WITHIN_CDEG, angle + WITHIN_CDEG, ANGLE_SOURCE, angle=True)]


def face_section(work: Work) -> Section:
    """The flute faces on the setup card."""
    option = work.option
    stock_nm = to_nm(option["face_stock_mm"])
    relief = work.tool.get("relief_deg")
    figures = (
        Figure("Off the face, along the rim", stock_nm, first=True),
        Figure("Index each flute by", text=f"{option['index_deg']:.2f}°", first=True),
        Figure("Diameter after, as it comes out", work.diameter_nm),
        Figure("Relief at the rim", text=f"{relief:g}°", assumed="relief_deg" in work.assumed),
        Figure("Depth stop, set back by", to_nm(option["set_back_mm"])),
        *work.passes(stock_nm, "along the rim").figures,
    )
    steps = (
        INDEX,
        "All flutes by the same angle, so that they cut alike. The relief behind them is left alone.",
        "The cone sets back: the customer's depth stop moves by as much.",
    )
    return Section("face", "Face", figures, steps, cautions.END)


KIND = BenchKind(
    readings=("rim_land", "face_chip"),
    unasked=("damage_depth", "reach", "end_depth"),
    damages=(("depth", "worn or chipped"), ("nothing", "no damage")),
    labels={
        "damage": "The cutting edges",
        "diameter_worn": "Taken over a worn edge",
        "rim_land": "Wear land at the rim, in the cutting direction",
        "primary": "Relief at the rim",
    },
    hints={
        "diameter": "The largest that cuts.",
        "rim_land": "The widest: the face goes back by as much.",
        "primary": "Left empty, 10° ± 6° is assumed, from memory; it says how much smaller the tool gets.",
    },
    planner=KindPlan(
        headless="countersink",
        asked=tuple(DAMAGE),
        more=("included_angle", "tooth_thickness"),
        keeps=("primary",),
        lacks=find_lacks,
        flute=False,
        teeth=12,
        build=build_case,
        figures=list_figures,
        short=say_short,
        sketches=sketch_face,
        sections={"face": face_section},
        takes="face_stock_mm",
        counts=("diameter", "tooth_thickness"),
        holds=list_holds,
    ),
)
