"""The packing slip of one parcel: counts in, out and why, what follows, prices where the customer wants them.

It shows the state when the parcel was packed: a later parcel does not change it.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from regrind.bench.models import CoaterPiece
from regrind.paper import text, values
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Piece, Step
from regrind.record.piece_names import spans
from regrind.shop.events import Refusal
from regrind.shop.owner.settings import shop_settings

from ..charges import Bill, ChargeBook, Charged, Extra
from ..models import Parcel, ParcelPiece
from .common import by_line, day_of, heading, pieces_of, style, tool_name, tool_name_now

WORDS = {
    "inspected": "inspected",
    "waiting": "waiting for your answer",
    "ready_to_grind": "to be ground",
    "ground": "ground, to be checked",
    "released": "ready to return",
    "at_coater": "ground, being coated",
    "arrived": "to be inspected",
}
GONE = ("left", "recycled", "missing")
IN_PARCEL = {"ground": "ground", "scrap": "scrap"}
ELSEWHERE = {"at_coater": "at_coater", "missing": "missing"}


@dataclass(frozen=True)
class Places:
    """Where each piece of the batch was when the parcel was packed, by piece id; `why` as recorded until then."""

    inside: set[int]
    before: set[int]
    where: dict[int, str]
    why: dict[int, str]

    def column(self, piece: Piece) -> str:
        """The slip's column that a piece is counted in."""
        if piece.pk in self.inside or piece.pk in self.before:
            if piece.status == "recycled":
                return "recycled"
            return IN_PARCEL.get(piece.result, "returned_unground") if piece.pk in self.inside else "sent_before"
        return ELSEWHERE.get(self.where[piece.pk], "on_hand")


def packing_slip(parcel: Parcel, revision: int, dated: date) -> values.PackingSlip:
    """The slip of a parcel. Refusal where the parcel was undone."""
    if hasattr(parcel.event, "undone_by"):
        raise Refusal(f"Parcel {parcel} was undone: it has no slip.")
    batch = parcel.batch
    pieces = pieces_of(batch)
    lines, places = by_line(pieces), _places(parcel, pieces)
    follows = _follows(lines, places, dated)
    wanted = batch.customer.prices_on_slip
    money = ChargeBook([batch]).bill(batch, places.inside, closing=not follows) if wanted else None
    rows = _by_line(money)
    currency, head = shop_settings().currency, heading(batch, str(parcel), revision, dated)
    return values.PackingSlip(
        replace(head, customer=replace(head.customer, lines=tuple(parcel.address.splitlines()))),
        tuple(_line(same, places, rows.get(same[0].line_id, []), currency) for same in lines.values()),
        parcel=f"Parcel {parcel.number}",
        follows=follows,
        note="\n".join(filter(None, (parcel.carried, _note(parcel)))),
        charges=_charges(money, currency, style(batch)) if money else (),
        total=values.Money(money.total_minor, currency) if money else None,
        packed_by=values.Signed(parcel.who, day_of(parcel.done_at)),
    )


def _places(parcel: Parcel, pieces: list[Piece]) -> Places:
    """From membership of parcels, and from the last step that was recorded before this one was packed."""
    earlier = ParcelPiece.objects.filter(parcel__batch=parcel.batch, parcel__number__lt=parcel.number)
    where, why = {piece.pk: "arrived" for piece in pieces}, {}
    steps = Step.objects.filter(piece__batch=parcel.batch, event__lte=parcel.event).order_by("number")
    for piece_id, pair, reason in steps.values_list("piece", "pair", "reason"):
        where[piece_id], why[piece_id] = pair.split(">")[1], reason
    return Places(
        set(parcel.pieces.values_list("piece", flat=True)), set(earlier.values_list("piece", flat=True)), where, why
    )


def _by_line(money: Bill | None) -> dict[int, list[Charged]]:
    """The charges of each line: one, or one for each price that its pieces were quoted at."""
    rows: dict[int, list[Charged]] = {}
    for row in money.lines if money else ():
        rows.setdefault(row.line.pk, []).append(row)
    return rows


def _line(same: list[Piece], places: Places, charged: Sequence[Charged], currency: str) -> values.SlipLine:
    """Counts of one line; they add up to the pieces received, which the paper checks."""
    line, counts = same[0].line, Counter(places.column(piece) for piece in same)
    how = style(line.batch)
    remarks = [*_why(same, places), *_still_coated(same, places)]
    why = "; ".join([*remarks, *(note for row in charged for note in _free(row)), *_each_price(charged, how)])
    priced = any(row.each_minor is not None for row in charged)
    prices = {row.each_minor for row in charged if row.each_minor is not None}
    return values.SlipLine(
        str(line.number),
        tool_name(line) if _all_unground(counts) else tool_name_now(line),
        len(same),
        ground=counts["ground"],
        returned_unground=counts["returned_unground"],
        scrap=counts["scrap"],
        recycled=counts["recycled"],
        at_coater=counts["at_coater"],
        on_hand=counts["on_hand"],
        missing=counts["missing"],
        sent_before=counts["sent_before"],
        part_number=line.customer_tool_number,
        why=why,
        unit_price=values.Money(prices.pop(), currency) if len(prices) == 1 else None,
        amount=values.Money(sum(row.regrind_minor for row in charged), currency) if priced else None,
    )


def _all_unground(counts: Counter[str]) -> bool:
    """Whether all that goes or went back is as it was received, with the coating that it had."""
    back = counts["returned_unground"] + counts["scrap"]
    return back > 0 and not counts["ground"] + counts["sent_before"]


def _still_coated(same: list[Piece], places: Places) -> list[str]:
    """Which unground pieces have the coating that the line's name leaves out: `AlTiN still on 1-4`."""
    columns = {piece.pk: places.column(piece) for piece in same}
    coating = tool_of(same[0].line, with_assumed=False).coating
    if not coating or _all_unground(Counter(columns.values())):
        return []
    unground = [piece for piece in same if columns[piece.pk] == "returned_unground"]
    new = [piece for piece in unground if not (piece.before_here or piece.before_elsewhere)]
    return [f"{coating} still on {spans(new)}"] if new else []


def _why(same: list[Piece], places: Places) -> list[str]:
    """Why pieces go back unground, were recycled here or are missing."""
    reasons: dict[str, list[Piece]] = {}
    for piece in same:
        reason = piece.reason if piece.pk in places.inside else places.why.get(piece.pk, "")
        explained = places.column(piece) in ("returned_unground", "scrap", "recycled", "missing")
        if reason and explained and piece.pk not in places.before:
            reasons.setdefault(reason, []).append(piece)
    return [f"{spans(alike)}: {reason}" for reason, alike in reasons.items()]


def _free(charged: Charged) -> list[str]:
    """What money does not show: ground again at no charge, or no price agreed yet."""
    notes = [f"{charged.free} on complaint, no charge"] if charged.free else []
    return notes + (["price not agreed yet"] if charged.pieces and charged.each_minor is None else [])


def _each_price(charged: Sequence[Charged], how: values.Style) -> list[str]:
    """`2 at 12.00, 1 at 17.50, as quoted`, where the pieces of a line differ in price."""
    rows = [row for row in charged if row.each_minor is not None and row.pieces]
    if len(rows) < 2:
        return []
    priced = [f"{row.pieces} at {text.money(values.Money(row.each_minor or 0), how)}" for row in rows]
    return [f"{', '.join(priced)}, as quoted"]


def _charges(money: Bill, currency: str, how: values.Style) -> tuple[values.Charge, ...]:
    beside = [
        (f"Line {row.line.number}: {extra.words}, {extra.pieces} × {_each(extra, currency, how)}", extra.minor)
        for row in money.lines
        for extra in row.extras
    ]
    asked = [*beside, ("Rush", money.rush_minor), ("Added to reach the batch minimum", money.minimum_minor)]
    return tuple(values.Charge(label, values.Money(minor, currency)) for label, minor in asked if minor)


def _each(extra: Extra, currency: str, how: values.Style) -> str:
    return text.money(values.Money(extra.each_minor, currency), how)


def _follows(lines: dict[int, list[Piece]], places: Places, dated: date) -> tuple[str, ...]:
    """What comes later, by line and status, with the coater's promised day; late where the slip is dated after it."""
    stay = [piece for same in lines.values() for piece in same if _stays(piece, places)]
    at_coater = [piece.pk for piece in stay if places.where[piece.pk] == "at_coater"]
    due = dict(
        CoaterPiece.objects.filter(piece__in=at_coater)
        .order_by("event__done_at")
        .values_list("piece", "slip__expected")
    )
    groups: dict[tuple[int, str], list[Piece]] = {}
    for piece in stay:
        day = due.get(piece.pk)
        words = WORDS[places.where[piece.pk]] + (_say_due(day, dated) if day else "")
        groups.setdefault((piece.line.number, words), []).append(piece)
    return tuple(f"Line {number}: {len(group)} {words} ({spans(group)})" for (number, words), group in groups.items())


def _say_due(day: date, dated: date) -> str:
    return "" if day < dated else f", expected back {text.day(day)}"  # a day that is past tells the customer nothing


def _stays(piece: Piece, places: Places) -> bool:
    return piece.pk not in places.inside | places.before and places.where[piece.pk] not in GONE


def _note(parcel: Parcel) -> str:
    """The parcel's note, how their count differed, and what else was in the box."""
    batch, sentences = parcel.batch, [parcel.note] if parcel.note else []
    if batch.their_count is not None and batch.difference:
        sentences.append(
            f"Your list says {batch.their_count}; we counted {batch.pieces.exclude(status='missing').count()}."
        )
    foreign_items = [item.description for item in batch.foreign_items.all()]
    return "\n".join(
        [*sentences, *([f"Also in the box, not yours: {', '.join(foreign_items)}."] if foreign_items else [])]
    )
