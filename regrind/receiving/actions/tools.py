"""Pieces known again: life tags, tools that were here before, marks on the shank, complaints."""

from collections.abc import Sequence
from typing import Any

from regrind.record.models import Customer, Family, Piece, Tool
from regrind.record.moves import about
from regrind.record.rollups import touch
from regrind.record.tags import new_tag
from regrind.shop.events import Conflict, Refusal, event
from regrind.shop.models import Event, Person

TRIES = 20
MOST_REGRINDS = 50


def give_tags(*, by: Person, pieces: Sequence[Piece], customer_number: str = "") -> list[Tool]:
    """A new life tag for each piece, so that it is followed over many visits; returns the tools in that order.

    customer_number: their own number, where there is one piece only. Refusal where a piece has a tag already.
    """
    if customer_number and len(pieces) != 1:
        raise Refusal("A customer's number belongs to one tool: tick one piece.")
    with event(by, "life tag given") as happened:
        return [_tag(happened, piece, customer_number) for piece in pieces]


def _tag(happened: Event, piece: Piece, customer_number: str) -> Tool:
    if piece.tool_id:
        raise Refusal(f"{piece} has a life tag already.")
    tool = _new_tool(piece.batch.customer, piece.line.family, customer_number, piece.before_elsewhere or 0)
    _link(happened, piece, tool, before_here=piece.before_here or 0, before_elsewhere=piece.before_elsewhere or 0)
    return tool


def _new_tool(customer: Customer, family: Family, customer_number: str, elsewhere: int) -> Tool:
    for _ in range(TRIES):
        tag = new_tag()
        if not Tool.objects.filter(tag=tag).exists():
            return Tool.objects.create(
                tag=tag, customer=customer, family=family, customer_number=customer_number, regrinds_elsewhere=elsewhere
            )
    raise Refusal("No free life tag was found: try again.")


def _link(happened: Event, piece: Piece, tool: Tool | None, **also: Any) -> None:
    if not Piece.objects.filter(pk=piece.pk, tool=piece.tool_id).update(tool=tool, **also):
        raise Conflict(f"{piece} was known as another tool meanwhile.")
    piece.tool = tool
    about(happened, [piece.pk])


def follow(
    *,
    by: Person,
    piece: Piece,
    tool: Tool | None = None,
    customer_number: str = "",
    here: int | None = None,
    elsewhere: int | None = None,
) -> Tool:
    """Know a piece as a followed tool: one that was here before, or, without `tool`, by a new life tag.

    here, elsewhere: regrinds that the marks on the shank tell of; left out, they follow from the earlier visits.
    Refusal where the tool is another customer's, of another family, or in this batch already.
    """
    with event(by, "tool recognised") as happened:
        if tool is None:
            tool = _new_tool(piece.batch.customer, piece.line.family, customer_number, elsewhere or 0)
        else:
            _check_known(piece, tool)
        before = _before(piece, tool)
        _link(
            happened,
            piece,
            tool,
            before_here=before[0] if here is None else here,
            before_elsewhere=before[1] if elsewhere is None else elsewhere,
        )
        fresh = {"customer_number": customer_number} if customer_number and not tool.customer_number else {}
        most = max(tool.regrinds_elsewhere, elsewhere or 0)
        Tool.objects.filter(pk=tool.pk).update(regrinds_elsewhere=most, **fresh)
    return tool


def _check_known(piece: Piece, tool: Tool) -> None:
    batch, line = piece.batch, piece.line
    if tool.customer_id != batch.customer_id:
        raise Refusal("That tool is another customer's.")
    if Piece.objects.filter(tool=tool, batch=batch).exclude(pk=piece.pk).exists():
        raise Refusal(f"{tool} is in this box already, as another piece.")
    if tool.family_id != line.family_id:
        unit = batch.customer.unit
        raise Refusal(
            f"{tool} is a {tool.family.name(unit)}; this line says {line.family.name(unit)}. "
            "Change the kind of the line, or split the piece off first."
        )


def _before(piece: Piece, tool: Tool) -> tuple[int, int]:
    """Regrinds here and elsewhere before this visit, by the visit before it."""
    last = tool.visits.exclude(pk=piece.pk).select_related("batch").order_by("-batch__number").first()
    if last is None:
        return 0, tool.regrinds_elsewhere
    here = (last.before_here or 0) + (1 if last.result == "ground" else 0)
    return here, max(tool.regrinds_elsewhere, last.before_elsewhere or 0)


def forget_tool(*, by: Person, piece: Piece) -> None:
    """Take back that a piece is a followed tool: it is unknown again. The tag stays with its other visits."""
    if not piece.tool_id:
        raise Refusal(f"{piece} has no life tag.")
    with event(by, "tool forgotten") as happened:
        _link(happened, piece, None, before_here=None, before_elsewhere=None)


def count_marks(*, by: Person, pieces: Sequence[Piece], here: int, elsewhere: int) -> None:
    """Write down what the marks on the shanks tell: regrinds here and elsewhere before (0 to 50 each)."""
    if not pieces:
        raise Refusal("Tick the pieces that bear these marks.")
    if not (0 <= here <= MOST_REGRINDS and 0 <= elsewhere <= MOST_REGRINDS):
        raise Refusal(f"Regrinds before go from 0 to {MOST_REGRINDS}.")
    with event(by, "marks counted") as happened:
        Piece.objects.filter(pk__in=[p.pk for p in pieces]).update(before_here=here, before_elsewhere=elsewhere)
        about(happened, [piece.pk for piece in pieces])
        for piece in pieces:
            if piece.tool_id:
                Tool.objects.filter(pk=piece.tool_id, regrinds_elsewhere__lt=elsewhere).update(
                    regrinds_elsewhere=elsewhere
                )


def complain(*, by: Person, piece: Piece, earlier: Piece, reason: str) -> None:
    """Link a piece to the visit that it is a complaint about: no charge; the line's price stays for the others.

    The piece is then the same cutter: it takes over the earlier visit's life tag. Refusal where `earlier` is not an
    earlier visit of this customer's that was returned, or has a complaint already.
    """
    if not reason:
        raise Refusal("Write what is wrong with it.")
    if earlier.batch.customer_id != piece.batch.customer_id or earlier.batch_id == piece.batch_id:
        raise Refusal("A complaint is about an earlier visit of this customer's tool.")
    if earlier.status != "left":
        raise Refusal(f"{earlier} was not returned: it is {earlier.get_status_display()}.")
    if earlier.complaints.exclude(pk=piece.pk).exists():
        raise Refusal(f"{earlier} has come back as a complaint already.")
    with event(by, "complaint", why=reason) as happened:
        Piece.objects.filter(pk=piece.pk).update(complaint_of=earlier, complaint=reason)
        about(happened, [piece.pk])
        touch(pieces=[earlier.pk, piece.complaint_of_id or earlier.pk])
        if earlier.tool and not piece.tool_id and piece.line.family_id == earlier.tool.family_id:
            follow(by=by, piece=piece, tool=earlier.tool)


def withdraw_complaint(*, by: Person, piece: Piece) -> None:
    """Take back that a piece is a complaint: it is charged as the others."""
    if not piece.complaint_of_id:
        raise Refusal(f"{piece} is no complaint.")
    with event(by, "complaint withdrawn") as happened:
        Piece.objects.filter(pk=piece.pk).update(complaint_of=None, complaint="")
        about(happened, [piece.pk])
        touch(pieces=[piece.complaint_of_id])
