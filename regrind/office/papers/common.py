"""What every paper draws on: heading, lengths as measured, and the newest rows of a batch's pieces."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, Literal, cast

from django.utils import timezone

from regrind.bench.models import CoaterPiece, FinalCheck, Grind, Inspection, MeasuredRow, Plan, Reading
from regrind.bench.readings import fetch_readings
from regrind.bench.revisions import first_inspections, newest, summarize_grinds
from regrind.paper import text, values
from regrind.record.contacts import AddressUse, MailUse, address_for, address_lines, contact_for
from regrind.record.dimension_words import name_tools
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Batch, Customer, Line, Piece
from regrind.shop.owner.letterhead import letterhead
from regrind.shop.owner.settings import shop_settings

MICROMETRE_NM = 1_000  # the places that a length prints at where its reading named no gauge


@dataclass(frozen=True)
class Rows:
    """The newest inspection, plan, grind and check of each piece, by piece id, with their readings.

    first_inspections: how it was received, before it was ground. recoated: what a coater put on, by piece id.
    ground: all that was ground on it. names: each piece's short number.
    """

    inspections: dict[int, Inspection]
    first_inspections: dict[int, Inspection]
    plans: dict[int, Plan]
    grinds: dict[int, Grind]
    checks: dict[int, FinalCheck]
    readings: list[tuple[MeasuredRow, Reading]]
    recoated: dict[int, str]
    ground: dict[int, tuple[str, ...]]
    answers: dict[int, dict[str, Any]]
    names: dict[int, str]

    def full_check(self, piece: Piece) -> FinalCheck | None:
        """The check that stands for a piece: its own, or that of the first piece where it is "as first piece"."""
        check = self.checks.get(piece.pk)
        return cast(FinalCheck, check.copied_from or check) if check else None

    def inspection_of(self, piece: Piece) -> Inspection | None:
        """The inspection that stands for a piece, as `full_check`."""
        inspection = self.inspections.get(piece.pk)
        return cast(Inspection, inspection.copied_from or inspection) if inspection else None

    def worked_out(self, piece: Piece) -> tuple[dict[str, Any], dict[str, Any]]:
        """(answer, chosen option) that the piece's plan rests on; empty where nothing was worked out."""
        plan = self.plans.get(piece.pk)
        answer = self.answers.get(plan.copied_from_id or plan.pk, {}) if plan else {}
        return answer, answer["options"][plan.chosen] if answer and plan and plan.chosen is not None else {}

    def case(self, piece: Piece) -> dict[str, Any]:
        """The case that the piece's plan was worked out from; empty where there was none."""
        plan = self.plans.get(piece.pk)
        case = cast(Plan, plan.copied_from or plan).case if plan else ""
        return json.loads(case) if case else {}


def gather(pieces: Sequence[Piece]) -> Rows:
    """The rows of these pieces in a fixed number of queries."""
    inspections, plans, checks = newest(Inspection, pieces), newest(Plan, pieces), newest(FinalCheck, pieces)
    received = first_inspections(pieces)
    measured: list[MeasuredRow] = [*checks.values(), *received.values(), *inspections.values()]
    fetch_readings(measured)
    recoated = dict(
        CoaterPiece.objects.filter(piece__in=pieces, piece__status__in=("ground", "released", "left"))
        .order_by("event__done_at")
        .values_list("piece", "slip__coating")
    )
    roots = {plan.copied_from_id or plan.pk: cast(Plan, plan.copied_from or plan) for plan in plans.values()}
    answers = {key: json.loads(root.answer) for key, root in roots.items() if root.answer}
    ground = summarize_grinds(pieces)
    return Rows(
        inspections,
        received,
        plans,
        ground.newest,
        checks,
        _readings(measured),
        recoated,
        ground.parts,
        answers,
        {piece.pk: piece.short for piece in pieces},
    )


def _readings(rows: Iterable[MeasuredRow]) -> list[tuple[MeasuredRow, Reading]]:
    """Each reading once, with the row that it was taken for; a diameter as it is marked on the tool is none."""
    each = {(one.reading_key, one.pk): one for row in rows for one in row.with_original()}
    return [
        (row, reading)
        for row in each.values()
        for name, reading in row.readings.items()
        if not (name == "diameter" and isinstance(row, Inspection) and row.diameter_source == "marked")
    ]


def resolution_of(row: MeasuredRow | None, quantity: str) -> int:
    """The resolution in nm of the gauge that this was read with; a micrometre where none was named."""
    reading = row.readings.get(quantity) if row else None
    return reading.resolution_nm or MICROMETRE_NM if reading else MICROMETRE_NM


def pieces_of(batch: Batch) -> list[Piece]:
    """Every piece of a batch, in the order of its lines."""
    with_all = batch.pieces.select_related(
        "batch", "line__family", "line__batch__customer", "tool", "complaint_of__batch"
    )
    return list(with_all.order_by("line__number", "original_line", "number"))


def by_line(pieces: Iterable[Piece]) -> dict[int, list[Piece]]:
    """Pieces by their line's id, in the order they come."""
    lines: dict[int, list[Piece]] = {}
    for piece in pieces:
        lines.setdefault(piece.line_id, []).append(piece)
    return lines


def style(batch: Batch) -> values.Style:
    """How numbers are written for the batch's customer; the paper's own size stands in its heading alone."""
    return _numbers_for(batch.customer)


def style_for(customer: Customer, *, at_bench: bool = False) -> values.Style:
    """The same on the paper that the shop's printer holds; at_bench: that of the printer at the bench."""
    shop = shop_settings()
    page = shop.bench_paper if at_bench and shop.bench_paper else shop.paper
    return replace(_numbers_for(customer), page=cast(values.Page, page))


def _numbers_for(customer: Customer) -> values.Style:
    return values.Style(unit=customer.unit, decimal_mark=cast(Literal[".", ","], customer.decimal_mark))


def heading(
    batch: Batch,
    number: str,
    revision: int,
    dated: date,
    *,
    at_bench: bool = False,
    use: AddressUse = "delivery",
    mails: MailUse = "ready",
) -> values.Heading:
    """Whose paper it is, its number and whom it is for. at_bench: it comes from the bench's own printer. use, mails:
    which of the customer's addresses and contacts it names."""
    customer = batch.customer
    return values.Heading(
        number=number,
        revision=revision,
        dated=dated,
        batch=str(batch.number),
        style=style_for(customer, at_bench=at_bench),
        shop=letterhead(shop_settings()),
        customer=values.Customer(
            customer.name, tuple(address_lines(address_for(customer, use))), str(contact_for(customer, mails) or "")
        ),
        order_number=batch.order_number,
        arrived=day_of(batch.received_at),
        due=batch.due,
        rush=batch.rush,
    )


def day_of(moment: datetime) -> date:
    """The day in the shop's own time."""
    return timezone.localdate(moment)


def length(nm: int | None, resolution_nm: int = MICROMETRE_NM, *, assumed: bool = False) -> values.Length | None:
    """A measured length at its gauge's resolution; half of one (a radius) at half the resolution."""
    return None if nm is None else values.Length.at_resolution(nm, resolution_nm or MICROMETRE_NM, assumed=assumed)


def exact(nm: int | None) -> values.Length | None:
    """A planned or nominal length, at the usual places."""
    return None if nm is None else values.Length(nm)


def words_of(nm: int | None, how: values.Style) -> str:
    """A length within a sentence: `.2400 in (6.096 mm)`."""
    return "" if nm is None else text.dual(values.Length(nm), how)


def tool_name(line: Line) -> str:
    """The line's tools as they were received: what was stated or confirmed, nothing that is only assumed."""
    return text.composed(tool_of(line, with_assumed=False).name(line.batch.customer.unit), style(line.batch))


def tool_name_inside(line: Line) -> str:
    """The same for the shop's own papers: what is only assumed stands there too, named as such; what a reamer reams."""
    name = name_tools(line, line.batch.customer.unit)
    hole = line.hole_words()
    return text.composed(f"{name}, hole {hole}" if hole else name, style(line.batch))


def tool_name_of(line: Line, pieces: Sequence[Piece]) -> str:
    """The same without the coating they had when new where one of these pieces was reground before."""
    before = any(piece.before_here or piece.before_elsewhere for piece in pieces)
    return tool_name_now(line) if before else tool_name(line)


def tool_name_now(line: Line) -> str:
    """The line's tools without the coating they were received with: the coating now stands beside it."""
    bare = tool_of(line, with_assumed=False)
    bare.coating = ""
    return text.composed(bare.name(line.batch.customer.unit), style(line.batch))


def part_number(line: Line, pieces: Sequence[Piece]) -> str:
    """The customer's part number: of the one followed tool, else of the line."""
    if len(pieces) == 1 and pieces[0].tool and pieces[0].tool.customer_number:
        return pieces[0].tool.customer_number
    return line.customer_tool_number


def times_reground(piece: Piece) -> int | None:
    """How often it was reground with this time, where that is known."""
    if piece.before_here is None:
        return None
    return piece.before_here + (piece.before_elsewhere or 0) + (1 if piece.result == "ground" else 0)


# How the distance of a drop was taken, as short as a label needs it.
DROP_WAYS = {"tangent": "along tangent", "land": "along land", "arc": "turned", "traversed": "traversed"}


def clearance(rows: Rows, check: FinalCheck | None) -> values.Clearance | None:
    """The relief of a check with the drop it was read from; None where nothing of it was read."""
    if check is None or (check.relief_cdeg is None and check.drop_nm is None):
        return None
    relief = None if check.relief_cdeg is None else values.Angle(check.relief_cdeg)
    return values.Clearance(
        relief,
        length(check.drop_nm, resolution_of(check, "drop")),
        exact(check.drop_over_nm),
        DROP_WAYS.get(check.drop_way, ""),
    )


def corner_now(check: FinalCheck | None, how: values.Style, form: str = "") -> str:
    """The corner as it was left: "radius re-formed, .0200 in (0.508 mm)"; of a ball "ball R .2500 in (6.350 mm)"."""
    if check is None or not check.corner:
        return ""
    if form == "ball" and check.corner == "re-formed" and check.corner_nm:
        return f"ball R {words_of(check.corner_nm, how)}"
    return ", ".join(part for part in (check.get_corner_display(), words_of(check.corner_nm, how)) if part)


def coating_now(rows: Rows, piece: Piece) -> str:
    """The coating as it is now: what the check says, else what follows from the grind and the coater."""
    check = rows.full_check(piece)
    if check and check.coating:
        return check.coating.removeprefix("coating ")  # papers print the word before it
    if piece.pk in rows.recoated:
        return f"recoated {rows.recoated[piece.pk]}"
    had = tool_of(piece.line, with_assumed=False).coating
    return "ground off on the flank" if had and "sides" in rows.ground.get(piece.pk, ()) else ""
