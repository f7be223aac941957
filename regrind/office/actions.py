"""What the office records: the customer's answers, prices and parcels. All writes of this app are here."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from django.db.models import Max
from django.utils import timezone
from django.utils.dateformat import format as date_format

from regrind.bench.planning.actions import Agreed, store_agreed
from regrind.record.contacts import address_for, address_lines
from regrind.record.models import Address, Answer, AnswerPiece, Batch, Line, Piece
from regrind.record.moves import close_if_done, move
from regrind.record.rollups import touch
from regrind.shop.events import Refusal, event
from regrind.shop.models import Person

from .charge_models import LineExtra
from .fixing import fix_prices, lock_and_refuse
from .models import Parcel, ParcelPiece
from .quote_models import QuoteLink
from .quotes.answers import note_answer

MOST_QUOTED = 140  # with a name of 120 letters it fits the reason of a plan
RESULT_OF = {"returned_unground": "returned_unground", "scrap": "scrap"}


def record_answer(
    *,
    by: Person | None,
    line: Line,
    pieces: Sequence[Piece],
    who: str,
    how: str,
    agreed: str,
    decision: str,
    option: tuple[int, int] | None = None,
    answered_at: datetime | None = None,
    link: QuoteLink | None = None,
) -> Answer:
    """Record the customer's answer for waiting pieces and move them on: ready to grind, or released as decided.

    by: None where the customer answered on the quote's page, by this link. how: phone, mail, here or link. decision:
    grind, returned_unground or scrap. option: which way to grind the customer chose, as the plan's primary key and the
    option's index; without it each plan stands as it was asked. Refusal where no piece is chosen, one does not wait or
    its plan has no such way; Conflict where it went on meanwhile.
    """
    if not pieces:
        raise Refusal("Tick at least one piece that the answer is for.")
    with event(by, "answered", why=f"{who}: {agreed}", done_at=answered_at) as answering:
        answer = Answer.objects.create(event=answering, line=line, who=who, how=how, agreed=agreed, decision=decision)
        AnswerPiece.objects.bulk_create([AnswerPiece(event=answering, answer=answer, piece=piece) for piece in pieces])
        note_answer(answering, answer, pieces, way=f"grind:{option[0]}:{option[1]}" if option else "", link=link)
        if decision == "grind":
            store_agreed(answering, pieces, Agreed(_say_agreed(answer), *(option or ())))
            move(pieces=pieces, to="ready_to_grind", by=by, reason=agreed)
        else:
            move(pieces=pieces, to="released", by=by, result=RESULT_OF[decision], reason=agreed)
    return answer


def _say_agreed(answer: Answer) -> str:
    """`The customer agreed: go ahead (Ms Lund, 28 Nov)`: as the bench reads it, cut to what a plan's reason holds."""
    day = date_format(timezone.localtime(answer.done_at), "j M")
    return f"The customer agreed: {answer.agreed[:MOST_QUOTED]} ({answer.who}, {day})"


def set_prices(
    *,
    by: Person,
    prices: Mapping[Line, int | None],
    listed: Mapping[Line, str] | None = None,
    reasons: Mapping[Line, str] | None = None,
    extras: Mapping[tuple[Line, str], int] | None = None,
    on: date | None = None,
) -> None:
    """Write each line's price per piece in minor units (0 or more, None for none yet), valid from `on`.

    listed: of the lines whose price is the price list's, its reason; the others are set by hand by this person.
    reasons: why, for those. extras: the price of an item beside the regrind, by line and item, where it is set by hand.
    Refusal where a price was fixed: the last parcel left, a quote was sent or a bill made.
    """
    listed, reasons, extras = listed or {}, reasons or {}, extras or {}
    changed = {line: minor for line, minor in prices.items() if minor != line.unit_price_minor}
    restated = [line for line in prices if line not in changed and reasons.get(line, line.price_why) != line.price_why]
    if not changed and not extras and not restated:
        return
    with event(by, "priced") as pricing:
        touched = list({line.pk: line for line in (*changed, *restated, *(line for line, _ in extras))}.values())
        lock_and_refuse(touched)
        for line in (*changed, *restated):
            _write_price(line, prices[line], by, listed.get(line), reasons.get(line, ""), on or timezone.localdate())
        LineExtra.objects.bulk_create(
            [
                LineExtra(event=pricing, line=line, item=item, minor=minor, why=reasons.get(line, "")[:200])
                for (line, item), minor in extras.items()
            ]
        )
        touch(lines=[line.pk for line in changed])


def _write_price(line: Line, minor: int | None, by: Person, listed: str | None, why: str, day: date) -> None:
    """The price with where it comes from; a line without one has neither."""
    nobody = minor is None or listed is not None
    Line.objects.filter(pk=line.pk).update(
        unit_price_minor=minor,
        price_since=None if minor is None else day,
        price_why="" if minor is None else (why if listed is None else listed)[:200],
        price_by=None if nobody else by,
    )


def last_paid(line: Line) -> tuple[int, date | None] | None:
    """The last price of this customer for this family, (minor units, valid from), or None where there is none."""
    before = (
        Line.objects.filter(
            batch__customer=line.batch.customer_id, family=line.family_id, unit_price_minor__isnull=False
        )
        .exclude(pk=line.pk)
        .order_by("-batch__number", "-number")
        .first()
    )
    if before is None or before.unit_price_minor is None:
        return None
    return before.unit_price_minor, before.price_since


def send_parcel(
    *,
    by: Person,
    batch: Batch,
    pieces: Sequence[Piece],
    recycled: Sequence[Piece] = (),
    note: str = "",
    carrier: str = "",
    tracking: str = "",
    weight_g: int | None = None,
    address: Address | None = None,
    sent_at: datetime | None = None,
) -> Parcel:
    """Send released pieces in one parcel, and recycle scrap that the customer does not want back.

    address: where it goes, the customer's own for deliveries if None; the parcel keeps its lines as they are now.
    pieces: what goes into the parcel. recycled: released scrap that stays here for recycling. Refusal where nothing
    is chosen, a piece is not of this batch, or recycled ones are no scrap. Closes the batch when nothing is left, and
    fixes its prices.
    """
    _refuse_parcel(batch, pieces, recycled)
    with event(by, "sent", why=note, done_at=sent_at) as sending:
        parcel = Parcel.objects.create(
            event=sending,
            batch=batch,
            number=_next_parcel(batch),
            note=note,
            carrier=carrier,
            tracking=tracking,
            weight_g=weight_g,
            address="\n".join(address_lines(address or address_for(batch.customer, "delivery"))),
        )
        _fill(parcel, (*pieces, *recycled))
        move(pieces=pieces, to="left", by=by)
        move(pieces=recycled, to="recycled", by=by)
        close_if_done(batch)
        if Batch.objects.filter(pk=batch.pk, closed=True).exists():
            fix_prices(by=by, batches=[batch], because="parcel")
    return parcel


def _fill(parcel: Parcel, pieces: Sequence[Piece]) -> None:
    ParcelPiece.objects.bulk_create([ParcelPiece(event=parcel.event, parcel=parcel, piece=piece) for piece in pieces])


def _refuse_parcel(batch: Batch, pieces: Sequence[Piece], recycled: Sequence[Piece]) -> None:
    if not pieces and not recycled:
        raise Refusal("Tick at least one piece to send.")
    if any(piece.batch_id != batch.pk for piece in (*pieces, *recycled)):
        raise Refusal("A parcel holds pieces of one batch only.")
    if any(piece.result != "scrap" for piece in recycled):
        raise Refusal("Only scrap can be recycled here.")


def _next_parcel(batch: Batch) -> int:
    """The next number in the batch, whose row stays locked: parcels are numbered one at a time."""
    Batch.objects.select_for_update(no_key=True).get(pk=batch.pk)
    return int(Parcel.every.filter(batch=batch).aggregate(m=Max("number"))["m"] or 0) + 1
