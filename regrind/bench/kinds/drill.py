"""Twist drills: ground on the point, back until the worn margin and every chip are gone."""

import math
from collections.abc import Collection, Mapping
from typing import Any

from regrind.geometry.units import Unit, both, show_with_unit, to_nm, write_mm
from regrind.record.models import Family

from ..readings import spread_of
from .kind import BenchKind, Hold, KindPlan, Known, Wanted

# Point angles that nobody gave: usual for these materials of drill (common practice).
USUAL_POINT_CDEG = {"carbide": 14_000, "HSS": 11_800, "HSS-Co": 13_500}
OTHER_POINT_CDEG = 11_800
READ_BY_EYE_NM = 50_000.0  # standard uncertainty of a margin or a chip read off a rule or a loupe (common practice)
MARKED_NM = 10_000.0  # and of a diameter that is only marked: memory, a maker's tolerance on a small tool
POINT_ANGLE, LIP_HEIGHT = "point angle", "lip height difference"
POINT_WITHIN_CDEG, POINT_SOURCE = 300, "118° ± 3° of new drills, common practice, from memory"
LIP_SOURCE = "the oversize allowed of the hole × cot of half the point angle"
DAMAGE = {
    "worn_margin": "worn_margin",
    "corner_chip": "corner_chip",
    "lip_chip": "lip_chip",
    "chisel_wear": "chisel_depth",
}


def find_point_cdeg(known: Known) -> int:
    """The point angle that the drill is given again: the family's, else as it was read, else the usual one."""
    read = known.inspection.readings.get("point_angle")
    if known.family.point_angle_cdeg:
        return known.family.point_angle_cdeg
    return (read.cdeg if read else None) or USUAL_POINT_CDEG.get(known.family.material, OTHER_POINT_CDEG)


def say_assumed(known: Known) -> list[str]:
    """The point angle, where nobody gave or read one."""
    if known.family.point_angle_cdeg or "point_angle" in known.inspection.readings:
        return []
    return [f"the point angle, {find_point_cdeg(known) / 100:g}°, common practice: match the drill where it shows"]


def list_supplied(family: Family, read: Collection[str]) -> tuple[str, ...]:
    """The same as a field of the case."""
    return () if family.point_angle_cdeg or "point_angle" in read else ("point_angle_deg",)


def build_case(known: Known, flute_nm: int, wanted: Wanted) -> dict[str, Any]:
    """The case of the headless plan, from what was read."""
    case = {
        "tool": _build_tool(known, flute_nm),
        "measured": _build_measured(known),
        "damage": _list_damage(known),
        "allow": {"finish": write_mm(wanted.finish_nm)},
        "limits": _write(
            usable_length=wanted.shortest_usable_nm,
            diameter=wanted.smallest_diameter_nm,
            hole_depth=wanted.hole_depth_nm,
            oversize=wanted.hole_oversize_nm,
        ),
        "uncertainty": _build_uncertainty(known),
    }
    return {name: part for name, part in case.items() if part}


def _build_tool(known: Known, flute_nm: int) -> dict[str, Any]:
    grind, read = find_point_cdeg(known) / 100, known.inspection.readings.get("point_angle")
    now = (read.cdeg or 0) / 100 if read else grind
    tool = {
        "kind": "drill",
        "point_angle_deg": now,
        **_write(nominal_diameter=known.family.nominal_nm, flute_length=flute_nm, web=known.read_nm("web")),
    }
    tool |= {"material": known.family.material} if known.family.material else {}
    return tool | ({"grind_point_angle_deg": grind} if now != grind else {})


def _build_measured(known: Known) -> dict[str, Any]:
    """The diameter is taken just behind the worn margin, unless it was read over it."""
    behind = None if known.inspection.diameter_place == "worn" else known.read_nm("worn_margin")
    return _write(diameter=known.inspection.diameter_nm, diameter_at=behind)


def _list_damage(known: Known) -> list[dict[str, str]]:
    return [_write(**{key: nm}) for name, key in DAMAGE.items() if (nm := known.read_nm(name))]


def _build_uncertainty(known: Known) -> dict[str, str]:
    """Of the diameter and the flute as their gauges have it; of the damage as an eye reads it."""
    readings = known.inspection.readings
    marked = known.inspection.diameter_source == "marked"
    diameter = MARKED_NM if marked else spread_of(readings["diameter"]) if "diameter" in readings else 0.0
    damage = READ_BY_EYE_NM if _list_damage(known) else 0.0
    return _write(diameter=round(diameter), damage=round(damage))


def _write(**lengths_nm: int | None) -> dict[str, str]:
    return {name: write_mm(nm) for name, nm in lengths_nm.items() if nm}


def list_figures(option: Mapping[str, Any], unit: Unit) -> list[tuple[str, str]]:
    """The figures of an option, most needed first."""

    def length(name: str) -> str:
        return " · ".join(both(to_nm(option[name]), unit))

    figures = [
        ("Cut-back", length("cut_back_mm") if option["cut_back_mm"] else "nothing"),
        ("Off the overall length", length("length_lost_mm")),
        ("Diameter after", length("diameter_mm")),
        ("Flute left", length("usable_length_mm")),
        ("Deepest hole after", length("hole_depth_mm") if option["hole_depth_mm"] > 0 else "none"),
        ("Lip relief at the corner", f"{option['lip_relief_deg']:g}° ± 2°"),
        ("Length of the point", length("point_length_mm")),
    ]
    if option["web_mm"] is not None:
        thin = ", thin it" if option["thin_web"] else ", no need to thin"
        figures.append(("Web after", f"{show_with_unit(to_nm(option['web_mm']), unit)}{thin}"))
    if option["lip_height_most_mm"] is not None:
        figures.append(("Lips, most apart in height", length("lip_height_most_mm")))
    return figures


def list_holds(tool: Mapping[str, Any], option: Mapping[str, Any]) -> list[Hold]:
    """The point angle as it is ground, and how far the lips may stand apart where the customer named an oversize."""
    angle = round(100 * (tool.get("grind_point_angle_deg") or tool["point_angle_deg"]))
    holds = [Hold("point_angle", POINT_ANGLE, angle - POINT_WITHIN_CDEG, angle + POINT_WITHIN_CDEG, POINT_SOURCE)]
    most = option["lip_height_most_mm"]
    return holds + ([Hold("lip_height", LIP_HEIGHT, None, to_nm(most), LIP_SOURCE)] if most is not None else [])


def find_drop_mm(option: Mapping[str, Any], turn_deg: float) -> float:
    """How far an axial indicator at the corner falls when the drill is turned so far: r θ tan α (notes on drills)."""
    drop: float = option["diameter_mm"] / 2 * math.radians(turn_deg) * math.tan(math.radians(option["lip_relief_deg"]))
    return drop


KIND = BenchKind(
    supplied=list_supplied,
    readings=("worn_margin", "corner_chip"),
    unasked=("damage_depth", "reach", "teeth", "end_depth"),
    damages=(("depth", "worn or chipped"), ("nothing", "no damage")),
    labels={
        "damage": "The point",
        "diameter_worn": "Taken over the worn margin",
        "flute_length": "Flute length, from the corner",
    },
    hints={
        "diameter": "Over the margins, just behind the wear.",
        "worn_margin": "Along the drill, from the corner as it was when whole, on the lip that is worn further.",
        "corner_chip": "From the whole corner back; on a broken corner take the other lip’s.",
        "flute_length": "To where the flute runs out; not needed where only the point counts.",
    },
    planner=KindPlan(
        headless="drill",
        asked=tuple(DAMAGE),
        more=("lip_chip", "chisel_wear", "web", "point_angle"),
        keeps=("flute_length",),
        build=build_case,
        assume=say_assumed,
        figures=list_figures,
        checks=("lip_height", "usable"),
        holds=list_holds,
    ),
)
