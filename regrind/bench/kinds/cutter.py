"""Side-and-face, keyseat and T-slot cutters: periphery and side teeth are different surfaces, ground apart."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from regrind.geometry.units import NM_PER_MM, Unit, show_with_unit, to_nm, write_mm
from regrind.paper.values import Sketch

from ..drawings.disc import sketch_rim, sketch_tooth
from .card import Section, Work
from .case_parts import build_uncertainty, keep_filled, read_degrees, say, write_lengths
from .cutter_card import find_side_stock_nm, left_section, periphery_section, right_section
from .cutter_teeth import SIDES, build_heights, list_damage, read_teeth, say_deciding, say_not_read
from .kind import BenchKind, Hold, KindPlan, Known, Wanted
from .measures import BY_TOOTH

ANGLES = {"rake": "rake_deg", "primary": "primary_relief_deg", "secondary": "secondary_relief_deg"}
FAMILY_ANGLES = {
    "rake": "rake_cdeg",
    "primary": "primary_relief_cdeg",
    "secondary": "secondary_relief_cdeg",
}
USUALLY_LEFT = 0.9  # of the nominal diameter, where nobody names a smallest one: common practice, from memory
WIDTH, WIDTH_SOURCE = "width", "the least width that was agreed for the line"


def find_teeth(known: Known) -> int | None:
    """As they were counted, else as the line has them."""
    return known.inspection.teeth or known.family.teeth


def find_lacks(known: Known, wanted: Wanted) -> tuple[str, ...]:
    """Width and teeth; rake and relief for a wear land; how far in a side's mark reaches; what is held to a limit."""
    marks = [readings for readings in read_teeth(known).marks.values() if "rim_land" in readings]
    land = bool(known.read_nm("rim_land") or marks)
    needed = [
        ("the number of teeth", find_teeth(known)),
        ("the width", known.read_nm("width")),
        *((f"the {name} for the wear land", _degrees(known, key) is not None or not land) for name, key in LAND_NEEDS),
        *(
            (f"how far in the damage on the {side} side reaches", known.read_nm(f"{side}_reach"))
            for side in SIDES
            if known.read_nm(f"{side}_depth")
        ),
    ]
    needed += [
        ("the depth of the gullet, for its limit", known.read_nm("gullet") or not wanted.gullet_nm),
        ("the diameter of the neck, for the reach", known.read_nm("neck") or not wanted.reach_nm),
    ]
    return tuple(name for name, value in needed if not value)


LAND_NEEDS = (("rake", "rake"), ("primary relief", "primary"))


def _degrees(known: Known, name: str) -> float | None:
    """An angle of the teeth: as it was read, or came of a drop, else as the family has it."""
    read = read_degrees(known, name)
    if read is None and name == "primary" and known.inspection.relief_cdeg is not None:
        return known.inspection.relief_cdeg / 100
    of_family: int | None = getattr(known.family, FAMILY_ANGLES[name])
    return read if read is not None else None if of_family is None else of_family / 100


def make_build(headless: str) -> Callable[[Known, Wanted], dict[str, Any]]:
    """The builder of the headless plan's case for the kind that it calls so."""

    def build(known: Known, wanted: Wanted) -> dict[str, Any]:
        teeth, read = find_teeth(known) or 0, read_teeth(known)
        damage = list_damage(known, read, teeth)
        allow = {"finish_radial": wanted.finish_radial_nm}
        allow |= {"finish_side": wanted.finish_nm} if any(mark["surface"] in SIDES for mark in damage) else {}
        return keep_filled(
            {
                "tool": {"kind": headless, **_build_tool(known)},
                "measured": _build_measured(known) | build_heights(read, teeth),
                "damage": damage,
                "allow": {name: write_mm(nm) for name, nm in allow.items()},
                "limits": write_lengths(
                    diameter=find_smallest_nm(known, wanted),
                    width=wanted.narrowest_nm,
                    gullet_depth=wanted.gullet_nm,
                    reach=wanted.reach_nm,
                ),
                "uncertainty": build_uncertainty(known, damaged=bool(damage)),
            }
        )

    return build


def find_smallest_nm(known: Known, wanted: Wanted) -> int:
    """The customer's smallest diameter, else what is usually left of such a cutter."""
    return wanted.smallest_diameter_nm or round(USUALLY_LEFT * (known.family.nominal_nm or 0))


def _build_tool(known: Known) -> dict[str, Any]:
    tool: dict[str, Any] = {"teeth": find_teeth(known)}
    tool |= write_lengths(
        nominal_diameter=known.family.nominal_nm,
        gullet_depth=known.read_nm("gullet"),
        neck_diameter=known.read_nm("neck"),
        primary_land=known.read_nm("land") or known.family.primary_land_nm,
    )
    angles = {key: _degrees(known, name) for name, key in ANGLES.items()}
    tool |= {key: degrees for key, degrees in angles.items() if degrees is not None}
    return tool | ({"material": known.family.material} if known.family.material else {})


def _build_measured(known: Known) -> dict[str, str]:
    return write_lengths(
        diameter=known.inspection.diameter_nm,
        width=known.read_nm("width"),
        **{f"side_tir_{side}": known.read_nm(f"{side}_tir") for side in SIDES},
    )


def say_assumed(known: Known) -> list[str]:
    """What counts of the teeth that were not read one by one."""
    return say_not_read(read_teeth(known), find_teeth(known) or 0)


def list_figures(option: Mapping[str, Any], unit: Unit) -> list[tuple[str, str]]:
    """The figures of an option, most needed first."""
    figures = [
        ("Diameter after", say(option["diameter_mm"], unit)),
        ("Off the highest tooth, radial", say(option["removal_radial_mm"], unit)),
        ("Width after", say(option["width_mm"], unit)),
        ("Gullet left", _say_gullet(option, unit)),
    ]
    if option["reach_mm"] is not None:
        figures.append(("Reach below the neck", say(option["reach_mm"], unit)))
    land = say(option["primary_land_mm"], unit)
    wide = ", grind the secondary again" if option["secondary_needed"] else ""
    figures.append(("Primary land after", f"{land}{wide}"))
    rake = option["rake_deg"]
    return [*figures, ("Rake after", "not known" if rake is None else f"{rake:.1f}°")]


def _say_gullet(option: Mapping[str, Any], unit: Unit) -> str:
    """What is left of it; that regrinds are counted without it, where nobody read it."""
    gullet_mm = option["gullet_depth_mm"]
    return "not known, so the regrinds left are counted without it" if gullet_mm is None else say(gullet_mm, unit)


def say_short(option: Mapping[str, Any], unit: Unit) -> list[str]:
    """For the job sheet: the width after."""
    return [f"width after {show_with_unit(to_nm(option['width_mm']), unit)}"]


def sketch_ground(case: Mapping[str, Any], option: Mapping[str, Any], unit: Unit) -> dict[str, Sketch]:
    """A tooth where the periphery is ground, the rim across its width where a side is."""
    stock = {side: find_side_stock_nm(case, side) / NM_PER_MM for side in SIDES if side in option["grind"]}
    sketches = {"periphery": sketch_tooth(case, option, unit)} if "periphery" in option["grind"] else {}
    return sketches | ({next(iter(stock)): sketch_rim(case, option, stock, unit)} if stock else {})


def list_holds(tool: Mapping[str, Any], option: Mapping[str, Any]) -> list[Hold]:
    """The width against the least that was agreed."""
    limits = {line["limit"]: line for line in option["limits"]}
    if "width" not in limits:
        return []
    return [Hold("width", WIDTH, to_nm(limits["width"]["at_least"]), None, WIDTH_SOURCE)]


SECTIONS: dict[str, Callable[[Work], Section]] = {
    "periphery": periphery_section,
    "left": left_section,
    "right": right_section,
}
PLANNER = KindPlan(
    headless="side-and-face cutter",
    asked=("rim_depth", "rim_land", "left_depth", "right_depth"),
    more=("width", "left_reach", "right_reach", "left_tir", "right_tir", "gullet"),
    by_tooth=("tooth", *BY_TOOTH),
    keeps=("tir", "rake", "primary", "secondary", "land"),
    lacks=find_lacks,
    flute=False,
    teeth=300,
    build=make_build("side-and-face cutter"),
    assume=say_assumed,
    figures=list_figures,
    deciding=say_deciding,
    short=say_short,
    sketches=sketch_ground,
    sections=SECTIONS,
    takes="removal_radial_mm",
    counts=("diameter", "gullet_depth", "reach"),
    holds=list_holds,
)
KIND = BenchKind(
    readings=("width", "rim_depth"),
    unasked=("damage_depth", "reach", "end_depth"),
    damages=(("depth", "worn or chipped"), ("nothing", "no damage")),
    labels={
        "damage": "Periphery and sides",
        "diameter_worn": "Taken over a worn edge",
        "rim_land": "Wear land on the periphery, in the cutting direction",
        "tir": "Runout of the periphery, total reading",
        "primary": "Primary relief of the periphery",
        "rake": "Rake of the periphery",
    },
    hints={
        "diameter": "Over the highest tooth.",
        "width": "Over the side teeth, where they are sharp; the plan needs it.",
        "rim_depth": "The deepest mark on the periphery, square to it.",
        "left_depth": "On the side to the left with the teeth pointing up and towards you.",
        "left_reach": "How far in from the rim it reaches: grinding the periphery past that takes it along.",
        "tir": "The plan takes every tooth as the lowest, but those that are read one by one.",
    },
    planner=PLANNER,
)
# With a neck: what is left below it is the depth that the cutter reaches.
NECKED = replace(
    KIND,
    planner=replace(
        PLANNER, headless="keyseat cutter", build=make_build("keyseat cutter"), more=(*PLANNER.more, "neck")
    ),
)
