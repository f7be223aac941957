"""What an option grinds, part by part, under the names of the kinds' parts."""

from collections.abc import Mapping
from typing import Any


def list_parts(option: Mapping[str, Any]) -> tuple[str, ...]:
    """Sides, end, corner, ball or face, in the order of the work. A ball has no end of its own.

    Kinds with a plan of their own name their parts themselves.
    """
    if "grind" in option:
        return tuple(option["grind"])
    if option.get("way") == "face":
        return (*(("face",) if option.get("face_stock_mm") else ()), *(("end",) if option.get("end") else ()))
    if option.get("corner_form") == "ball":
        return (*(("sides",) if option.get("sides") else ()), *(("ball",) if option.get("corner") else ()))
    return tuple(name for name in ("sides", "end", "corner") if option.get(name))
