"""Recording what was ground, and pieces sent to a coater: the only writer of grinds and coater slips."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, TypedDict, Unpack

from django.db.models import Max
from django.utils import timezone

from regrind.record.models import Batch, Piece
from regrind.record.moves import move
from regrind.shop.events import Refusal, event
from regrind.shop.models import Event, Person, Wheel, WorkHolding

from ..models import CoaterPiece, CoaterSlip, Grind, Plan
from ..revisions import add_revisions, newest

Planned = Mapping[int, tuple[int | None, int | None]]
NOTHING_TICKED = "Tick the pieces that were ground."


class SetupFields(TypedDict, total=False):
    """What is the same for all pieces of a setup. A direction of the wheel is '' where nobody recorded it."""

    wheel: Wheel | None
    holding: WorkHolding | None
    roughing: str
    finishing: str
    note: str


class PartFields(TypedDict, total=False):
    """What was taken off like pieces: lengths in nm, the end roughed or finished first, the end gashed again.

    planned: by piece id, infeed and end taken where the setup names none and each piece was ground as it was planned.
    """

    infeed_radial_nm: int | None
    end_taken_nm: int | None
    end_first: bool
    gashed: bool | None
    planned: Planned | None


class GrindFields(SetupFields, PartFields, total=False):
    """All that is recorded of one grind besides its pieces and parts."""


def share_minutes(hundredths: int, pieces: int) -> list[int]:
    """Share a setup's minutes (in hundredths) over its pieces so that the shares add up to it exactly."""
    share, rest = divmod(hundredths, pieces)
    return [share + (1 if k < rest else 0) for k in range(pieces)]


def grind(
    *,
    by: Person,
    pieces: Sequence[Piece],
    expected: dict[int, int],
    grinds: Sequence[str],
    minutes_hundredths: int = 0,
    follows: bool = False,
    setup: str = "",
    done_at: datetime | None = None,
    **fields: Unpack[GrindFields],
) -> list[Grind]:
    """Record one setup's grind for pieces that are ready to grind; they go to ground.

    grinds: what was ground, of the kind's own (sides, end, face, point, chamfer). minutes_hundredths: of the whole
    setup, shared out. follows: what else is planned comes in another setup, so the pieces stay ready to grind.
    expected: grind revisions that the page showed. setup: the code of a setup that other lines share, '' for one of
    its own. fields: see `GrindFields`.
    Refusal where the kind's sides are never ground, or nothing is named; Conflict on a clash.
    """
    if not pieces:
        raise Refusal(NOTHING_TICKED)
    _refuse_parts(pieces, grinds)
    code = setup or setup_code(pieces, done_at or timezone.now())
    with event(by, "ground", done_at=done_at) as grinding:
        rows = _make_rows(grinding, pieces, expected, share_minutes(minutes_hundredths, len(pieces)), fields)
        for row in rows:
            row.setup, row.grinds = code, " ".join(grinds)
        add_revisions(rows)
        if not follows:
            move(pieces=pieces, to="ground", by=by)
    return rows


def _make_rows(
    grinding: Event, pieces: Sequence[Piece], expected: dict[int, int], shares: Iterable[int], fields: GrindFields
) -> list[Grind]:
    """A row for each piece, not stored yet: the setup's own fields, and what was taken off this piece."""
    plans, planned = newest(Plan, pieces), fields.get("planned") or {}
    lengths = (fields.get("infeed_radial_nm"), fields.get("end_taken_nm"))
    apart = ("planned", "infeed_radial_nm", "end_taken_nm")
    common: dict[str, Any] = {name: value for name, value in fields.items() if name not in apart}
    return [
        Grind(
            event=grinding,
            piece=piece,
            revision=expected.get(piece.pk, 0) + 1,
            plan=plans.get(piece.pk),
            minutes_hundredths=share,
            **_taken(planned.get(piece.pk), *lengths),
            **common,
        )
        for piece, share in zip(pieces, shares, strict=True)
    ]


def _taken(planned: tuple[int | None, int | None] | None, infeed_nm: int | None, end_nm: int | None) -> dict[str, Any]:
    """What was taken off: as the setup has it, else as this piece was planned."""
    infeed, end = planned or (None, None)
    return {
        "infeed_radial_nm": infeed if infeed_nm is None else infeed_nm,
        "end_taken_nm": end if end_nm is None else end_nm,
    }


def setup_code(pieces: Sequence[Piece], when: datetime) -> str:
    """What the rows of one setup share: its first piece and the time."""
    return f"{pieces[0].pk}-{when:%Y%m%d%H%M%S}"


@dataclass(frozen=True)
class Part:
    """Like pieces of one line in a setup that several lines share: ground as each was planned.

    planned: infeed and end taken by piece id. gashed: None where the plan does not ask for it.
    """

    pieces: tuple[Piece, ...]
    grinds: tuple[str, ...]
    planned: dict[int, tuple[int | None, int | None]]
    gashed: bool | None = None


def grind_setup(
    *,
    by: Person,
    parts: Sequence[Part],
    expected: dict[int, int],
    minutes_hundredths: int = 0,
    done_at: datetime | None = None,
    **fields: Unpack[SetupFields],
) -> str:
    """Record one setup that pieces of several lines went through, each ground as planned; returns its code.

    minutes_hundredths: of the whole setup, shared out over all its pieces so that the shares add up. Refusal and
    Conflict as `grind`, and then nothing of the setup is stored.
    """
    ground = [part for part in parts if part.pieces]
    every = [piece for part in ground for piece in part.pieces]
    if not every:
        raise Refusal(NOTHING_TICKED)
    code = setup_code(every, done_at or timezone.now())
    shares = iter(share_minutes(minutes_hundredths, len(every)))
    with event(by, "ground", done_at=done_at):
        for part in ground:
            grind(
                by=by,
                pieces=part.pieces,
                expected=expected,
                grinds=part.grinds,
                minutes_hundredths=sum(next(shares) for _ in part.pieces),
                setup=code,
                gashed=part.gashed,
                planned=part.planned,
                **fields,
            )
    return code


def _refuse_parts(pieces: Sequence[Piece], grinds: Sequence[str]) -> None:
    """Refuse what is never ground on this kind, and a grind that names nothing."""
    kind = pieces[0].line.family.kind_data
    wrong = [name for name in grinds if name not in kind.grinds]
    if "sides" in wrong and kind.no_sides:
        raise Refusal(f"The sides are left alone: {kind.no_sides}.")
    if wrong or not grinds:
        raise Refusal(f"On this kind is ground: {', '.join(kind.grinds)}.")


def send_to_coater(
    *,
    by: Person,
    batch: Batch,
    pieces: Sequence[Piece],
    number: str,
    coater: str,
    coating: str,
    expected: date | None = None,
    sent_at: datetime | None = None,
    **order: Any,
) -> CoaterSlip:
    """Send ground pieces to a coater on one slip. Refusal where none is ticked.

    order: what its paper says besides: address, note, price_minor. Without an address that of the last slip to this
    coater is taken.
    """
    if not pieces:
        raise Refusal("Tick the pieces that go to the coater.")
    with event(by, "sent to coater", why=f"to {coater}", done_at=sent_at) as sending:
        slip: CoaterSlip = CoaterSlip.objects.create(
            event=sending,
            number=number,
            batch=batch,
            coater=coater,
            coating=coating,
            expected=expected,
            place=_next_place(batch),
            **order | {"address": order.get("address") or address_of(coater)},
        )
        CoaterPiece.objects.bulk_create([CoaterPiece(event=sending, slip=slip, piece=piece) for piece in pieces])
        move(pieces=pieces, to="at_coater", by=by, reason=f"{coating} at {coater}, slip {number}")
    return slip


def _next_place(batch: Batch) -> int:
    """The number of the next order of a box, whose row stays locked: they are numbered one at a time."""
    Batch.objects.select_for_update(no_key=True).get(pk=batch.pk)
    return int(CoaterSlip.every.filter(batch=batch).aggregate(most=Max("place"))["most"] or 0) + 1


def address_of(coater: str) -> str:
    """The address on the last slip to this coater that names one; "" where none does."""
    slips = CoaterSlip.objects.filter(coater__iexact=coater).exclude(address="").order_by("pk")
    return str(slips.values_list("address", flat=True).last() or "")


def count_back(*, by: Person, pieces: Sequence[Piece], done_at: datetime | None = None) -> None:
    """Pieces came back from the coater. Refusal where none is ticked."""
    if not pieces:
        raise Refusal("Tick the pieces that came back.")
    move(pieces=pieces, to="ground", by=by, done_at=done_at, reason="back from the coater", kind="back from coater")
