"""Readings that look like a slip of the pen, a lost zero or a moved point: asked about before they are stored."""

from collections.abc import Mapping
from typing import Any

from regrind.geometry.units import Unit, show_with_unit
from regrind.record.models import Family

from ..plausible_ranges import find_plausible_overall

LEAST_RELIEF_CDEG, MOST_RELIEF_CDEG = 200, 3000  # common practice: primary relief lies between
MOST_RUNOUT_NM, RUNOUT_SHARE = 100_000, 0.02  # beyond both of these nobody would call it a runout
TAPER_SHARE, LENGTH_SHARE = 0.02, 0.2


def find_odd(
    data: Mapping[str, Any], tool: Family, unit: Unit, relief_cdeg: int | None, usable_nm: int | None
) -> dict[str, str]:
    """Field -> what looks odd about it. data: clean lengths by name; usable_nm: the usable length as planned.

    A diameter that is not as planned is a finding of its own, and asked about as such.
    """

    def show(nm: int) -> str:
        return show_with_unit(nm, unit)

    nm = {name: value.nm for name, value in data.items() if hasattr(value, "nm")}
    size = nm.get("diameter") or tool.nominal_nm or 0
    doubts: dict[str, str] = {}
    if relief_cdeg is not None and not LEAST_RELIEF_CDEG <= relief_cdeg <= MOST_RELIEF_CDEG:
        doubts["drop"] = f"Read as {show(nm['drop'])}, which is {relief_cdeg / 100:g}° of relief."
    for name in ("runout_sides", "runout_end"):
        if name in nm and nm[name] > max(MOST_RUNOUT_NM, RUNOUT_SHARE * size):
            doubts[name] = f"Read as {show(nm[name])}: that is a great deal for a runout."
    if "back_diameter" in nm and size and abs(nm["back_diameter"] - size) > TAPER_SHARE * size:
        doubts["back_diameter"] = f"Read as {show(nm['back_diameter'])}, and the end is {show(size)}."
    usual = {
        "usable": _about(usable_nm),
        "diameter": _about(tool.nominal_nm),
        "overall": find_plausible_overall(tool.overall_nm) if tool.overall_nm else None,
    }
    for name, span in usual.items():
        if name in nm and span and not span[0] <= nm[name] <= span[1]:
            doubts[name] = f"Read as {show(nm[name])}; usual here is from {show(span[0])} to {show(span[1])}."
    return doubts


def _about(expected: int | None) -> tuple[int, int] | None:
    return (round(expected * (1 - LENGTH_SHARE)), round(expected * (1 + LENGTH_SHARE))) if expected else None
