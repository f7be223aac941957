"""Twist drills: ground on the point, back until the worn margin and every chip are gone."""

import math
from collections.abc import Collection, Mapping
from typing import Any

from regrind.geometry.units import Unit, parse, show_with_unit, to_nm, write_mm
from regrind.paper import cautions
from regrind.paper.values import Sketch
from regrind.record.models import Family
from regrind.shop.web.svg import in_unit

from ..drawings.front import sketch_front
from .card import Figure, Section, Work
from .case_parts import (
    build_measured,
    build_uncertainty,
    find_deepest_mm,
    keep_filled,
    list_damage,
    say,
    write_lengths,
)
from .kind import BenchKind, Hold, KindPlan, Known, Wanted

# Point angles that nobody gave: usual for these materials of drill (common practice).
USUAL_POINT_CDEG = {"carbide": 14_000, "HSS": 11_800, "HSS-Co": 13_500}
OTHER_POINT_CDEG = 11_800
TURN_DEG = 15.0  # how far the drill is turned under the indicator; our choice, well on a lip's relief
BINDS = "All of the worn margin goes: what is left of it binds in the hole."
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


def build_case(known: Known, wanted: Wanted) -> dict[str, Any]:
    """The case of the headless plan, from what was read."""
    damage = list_damage(known, DAMAGE)
    return keep_filled(
        {
            "tool": _build_tool(known, wanted.flute_nm),
            "measured": build_measured(known),
            "damage": damage,
            "allow": {"finish": write_mm(wanted.finish_nm)},
            "limits": write_lengths(
                usable_length=wanted.shortest_usable_nm,
                diameter=wanted.smallest_diameter_nm,
                hole_depth=wanted.hole_depth_nm,
                oversize=wanted.hole_oversize_nm,
            ),
            "uncertainty": build_uncertainty(known, damaged=bool(damage)),
        }
    )


def _build_tool(known: Known, flute_nm: int) -> dict[str, Any]:
    grind, read = find_point_cdeg(known) / 100, known.inspection.readings.get("point_angle")
    now = (read.cdeg or 0) / 100 if read else grind
    tool = {
        "kind": "drill",
        "point_angle_deg": now,
        **write_lengths(nominal_diameter=known.family.nominal_nm, flute_length=flute_nm, web=known.read_nm("web")),
    }
    tool |= {"material": known.family.material} if known.family.material else {}
    return tool | ({"grind_point_angle_deg": grind} if now != grind else {})


def list_figures(option: Mapping[str, Any], unit: Unit) -> list[tuple[str, str]]:
    """The figures of an option, most needed first."""

    def length(name: str) -> str:
        return say(option[name], unit)

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


def sketch_point(case: Mapping[str, Any], option: Mapping[str, Any], unit: Unit) -> dict[str, Sketch]:
    """The point before and after, each from the tip to its corner."""
    tool, radius = case["tool"], parse(case["measured"]["diameter"]).mm / 2
    now = tool["point_angle_deg"]
    new, cut = tool.get("grind_point_angle_deg", now), option["cut_back_mm"]
    before, after = (radius / math.tan(math.radians(angle / 2)) for angle in (now, new))
    worn = find_deepest_mm(case, "worn_margin")
    outlines = [(0.0, -before), (radius, 0.0)], [(0.0, cut - after), (radius, cut)]
    words, note = (
        (f"{now:g}° point", f"{new:g}° point"),
        f"{in_unit(cut, unit)} back from the corner; dark: worn margin",
    )
    return {"point": sketch_front(*outlines, (0.0, worn), words, note)}


def list_holds(tool: Mapping[str, Any], option: Mapping[str, Any]) -> list[Hold]:
    """The point angle as it is ground, and how far the lips may stand apart where the customer named an oversize."""
    angle = round(100 * (tool.get("grind_point_angle_deg") or tool["point_angle_deg"]))
    holds = [
        Hold("point_angle", POINT_ANGLE, angle - POINT_WITHIN_CDEG, angle + POINT_WITHIN_CDEG, POINT_SOURCE, angle=True)
    ]
    most = option["lip_height_most_mm"]
    return holds + ([Hold("lip_height", LIP_HEIGHT, None, to_nm(most), LIP_SOURCE)] if most is not None else [])


def find_drop_mm(option: Mapping[str, Any], turn_deg: float) -> float:
    """How far an axial indicator at the corner falls when the drill is turned so far: r θ tan α (notes on drills)."""
    drop: float = option["diameter_mm"] / 2 * math.radians(turn_deg) * math.tan(math.radians(option["lip_relief_deg"]))
    return drop


def point_section(work: Work) -> Section:
    """The point on the setup card."""
    option = work.option
    figures = (
        Figure("Off the point, from the corner", work.end_nm, first=True),
        Figure("Point angle", text=_say_angle(work), assumed="point_angle_deg" in work.assumed),
        Figure("Lip relief at the corner", text=f"{option['lip_relief_deg']:g}°", note="± 2°"),
        Figure(f"Indicator at the corner, turned {TURN_DEG:g}°: drop", to_nm(find_drop_mm(option, TURN_DEG))),
        *_list_lips(option),
        *_list_web(option),
        Figure("Flute left", work.usable_nm),
        Figure("Diameter after, left alone", work.diameter_nm),
        *work.end_passes.figures,
    )
    return Section("point", "Point", figures, _list_steps(work), cautions.POINT)


def _say_angle(work: Work) -> str:
    """The angle that is ground, and the one it came with where that differs."""
    now = work.tool.get("point_angle_deg")
    new = work.tool.get("grind_point_angle_deg") or now
    return f"{new:g}°" if new == now else f"{new:g}°, came with {now:g}°"


def _list_lips(option: Mapping[str, Any]) -> tuple[Figure, ...]:
    most = option["lip_height_most_mm"]
    return () if most is None else (Figure("Lips, most apart in height", to_nm(most)),)


def _list_web(option: Mapping[str, Any]) -> tuple[Figure, ...]:
    if option["web_mm"] is None:
        return ()
    return (Figure("Web after", to_nm(option["web_mm"]), note="thin it" if option["thin_web"] else "no need to thin"),)


def _list_steps(work: Work) -> tuple[str, ...]:
    reasons = work.option["reasons"]
    most = show_with_unit(to_nm(work.option["cut_back_mm"]), work.unit)
    steps = (
        f"Cut off most of the {most} first, then point." if "cut_off_first" in reasons else "",
        BINDS,
        "Both lips at one setting of the stop, turned half a turn, so that they are of one length and height.",
        *work.end_passes.steps,
        _say_thinning(work.option),
        "Blow out the coolant holes, and keep the thinning off their mouths." if "coolant_holes" in reasons else "",
        "The margins are left alone: the diameter falls by the back taper only.",
    )
    return tuple(step for step in steps if step)


def _say_thinning(option: Mapping[str, Any]) -> str:
    """The web grows as a drill is worn back; unread, the bench checks it before the drill goes."""
    if option["thin_web"] is None:
        return "Web not read: thin it where the chisel edge has grown."
    return "Thin the web on both sides alike, into the flutes." if option["thin_web"] else ""


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
        sections={"point": point_section},
        sketches=sketch_point,
        takes="cut_back_mm",
        counts=("usable_length", "hole_depth"),
        checks=("lip_height", "usable"),
        holds=list_holds,
    ),
)
