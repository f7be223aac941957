"""The job sheet of a batch: what is in the box, the plan's figures as far as they are, room to write."""
from datetime import date

from regrind.paper import values
from regrind.record.models import Batch, Line, Piece

from .common import Rows, exact, gather, heading, pieces_of, tool_name

TODO = {"arrived": "look at", "looked_at": "plan", "waiting": "ask", "to_grind": "grind", "ground": "check",
        "away": "away", "released": "done", "left": "left", "recycled": "recycled", "missing": "missing"}


def job_sheet(batch: Batch, revision: int, dated: date) -> values.JobSheet:
    """The sheet as the record stands: figures that are not planned yet are room to write."""
    pieces = pieces_of(batch)
    rows = gather(pieces)
    by_line: dict[int, list[Piece]] = {}
    for piece in pieces:
        by_line.setdefault(piece.line_id, []).append(piece)
    box = tuple(values.BoxLine(str(same[0].line.number), len(same), tool_name(same[0].line),
                               same[0].line.customer_tool_number, same[0].line.note) for same in by_line.values())
    setups = tuple(values.JobSetup(f"Line {same[0].line.number}", (_line(same[0].line, same, rows),))
                   for same in by_line.values())
    return values.JobSheet(heading(batch, str(batch.number), revision, dated), box, setups, terms=_terms(batch),
                           note=batch.note)


def _line(line: Line, same: list[Piece], rows: Rows) -> values.JobLine:
    cautions = (f"Sides left alone: {line.family.kind_data.no_sides}.",) if line.family.kind_data.no_sides else ()
    return values.JobLine(str(line.number), tool_name(line), tuple(_alike(same, rows)),
                          their_number=line.customer_tool_number, section=_section(line, same, rows), note=line.note,
                          cautions=cautions)


def _alike(same: list[Piece], rows: Rows) -> list[values.JobPiece]:
    """Pieces with the same figures share a row, counted; the others have one each."""
    groups: dict[tuple, list[Piece]] = {}
    for piece in same:
        plan = rows.plans.get(piece.pk)
        figures = (plan.diameter_nm, plan.cut_back_nm, plan.usable_nm) if plan else (None, None, None)
        groups.setdefault((TODO[piece.whereabouts], piece.reason, figures), []).append(piece)
    return [values.JobPiece(_span(found), todo, diameter_after=exact(figures[0]), cut_back=exact(figures[1]),
                            usable_after=exact(figures[2]), count=len(found), note=why,
                            tag=found[0].tool.tag if len(found) == 1 and found[0].tool else "")
            for (todo, why, figures), found in groups.items()]


def _span(found: list[Piece]) -> str:
    return found[0].short if len(found) == 1 else f"{found[0].short} … {found[-1].short}"


def _section(line: Line, same: list[Piece], rows: Rows) -> values.Section | None:
    """A small drawing where both diameters are known of one piece of the line."""
    for piece in same:
        seen, plan = rows.inspections.get(piece.pk), rows.plans.get(piece.pk)
        if seen and seen.diameter_nm and plan and plan.diameter_nm and line.family.teeth and "sides" in plan.grinds:
            return values.Section(line.family.teeth, values.Length(seen.diameter_nm), values.Length(plan.diameter_nm),
                                  limit=exact(line.smallest_diameter_nm()))
    return None


def _terms(batch: Batch) -> tuple[str, ...]:
    customer = batch.customer
    told = [customer.get_keep_display()] if customer.keep else []
    told += ["always ask before grinding"] if customer.always_ask else []
    told += ["never scrap without asking"] if customer.never_scrap_unasked else []
    return (*told, f"scrap is {customer.get_scrap_display()}")
