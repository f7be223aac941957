"""What was asked of the customer about waiting pieces, with the sizes that the answer turns on."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, cast

from regrind.bench.models import Inspection, Plan
from regrind.bench.planning.parts import list_parts
from regrind.bench.planning.words import join_words, say_work
from regrind.bench.revisions import newest, newest_with_readings
from regrind.geometry.units import Unit, show_with_unit, to_nm
from regrind.record.kinds import name_part
from regrind.record.limit_words import say_tooth_limits
from regrind.record.models import Line, Piece

NO_LIMIT = "none agreed"


@dataclass(frozen=True)
class Question:
    """A plan and the short numbers of its pieces; in words the size now, after each option, and what was agreed."""

    plan: Plan
    pieces: str
    unit: Unit
    now: str
    after: list[str]
    limit: str


def asked(pieces: Sequence[Piece]) -> list[Question]:
    """The newest plan of each waiting piece, like pieces together; a fixed number of queries."""
    return list_questions(pieces, newest(Plan, pieces), newest_with_readings(Inspection, pieces))


def list_questions(
    pieces: Sequence[Piece], plans: Mapping[int, Plan], inspections: Mapping[int, Inspection]
) -> list[Question]:
    """The same, of plans and inspections by piece id."""
    groups: dict[tuple[str, int | None], list[Piece]] = {}
    for piece in pieces:
        if plan := plans.get(piece.pk):
            groups.setdefault((plan.reason, plan.diameter_nm), []).append(piece)
    return [
        _question(same, plans[same[0].pk], [inspections[p.pk] for p in same if p.pk in inspections])
        for same in groups.values()
    ]


def _question(pieces: Sequence[Piece], plan: Plan, inspections: Sequence[Inspection]) -> Question:
    line = pieces[0].line
    unit = line.batch.customer.unit
    return Question(
        plan,
        ", ".join(piece.short for piece in pieces),
        unit,
        say_now([row.diameter_nm for row in inspections if row.diameter_nm], unit),
        _list_after(plan, unit),
        say_limit(line, unit),
    )


def say_now(diameters_nm: Sequence[int], unit: Unit) -> str:
    """`diameter .2496 in to .2498 in`: as inspected, smallest and largest of the pieces."""
    if not diameters_nm:
        return "diameter not measured"
    ends = sorted({min(diameters_nm), max(diameters_nm)})
    return f"diameter {' to '.join(show_with_unit(nm, unit) for nm in ends)}"


def ways_to_grind(questions: Sequence[Question]) -> list[tuple[str, str]]:
    """Each way to grind as a choice of the answer: `grind:PLAN:OPTION`, its words and its pieces where they differ.

    Empty where nothing was worked out. Where that is so of some pieces alone, a plain `grind` stands for those.
    """
    ways = [way for question in questions for way in _list_ways(question, named=len(questions) > 1)]
    unplanned = [question.pieces for question in questions if not _options(question.plan)]
    return [*ways, *([("grind", f"grind {', '.join(unplanned)}")] if ways and unplanned else [])]


def _list_ways(question: Question, *, named: bool) -> list[tuple[str, str]]:
    root = question.plan.copied_from_id or question.plan.pk
    whose = f"{question.pieces}: " if named else ""
    return [
        (f"grind:{root}:{index}", f"{whose}{say_work(option, question.unit)}")
        for index, option in enumerate(_options(question.plan))
        if option.get("verdict") != "scrap"
    ]


SIZES = (("diameter", "diameter_mm"), ("usable length", "usable_length_mm"), ("width", "width_mm"))


def _options(plan: Plan) -> list[dict[str, Any]]:
    """What was worked out of a plan, [] where it was made by hand."""
    root = cast(Plan, plan.copied_from or plan)
    return json.loads(root.answer)["options"] if root.answer else []


def _list_after(plan: Plan, unit: Unit) -> list[str]:
    """A line for each option that leaves a tool; of a plan made by hand the one that it says."""
    options = _options(plan)
    after = [
        f"{join_words(list_parts(option))}: {say_after(option, unit)}"
        for option in options
        if option.get("verdict") != "scrap"
    ]
    if after or not plan.diameter_nm:
        return after
    parts = join_words([name_part(part) for part in plan.grinds.split()])
    return [f"{parts}: diameter {show_with_unit(plan.diameter_nm, unit)}"]


def say_after(option: Mapping[str, Any], unit: Unit) -> str:
    """The diameter, usable length and width after an option."""
    sizes = ((name, option.get(key)) for name, key in SIZES)
    return ", ".join(f"{name} {show_with_unit(to_nm(mm), unit)}" for name, mm in sizes if mm is not None)


def say_limit(line: Line, unit: Unit) -> str:
    sizes = (("diameter", line.smallest_diameter_nm()), ("usable length", line.shortest_usable_nm()))
    limits = [f"{name} {show_with_unit(nm, unit)} or more" for name, nm in sizes if nm is not None]
    return ", ".join([*limits, *say_tooth_limits(line, unit)]) or NO_LIMIT
