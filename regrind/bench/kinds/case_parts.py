"""What the cases of several kinds share: lengths as text, and how surely each was read."""

from collections.abc import Mapping
from typing import Any

from regrind.geometry.units import Unit, both, parse, to_nm, write_mm

from ..readings import spread_of
from .kind import Known

READ_BY_EYE_NM = 50_000.0  # standard uncertainty of a margin or a chip read off a rule or a loupe (common practice)
MARKED_NM = 10_000.0  # and of a diameter that is only marked: memory, a maker's tolerance on a small tool


def write_lengths(**lengths_nm: int | None) -> dict[str, str]:
    """The lengths that are known and not 0, as the case has them."""
    return {name: write_mm(nm) for name, nm in lengths_nm.items() if nm}


def list_damage(known: Known, names: Mapping[str, str]) -> list[dict[str, str]]:
    """A mark for each reading above 0. names: the case's key by the reading's name."""
    return [write_lengths(**{key: nm}) for name, key in names.items() if (nm := known.read_nm(name))]


def find_deepest_mm(case: Mapping[str, Any], name: str) -> float:
    """The largest of a case's marks of one kind, 0 where there is none."""
    return max((parse(mark[name]).mm for mark in case.get("damage", ()) if name in mark), default=0.0)


def build_measured(known: Known) -> dict[str, Any]:
    """The diameter is taken just behind the worn margin, unless it was read over it."""
    behind = None if known.inspection.diameter_place == "worn" else known.read_nm("worn_margin")
    return write_lengths(diameter=known.inspection.diameter_nm, diameter_at=behind)


def build_uncertainty(known: Known, *, damaged: bool) -> dict[str, str]:
    """Of the diameter as its gauge has it, of the damage as an eye reads it."""
    readings = known.inspection.readings
    marked = known.inspection.diameter_source == "marked"
    diameter = MARKED_NM if marked else spread_of(readings["diameter"]) if "diameter" in readings else 0.0
    return write_lengths(diameter=round(diameter), damage=round(READ_BY_EYE_NM if damaged else 0.0))


def say(mm: float | None, unit: Unit) -> str:
    """A length of an option in both units; "not known" where it could not be worked out."""
    return "not known" if mm is None else " · ".join(both(to_nm(mm), unit))


def read_degrees(known: Known, name: str) -> float | None:
    """An angle that was read, in degrees."""
    reading = known.inspection.readings.get(name)
    return None if reading is None or reading.cdeg is None else reading.cdeg / 100


def keep_filled(case: Mapping[str, Any]) -> dict[str, Any]:
    """The case without the parts that hold nothing."""
    return {name: part for name, part in case.items() if part}
