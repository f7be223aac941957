"""The packing slip of one parcel: counts in, out and why, what follows, prices where the customer wants them."""
from datetime import date

from regrind.paper import values
from regrind.record.models import Line, Piece
from regrind.shop.letterhead import letterhead

from ..charges import bill
from ..models import Parcel, ParcelPiece
from .common import heading, pieces_of, tool_name


def packing_slip(parcel: Parcel, revision: int, dated: date) -> values.PackingSlip:
    """The slip of a parcel, from its pieces and the batch's."""
    batch = parcel.batch
    inside = set(parcel.pieces.values_list("piece", flat=True))
    before = set(ParcelPiece.objects.filter(parcel__batch=batch, parcel__number__lt=parcel.number,
                                            parcel__undo__isnull=True).values_list("piece", flat=True))
    by_line: dict[int, list[Piece]] = {}
    for piece in pieces_of(batch):
        by_line.setdefault(piece.line_id, []).append(piece)
    money = bill(batch, list(inside)) if batch.customer.prices_on_slip else None
    currency = letterhead().currency
    prices = {row.line.pk: row for row in money.lines} if money else {}
    lines = []
    for same in by_line.values():
        line = same[0].line
        charged = prices.get(line.pk)
        unit = values.Money(line.unit_price_minor, currency) if charged and line.unit_price_minor is not None else None
        amount = values.Money(charged.minor, currency) if charged else None
        lines.append(_line(line, same, inside, before, unit, amount))
    follows = tuple(f"{p}: {p.get_whereabouts_display()}" for same in by_line.values() for p in same
                    if p.pk not in inside and p.whereabouts not in ("left", "recycled", "missing"))
    return values.PackingSlip(
        heading(batch, str(parcel), revision, dated), tuple(lines), parcel=str(parcel.number), follows=follows[:60],
        total=values.Money(money.total_minor, currency) if money else None, note=parcel.note,
        packed_by=values.Signed(parcel.by.name, parcel.at.date()))


def _line(line: Line, same: list[Piece], inside: set[int], before: set[int], unit: values.Money | None,
          amount: values.Money | None) -> values.SlipLine:
    """Counts of one line; they add up to what came, which the paper checks."""
    counts = dict.fromkeys(
        ("ground", "as_it_came", "scrap", "recycled", "away", "on_hand", "missing", "sent_before"), 0)
    for piece in same:
        counts[_place(piece, inside, before)] += 1
    why = sorted({p.reason for p in same if p.reason and (p.pk in inside or p.whereabouts == "missing")})
    return values.SlipLine(str(line.number), tool_name(line), len(same), **counts, why="; ".join(why),
                           their_number=line.customer_tool_number, unit_price=unit, amount=amount)


def _place(piece: Piece, inside: set[int], before: set[int]) -> str:
    if piece.whereabouts == "recycled":
        return "recycled"
    if piece.pk in inside:
        return piece.result or "as_it_came"
    if piece.pk in before:
        return "sent_before"
    return piece.whereabouts if piece.whereabouts in ("away", "missing") else "on_hand"
