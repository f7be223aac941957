"""What the customer wants to keep of a tool, against what a plan takes off it."""

from collections.abc import Mapping, Sequence
from typing import Any

from regrind.geometry.units import Unit, show_with_unit, to_nm


def say_against_wish(keep: str, cut_back_nm: int | None, off_radius_nm: int | None, unit: Unit) -> str:
    """A sentence where a plan takes off what the customer wants to keep, else ''. keep: as their terms have it."""
    if keep == "length" and cut_back_nm:
        taken = f"{show_with_unit(cut_back_nm, unit)} off the end"
    elif keep == "diameter" and off_radius_nm:
        taken = f"{show_with_unit(2 * off_radius_nm, unit)} off the diameter"
    else:
        return ""
    return f"The customer wants to keep the {keep}, and this takes {taken}."


def say_option_against_wish(
    keep: str, option: Mapping[str, Any], options: Sequence[Mapping[str, Any]], unit: Unit
) -> str:
    """The same for one of the options that were worked out, with what the most sparing of them takes."""
    sentence = say_against_wish(keep, to_nm(option.get("cut_back_mm", 0.0)), _off_radius_nm(option), unit)
    least = min((taken(one, keep) for one in options), default=0)
    if not sentence or taken(option, keep) <= least:
        return sentence
    return f"{sentence} Another option takes {show_with_unit(least, unit) if least else 'none'}."


def taken(option: Mapping[str, Any], keep: str) -> int:
    """What an option takes off the length or the diameter, in nm."""
    return to_nm(option.get("cut_back_mm", 0.0)) if keep == "length" else 2 * _off_radius_nm(option)


def _off_radius_nm(option: Mapping[str, Any]) -> int:
    """The most that comes off a tooth, on the radius."""
    if "grind" in option:  # of a kind's own plan
        return to_nm(option.get("removal_radial_mm") or 0.0)
    if not option.get("sides"):
        return 0
    return to_nm(max(option.get("removal_radial_mm") or option["removal_radial_range_mm"]))
