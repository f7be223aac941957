"""Kinds that are planned in a way of their own: from an inspection to the case and the answer, in JSON."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from regrind.geometry.errors import Refused
from regrind.geometry.kinds.plan import answer_case
from regrind.geometry.kinds.registry import BY_NAME
from regrind.geometry.units import write_mm
from regrind.record.dimension_words import say_assumed
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Line

from ..from_family import list_from_family
from ..kinds.kind import KindPlan, Known, Wanted
from ..models import Grind, Inspection
from .allowances import Usual
from .tool import Flute, find_flute
from .words import say_fault


@dataclass
class KindAnswer:
    """A case with its answer, or why there is none."""

    case: dict[str, Any] = field(default_factory=dict)
    answer: dict[str, Any] | None = None
    assumed: list[str] = field(default_factory=list)
    lacks: tuple[str, ...] = ()
    refused: str = ""


def answer_kind(
    line: Line, inspection: Inspection, planner: KindPlan, usual: Usual, ground: Sequence[Grind], reground: bool
) -> KindAnswer:
    """Work one inspected piece out. The regrinds left are counted where the customer named a length to keep."""
    family = tool_of(line)
    known, flute = Known(family, inspection), find_flute(family, inspection, ground, reground)
    try:
        wanted = find_wanted(line, usual, flute.nm)
        if lacks := _find_lacks(known, wanted, planner, flute_known=not flute.guessed or flute.family):
            return KindAnswer(lacks=lacks)
        case, answer = _answer(planner.build(known, wanted), planner)
    except Refused as refused:
        return KindAnswer(refused=say_fault(refused))
    return KindAnswer(case, answer, _list_assumed(line, known, planner, flute))


def _list_assumed(line: Line, known: Known, planner: KindPlan, flute: Flute) -> list[str]:
    """In words, what the plan takes that nobody read or stated."""
    assumed = [flute.words] if flute.words and planner.flute else []
    assumed += ["the diameter, as marked"] if known.inspection.diameter_source == "marked" else []
    family_rows = list_from_family(line, known.inspection, flute=flute.family and planner.flute)
    assumed += [say_assumed(line, row.name) for row in family_rows if row.name != "teeth"]
    return assumed + planner.assume(known)


def _find_lacks(known: Known, wanted: Wanted, planner: KindPlan, *, flute_known: bool) -> tuple[str, ...]:
    values = (
        ("the nominal diameter", known.family.nominal_nm),
        ("the diameter", known.inspection.diameter_nm or not planner.measured),
        ("damage that can be measured", known.inspection.damage != "unmeasurable"),
        ("the flute length", flute_known or not planner.flute),
    )
    return (*(name for name, value in values if not value), *planner.lacks(known, wanted))


def find_wanted(line: Line, usual: Usual, flute_nm: int) -> Wanted:
    """What the customer wants of a line's tools. Raises Refused where a hole cannot be read."""
    return Wanted(
        flute_nm,
        usual.allow.finish_end_nm,
        usual.allow.finish_radial_nm,
        smallest_diameter_nm=line.smallest_diameter_nm() or None,
        shortest_usable_nm=line.shortest_usable_nm() or None,
        narrowest_nm=line.narrowest_nm,
        gullet_nm=line.gullet_limit_nm,
        reach_nm=line.reach_limit_nm,
        thickness_nm=line.thickness_limit_nm,
        hole_depth_nm=line.hole_depth_nm,
        hole_oversize_nm=line.oversize_nm,
        hole=line.hole_to_ream(),
        smaller_holes=line.smaller_holes_to_ream(),
    )


def _answer(case: dict[str, Any], planner: KindPlan) -> tuple[dict[str, Any], dict[str, Any]]:
    """Case and answer; regrinds are counted as if each took as much as this one, where a limit stands in their way."""
    kind = BY_NAME[planner.headless]
    answer = answer_case(case, kind)
    taken_mm = max((option[planner.takes] for option in answer["options"]), default=0.0)
    if not taken_mm or {*case, *case.get("limits", {})}.isdisjoint(planner.counts):
        return case, answer
    case = case | {"typical": {kind.typical: write_mm(round(taken_mm * 1e6))}}
    return case, answer_case(case, kind)
