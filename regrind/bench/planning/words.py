"""What the plan's short codes mean, in the words of the bench."""

from collections.abc import Mapping
from typing import Any

from regrind.geometry.errors import Refused

LIMITS = {
    "diameter": "the customer's smallest diameter",
    "usable_length": "the customer's shortest usable length",
    "rake_deg": "rake, not below zero",
    "flute_depth": "flute depth",
    "published_reduction": "the published reduction",
    "core_ratio": "core to diameter",
    "diameter_floor": "the smallest diameter usually left, none being named",
    "flute_floor": "the shortest flute usually left, none being named",
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
}
REASONS = {
    "no_option_left": "nothing clean is left of it: the damage is deeper and longer than the tool",
    "rake_from_assumed_arc": "the rake after rests on a flute face that nobody measured: measure the rake or the core",
    "mark_beyond_reach": "a mark lies beyond what can be ground",
    "measure_per_tooth": "read every tooth: with the total reading alone it cannot be decided",
    "gash_again": "the end has to be gashed again",
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


def say_option(option: Mapping[str, Any]) -> str:
    """What an option does, as one would tell it: `sides and end`."""
    parts = [name for name in ("sides", "end") if option[name]]
    return " and ".join(parts) if parts else "nothing: it is sound"
