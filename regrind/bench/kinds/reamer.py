"""Reamers: ground on the chamfer alone; the margins only where the customer takes a smaller hole."""

import math
from collections.abc import Mapping
from typing import Any

from regrind.geometry.units import Unit, parse, show_with_unit, to_nm, write_mm
from regrind.paper import cautions
from regrind.paper.values import Sketch
from regrind.shop.web.svg import in_unit

from ..drawings.front import sketch_front
from .card import Figure, Section, Work
from .case_parts import (
    build_measured,
    build_uncertainty,
    find_deepest_mm,
    keep_filled,
    list_damage,
    read_degrees,
    say,
    write_lengths,
)
from .kind import BenchKind, Hold, KindPlan, Known, Wanted

USUAL_ANGLE_DEG = 45.0  # the chamfer of machine reamers (read: two makers' pages, shared/29)
HOLE, HOLE_SOURCE = "hole to ream", "the hole's lower size, and a new reamer's upper one: ISO 522 / DIN 1420"
DAMAGE = {"worn_margin": "worn_margin", "chamfer_chip": "chip", "chamfer_land": "wear_land"}
FITS = {
    "as_new": "fits as a new reamer does",
    "low": "below a new reamer, and serves",
    "high": "above a new reamer: a test hole decides",
    "too_small": "too small for it",
    "too_large": "too large for it",
}
MARGINS_ALONE = "The margins are left alone: the diameter falls by the back taper only."
TEST_HOLE = "A test hole in the customer's material decides: runout and wall move a hole's size."


def find_lacks(known: Known, wanted: Wanted) -> tuple[str, ...]:
    """The chamfer's length, and where a wear land was read the relief that tells its depth."""
    lacks = () if known.read_nm("chamfer_length") else ("the length of the chamfer",)
    land = known.read_nm("chamfer_land") and read_degrees(known, "chamfer_relief") is None
    return (*lacks, *(("the relief of the chamfer, for its wear land",) if land else ()))


def say_assumed(known: Known) -> list[str]:
    """The chamfer's angle, where nobody read one."""
    if read_degrees(known, "chamfer_angle") is not None:
        return []
    return [f"the chamfer's angle, {USUAL_ANGLE_DEG:g}°, common practice: match the reamer where it shows"]


def build_case(known: Known, wanted: Wanted) -> dict[str, Any]:
    """The case of the headless plan, from what was read and the holes that the customer named."""
    damage = list_damage(known, DAMAGE)
    allow = {"finish": wanted.finish_nm} | ({"finish_radial": wanted.finish_radial_nm} if wanted.smaller_holes else {})
    return keep_filled(
        {
            "tool": _build_tool(known, wanted.flute_nm),
            "measured": build_measured(known),
            "damage": damage,
            "allow": {name: write_mm(nm) for name, nm in allow.items()},
            "hole": wanted.hole,
            "down_size_to": list(wanted.smaller_holes),
            "limits": write_lengths(usable_length=wanted.shortest_usable_nm, diameter=wanted.smallest_diameter_nm),
            "uncertainty": build_uncertainty(known, damaged=bool(damage)),
        }
    )


def _build_tool(known: Known, flute_nm: int) -> dict[str, Any]:
    angle, relief = read_degrees(known, "chamfer_angle"), read_degrees(known, "chamfer_relief")
    tool = {
        "kind": "reamer",
        "chamfer_angle_deg": USUAL_ANGLE_DEG if angle is None else angle,
        **write_lengths(
            nominal_diameter=known.family.nominal_nm,
            flute_length=flute_nm,
            chamfer_length=known.read_nm("chamfer_length"),
        ),
    }
    tool |= {"material": known.family.material} if known.family.material else {}
    return tool | ({} if relief is None else {"chamfer_relief_deg": relief})


def list_figures(option: Mapping[str, Any], unit: Unit) -> list[tuple[str, str]]:
    """The figures of an option, most needed first."""
    figures = [
        ("Cut-back", say(option["cut_back_mm"], unit) if option["cut_back_mm"] else "nothing"),
        ("Diameter after", say(option["diameter_mm"], unit)),
        ("Chamfer after, along the axis", say(option["chamfer_length_mm"], unit)),
        ("Diameter of its front", f"{say(option['front_diameter_mm'], unit)}{_say_front_left(option)}"),
        ("Margin left", say(option["usable_length_mm"], unit)),
    ]
    if option["end_cut_mm"]:
        figures.append(("Off the front", say(option["end_cut_mm"], unit)))
    return figures + _list_hole(option, unit)


def _say_front_left(option: Mapping[str, Any]) -> str:
    """How many more regrinds as deep as this the chamfer can grow by, before the front is cut back as well."""
    length, cut = option["chamfer_length_mm"], option["cut_back_mm"]
    front, lost = option["front_diameter_mm"], option["diameter_mm"] - option["front_diameter_mm"]
    if not cut or option["end_cut_mm"] or lost <= 0:
        return ""
    more = math.floor(front / lost * length / cut)
    return f"; the chamfer can grow {more} more times, then the front is cut back as well"


def _say_fit(option: Mapping[str, Any]) -> str:
    """How it stands to the hole by its figure, and where the reading is too unsure to call it."""
    words = FITS[option["hole"]["verdict"]]
    of_hole = [limit["verdict"] for limit in option["limits"] if limit["limit"] in ("hole_lower", "reamer_upper")]
    close = "too_close" in of_hole
    return f"{words} by its figure; the reading is too unsure to call it" if close else words


def _list_hole(option: Mapping[str, Any], unit: Unit) -> list[tuple[str, str]]:
    """How it stands to the hole it is for."""
    if (hole := option["hole"]) is None:
        return [("Hole to ream", "not named: write it on the line")]
    figures = [
        ("Hole to ream", _say_span(hole, "hole", unit)),
        ("A new reamer for it", _say_span(hole, "reamer", unit)),
        ("In that hole", _say_fit(option)),
    ]
    wear_mm = hole["wear_left_mm"]
    return figures + ([("Wear left to the hole's lower size", say(wear_mm, unit))] if wear_mm > 0 else [])


def _say_span(hole: Mapping[str, Any], name: str, unit: Unit) -> str:
    low, high = (show_with_unit(to_nm(hole[f"{name}_{end}_mm"]), unit) for end in ("lower", "upper"))
    return f"{low} to {high}"


def say_short(option: Mapping[str, Any], unit: Unit) -> list[str]:
    """For the job sheet: the chamfer after, and the hole."""
    words = [f"chamfer {show_with_unit(to_nm(option['chamfer_length_mm']), unit)} long"]
    hole = option["hole"]
    return words + ([f"hole {_say_span(hole, 'hole', unit)}: {_say_fit(option)}"] if hole else [])


def sketch_chamfer(case: Mapping[str, Any], option: Mapping[str, Any], unit: Unit) -> dict[str, Sketch]:
    """The chamfer before and after, each from the axis along the front to where the margins begin."""
    tool, diameter = case["tool"], parse(case["measured"]["diameter"]).mm
    length, angle = parse(tool["chamfer_length"]).mm, math.radians(tool["chamfer_angle_deg"])
    front, cut = diameter / 2 - length * math.tan(angle), option["end_cut_mm"]
    after = option["front_diameter_mm"] / 2, option["diameter_mm"] / 2
    outlines = (
        [(0.0, -length), (front, -length), (diameter / 2, 0.0)],
        [(0.0, cut - length), (after[0], cut - length), (after[1], cut - length + option["chamfer_length_mm"])],
    )
    note = f"{in_unit(option['cut_back_mm'], unit)} back from the corner; dark: worn margin"
    worn = 0.0, find_deepest_mm(case, "worn_margin")
    lengths = in_unit(length, unit), in_unit(option["chamfer_length_mm"], unit)
    words = f"chamfer {lengths[0]}", f"chamfer {lengths[1]}"
    sketch = sketch_front(*outlines, worn, words, note)
    return {part: sketch for part in option["grind"] if part == "chamfer"}


def tell_hole(case: Mapping[str, Any], option: Mapping[str, Any], unit: Unit) -> list[tuple[str, str]]:
    """The hole with its limits, a new reamer's for it, and the chamfer that is planned."""
    chamfer = ("Planned chamfer, along the axis", say(option["chamfer_length_mm"], unit))
    if (hole := option["hole"]) is None:
        return [chamfer]
    return [
        ("Hole to ream", " · ".join(filter(None, (_name_hole(case, option), _say_span(hole, "hole", unit))))),
        ("A new reamer for it", _say_span(hole, "reamer", unit)),
        chamfer,
    ]


def _name_hole(case: Mapping[str, Any], option: Mapping[str, Any]) -> str:
    """`12.000 mm H7`; '' where it is named by deviations, or the margins are ground to another."""
    hole = {} if "margins" in option["grind"] else case.get("hole") or {}
    return f"{hole['nominal']} {hole['class']}" if "class" in hole else ""


def list_holds(tool: Mapping[str, Any], option: Mapping[str, Any]) -> list[Hold]:
    """The diameter against the hole: not below its lower size, not above a new reamer's upper one."""
    hole = option["hole"]
    if hole is None:
        return []
    return [Hold("diameter", HOLE, to_nm(hole["hole_lower_mm"]), to_nm(hole["reamer_upper_mm"]), HOLE_SOURCE)]


def chamfer_section(work: Work) -> Section:
    """The chamfer on the setup card."""
    option = work.option
    figures = (
        Figure("Off the chamfer, along the axis", work.end_nm, first=True),
        Figure(
            "Chamfer, to the axis",
            text=f"{work.tool['chamfer_angle_deg']:g}°",
            assumed="chamfer_angle_deg" in work.assumed,
        ),
        Figure("Relief of the chamfer", text=_say_relief(work)),
        Figure("Chamfer after, along the axis", to_nm(option["chamfer_length_mm"])),
        Figure("Diameter of its front", to_nm(option["front_diameter_mm"])),
        Figure("Margin left", work.usable_nm),
        *work.end_passes.figures,
    )
    steps = (
        "" if "margins" in option["grind"] else MARGINS_ALONE,
        "Index every tooth to one stop: the teeth cut alike only where their chamfers start at one height.",
        *work.end_passes.steps,
        TEST_HOLE,
    )
    return Section("chamfer", "Chamfer", figures, tuple(step for step in steps if step), cautions.CHAMFER_OF_REAMER)


def _say_relief(work: Work) -> str:
    relief = work.tool.get("chamfer_relief_deg")
    return "as it was" if relief is None else f"{relief:g}°"


def margins_section(work: Work) -> Section:
    """The margins, ground all along to a smaller size."""
    figures = (
        Figure("Grind to", work.diameter_nm, first=True),
        Figure("Off the radius", work.radial_nm),
        *(work.passes(work.radial_nm, "on the radius").figures if work.radial_nm else ()),
    )
    steps = (
        "Between centres, over the whole length, with the back taper that it has.",
        "Then relieve the margins again to their width: ground down they are wider and rub.",
        "The chamfer follows.",
    )
    return Section("margins", "Margins", figures, steps, cautions.REVERSED)


def front_section(work: Work) -> Section:
    """The front, cut back where the chamfer would grow too long."""
    steps = ("Cut the front back square first; the chamfer then comes out as long as it was.",)
    return Section("end", "Front", (Figure("Off the front", work.end_nm, first=True),), steps, cautions.END)


KIND = BenchKind(
    supplied=lambda family, read: () if "chamfer_angle" in read else ("chamfer_angle_deg",),
    readings=("worn_margin", "chamfer_chip", "chamfer_length"),
    unasked=("damage_depth", "reach", "teeth", "end_depth"),
    damages=(("depth", "worn or chipped"), ("nothing", "no damage")),
    labels={
        "damage": "The chamfer and its corners",
        "diameter_worn": "Taken over the worn margin",
        "flute_length": "Flute length, from the front",
    },
    hints={
        "diameter": "Over the margins, just behind the wear.",
        "worn_margin": "Along the axis, from the corner behind the chamfer; the tooth that is worn furthest.",
        "chamfer_length": "From the front to where the margins begin; the plan needs it.",
        "flute_length": "Margins and chamfer together, from the front to where the flutes run out.",
    },
    planner=KindPlan(
        headless="reamer",
        asked=tuple(DAMAGE),
        more=("chamfer_land", "chamfer_length", "chamfer_angle", "chamfer_relief"),
        keeps=("flute_length",),
        lacks=find_lacks,
        build=build_case,
        assume=say_assumed,
        figures=list_figures,
        short=say_short,
        sketches=sketch_chamfer,
        sections={"end": front_section, "margins": margins_section, "chamfer": chamfer_section},
        takes="cut_back_mm",
        counts=("usable_length", "hole"),
        checks=("usable",),
        tells=tell_hole,
        holds=list_holds,
    ),
)
