"""What of a report was assumed and not measured, in sentences."""

from collections import defaultdict
from collections.abc import Sequence

from regrind.bench.from_family import list_from_family, list_supplied
from regrind.bench.kinds.kind import Known
from regrind.bench.kinds.registry import kind_of
from regrind.bench.models import FinalCheck, Inspection
from regrind.bench.planning.words import say_field
from regrind.record.dimension_words import property_words
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Line, Piece
from regrind.record.piece_names import spans

from .common import Rows

Measured = Inspection | FinalCheck


def say_assumed(same: list[Piece], rows: Rows) -> list[str]:
    """Sentences on values of a line's pieces that were assumed and not measured."""
    answers = {id(answer): answer for p in same if (answer := rows.worked_out(p)[0])}.values()
    tabled = {default["field"] for answer in answers for default in answer["defaults"]} | _by_kind(same, rows)
    fields = sorted(map(say_field, tabled))
    received = [(p, inspection) for p in same if (inspection := rows.first_inspections.get(p.pk))]
    marked = [p for p, row in received if not row.copied_from_id and row.diameter_source == "marked"]
    checked = [(p, check) for p in same if (check := rows.checks.get(p.pk)) and p.result == "ground"]
    followed = [(p, check) for p, check in checked if _followed(check)]
    sentences = [
        _of_family(same, rows),
        f"{', '.join(fields)}; from tables and common practice." if fields else "",
        *_not_read(same, rows),
        f"diameter of {spans(marked)} before grinding, as marked on the tool." if marked else "",
        *(
            f"{like} taken to be like {model} as received, not measured one by one."
            for like, model in _by_model(received, received)
        ),
        *(
            f"{like} taken to be like {model} after grinding, not measured one by one."
            for like, model in _by_model(followed, checked)
        ),
    ]
    return [f"Line {same[0].line.number}: {sentence}" for sentence in sentences if sentence]


def _of_family(same: list[Piece], rows: Rows) -> str:
    """What the plan of ground pieces took from other tools of their kind; '' where nothing."""
    values = {row.name: row.value for line, read in _planned(same, rows) for row in list_from_family(line, read)}
    if not values:
        return ""
    words = property_words(values, same[0].batch.customer.unit, same[0].line.family.kind_data)
    return f"{words}; as other tools of this kind, nobody confirmed it."


def _not_read(same: list[Piece], rows: Rows) -> list[str]:
    """Of tools that are read tooth by tooth, which teeth were not."""
    planner = kind_of(same[0].line.family).planner
    if planner is None or not planner.by_tooth:
        return []
    read = {row.pk: planner.assume(Known(tool_of(line), row)) for line, row in _planned(same, rows)}
    return [f"{words}." for words in dict.fromkeys(words for each in read.values() for words in each)]


def _by_kind(same: list[Piece], rows: Rows) -> set[str]:
    """The fields that the kind took from a table for the plan of ground pieces."""
    return {field for line, read in _planned(same, rows) for field in list_supplied(line, read)}


def _planned(same: list[Piece], rows: Rows) -> list[tuple[Line, Inspection]]:
    """Of the ground pieces that were worked out, their lines and what was read before."""
    return [(p.line, row) for p in same if p.result == "ground" and rows.case(p) and (row := rows.inspection_of(p))]


def _by_model(
    copies: Sequence[tuple[Piece, Measured]], everyone: Sequence[tuple[Piece, Measured]]
) -> list[tuple[str, str]]:
    """The pieces that stand for one another, each with the piece that was measured: `1-3, 1-5` like `1-1`."""
    measured = {row.pk: piece.short for piece, row in everyone}
    groups: dict[int, list[Piece]] = defaultdict(list)
    for piece, row in copies:
        if row.copied_from_id:
            groups[row.copied_from_id].append(piece)
    return [(spans(pieces), measured.get(root, "the first piece")) for root, pieces in groups.items()]


def _followed(check: FinalCheck) -> bool:
    return check.copied_from_id is not None and check.diameter_nm is None
