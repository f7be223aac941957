"""What the plan's short codes mean, in the words of the bench."""

from collections.abc import Mapping, Sequence
from typing import Any

from regrind.geometry.errors import Refused
from regrind.geometry.units import Unit, show_with_unit, to_nm
from regrind.record.kinds import RADIAL, name_part

from .parts import list_parts

LIMITS = {
    "diameter": "the customer's smallest diameter",
    "usable_length": "the customer's shortest usable length",
    "hole_depth": "the customer's deepest hole",
    "hole_lower": "the hole's lower size",
    "reamer_upper": "the largest new reamer for the hole",
    "width": "the least width agreed",
    "gullet_depth": "the least depth of the gullets agreed",
    "reach": "the least reach below the neck agreed",
    "tooth_thickness": "the least thickness of a tooth agreed",
    "rake_deg": "rake, not below zero",
    "flute_depth": "flute depth",
    "published_reduction": "the published reduction",
    "core_ratio": "core to diameter",
    "diameter_floor": "the smallest diameter usually left, none being named",
    "flute_floor": "the shortest flute usually left, none being named",
    "relief_deg": "relief",
    "tooth_width": "tooth width",
    "tooth_width_floor": "the narrowest tooth usually left, none being named",
}
FIELDS = {
    "core_diameter": "core diameter",
    "rake_deg": "radial rake",
    "primary_relief_deg": "primary relief",
    "secondary_relief_deg": "secondary relief",
    "primary_land": "primary land",
    "helix_deg": "helix",
    "flute_length": "flute length",
    "face_arc_radius": "radius of the flute face",
    "material": "material",
    "diameter": "diameter",
    "tooth_reading": "tooth readings",
    "tooth_readings": "tooth readings",
    "depth": "damage depth",
    "wear_land": "wear land",
    "to": "end of the mark",
    "from": "start of the mark",
    "end_depth": "damage on the end",
    "hand_of_cut": "hand of cut",
    "hand_of_helix": "hand of helix",
    "from_deg": "start of the mark",
    "to_deg": "end of the mark",
    "radius": "corner radius",
    "width": "width of the clip",
    "corner_radius": "corner radius",
    "back": "how far back from the edge",
    "tooth_width": "tooth width",
    "dish_deg": "dish",
    "end_primary_relief_deg": "end relief, primary",
    "end_secondary_relief_deg": "end relief, secondary",
    "end_rake_deg": "axial rake of the end",
    "end_land": "land of an end tooth",
    "end_wear_land": "wear land on the end",
    "end_readings": "readings at the end",
    "centre_recess": "depth of the centre recess",
    "gash_length": "length of the end gash",
    "back_taper": "back taper, per 100 mm",
    "web_taper": "web taper, per 100 mm",
    "chip_room": "room for the chips",
    "web_most": "web that is thinned above",
    "worn_margin": "worn margin",
    "corner_chip": "corner chip",
    "lip_chip": "chip on a lip",
    "chisel_depth": "wear of the chisel edge",
    "point_angle_deg": "point angle",
    "chip": "chip",
    "chamfer_length": "length of the chamfer",
    "chamfer_angle_deg": "angle of the chamfer",
    "chamfer_relief_deg": "relief of the chamfer",
    "gullet_depth": "gullet",
    "neck_diameter": "diameter of the neck",
    "reach": "how far in from the rim",
    "relief_deg": "relief",
    "included_angle_deg": "included angle",
    "thread": "thread",
    "worn": "wear at the front",
    "web": "web",
}
REASONS = {
    "no_option_left": "nothing clean is left of it: the damage is deeper and longer than the tool",
    "rake_from_assumed_arc": "the rake after rests on a flute face that nobody measured: measure the rake or the core",
    "mark_beyond_reach": "a mark lies beyond what can be ground",
    "measure_per_tooth": "read every tooth: with the total reading alone it cannot be decided",
    "diameter_read_on_wear": "the diameter was read over the worn margin: read it behind the wear",
    "most_of_the_flute": "more than half of the flute is cut off",
    "new_size_to_agree": "ground down to a smaller hole: the customer is asked first",
    "below_new_size": "smaller than a new reamer for that hole, and still inside the hole's limits",
    "width_not_agreed": "it gets narrower and no least width is agreed: ask, and write it on the line",
    "by_hand": "such a tool is decided by hand: the figures help, the customer is asked",
    "cut_off_first": "so much is cut off before the point is ground",
    "coolant_holes": "blow out the coolant holes, and keep the thinning off their mouths",
    "gash_again": "the end has to be gashed again",
    "recess_again": "the recess in the centre has to be ground again",
    "corner_changed": "another corner than it came with",
    "corner_not_agreed": "the customer has not agreed to that corner: ask first",
    "runout_stays": "the runout of the teeth stays as it is",
    "past_primary_land": "the new edge would lie behind the primary land, on the secondary",
    "back_not_measured": "the face is left out where nobody read how far back from the edge the damage reaches",
    "land_past_widest": "the land will be wider than usual: grind the secondary again",
    "relief_outside_table": "its relief lies outside the published table for this diameter",
    "shank_runout": "the shank runs out by more than .0005 in (13 µm)",
    "shank_runout_over_half_the_stock": "the shank runs out by more than half the stock: hold it truer before grinding",
}


def say_limit(code: str) -> str:
    return LIMITS.get(code, FIELDS.get(code, code.replace("_", " ")))


def say_field(code: str) -> str:
    return FIELDS.get(code, code.replace("_", " "))


def say_reason(code: str) -> str:
    """A reason's code in words: its own, or made of the limit or field it names."""
    for start, words in (("outside_", "past a limit: {}"), ("too_close_", "too close to call: {}")):
        if code.startswith(start):
            return words.format(say_limit(code.removeprefix(start)))
    if code.startswith("rests_on_default_"):
        return f"rests on an assumed {say_field(code.removeprefix('rests_on_default_'))}: measure it to be sure"
    return REASONS.get(code, code.replace("_", " "))


def say_fault(refused: Refused) -> str:
    """A refusal of the plan in words: that of `damage[0].to` is `End of the mark: is beyond …`."""
    return f"{say_field(refused.key).capitalize()}: {refused.message}."


def say_option(option: Mapping[str, Any], unit: Unit) -> str:
    """What an option does, as one would tell it: `sides and end`, `end, corner clipped 0.300 mm`."""
    parts = [
        name_part(name) for name in list_parts(option) if name != "corner" or "corner_changed" not in option["reasons"]
    ]
    parts += [_say_new_corner(option, unit)] if "corner_changed" in option["reasons"] else []
    return join_words(parts) or "nothing: it is sound"


def say_work(option: Mapping[str, Any], unit: Unit) -> str:
    """An option as an instruction with its sizes: `grind the sides to .2342 in`, `grind the end, .0945 in off`."""
    work = [_say_part(name, option, unit) for name in list_parts(option)]
    return f"grind {join_words(work)}" if work else "grind nothing: it is sound"


def _say_part(name: str, option: Mapping[str, Any], unit: Unit) -> str:
    if name == "corner" and "corner_changed" in option["reasons"]:
        return f"the {_say_new_corner(option, unit)}"
    if name in RADIAL and option.get("diameter_mm"):
        return f"the {name} to {show_with_unit(to_nm(option['diameter_mm']), unit)}"
    if name in ("end", "ball", "point", "chamfer") and option.get("cut_back_mm"):
        return f"the {name}, {show_with_unit(to_nm(option['cut_back_mm']), unit)} off"
    return f"the {name_part(name)}"


def _say_new_corner(option: Mapping[str, Any], unit: Unit) -> str:
    size = show_with_unit(to_nm(option["corner_size_mm"]), unit)
    return f"corner clipped {size}" if option["corner_form"] == "chamfer" else f"corner radius {size} instead"


def join_words(parts: Sequence[str]) -> str:
    """`sides`, `sides and end`, `sides, end and corner`."""
    return " and ".join(filter(None, (", ".join(parts[:-1]), *parts[-1:])))
