"""Recording what was ground, and pieces sent to a coater: the only writer of grinds and coater slips."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils import timezone

from regrind.record.models import Batch, Piece
from regrind.record.moves import move
from regrind.shop.events import Refusal, event
from regrind.shop.models import Person, Wheel, WorkHolding

from ..models import CoaterPiece, CoaterSlip, Grind, Plan
from ..revisions import add_revisions, newest


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
    wheel: Wheel | None = None,
    holding: WorkHolding | None = None,
    roughing: str = "onto_rest",
    finishing: str = "into_edge",
    infeed_radial_nm: int | None = None,
    end_taken_nm: int | None = None,
    minutes_hundredths: int = 0,
    end_first: bool = False,
    gashed: bool | None = None,
    note: str = "",
    planned: dict[int, tuple[int | None, int | None]] | None = None,
    follows: bool = False,
    setup: str = "",
    done_at: datetime | None = None,
) -> list[Grind]:
    """Record one setup's grind for pieces that are to grind; they go to ground.

    grinds: what was ground, of the kind's own (sides, end, face, point, lead). minutes: of the whole setup, shared out.
    planned: by piece id, infeed and end taken where the setup names none and each piece was ground as it was planned.
    follows: what else is planned comes in another setup, so the pieces stay to grind. expected: grind revisions that
    the page showed. setup: the code of a setup that other lines share, '' for one of its own.
    Refusal where the kind's sides are never ground, or nothing is named; Conflict on a clash.
    """
    if not pieces:
        raise Refusal("Tick the pieces that were ground.")
    _refuse_what_is_not_ground(pieces, grinds)
    when = done_at or timezone.now()
    plans = newest(Plan, pieces)
    shares = share_minutes(minutes_hundredths, len(pieces))
    common: dict[str, Any] = {
        "setup": setup or setup_code(pieces, when),
        "grinds": " ".join(grinds),
        "wheel": wheel,
        "holding": holding,
        "roughing": roughing,
        "finishing": finishing,
        "gashed": gashed,
        "end_first": end_first,
        "note": note,
    }
    own = planned or {}
    with event(by, "ground", done_at=done_at) as grinding:
        rows = add_revisions(
            [
                Grind(
                    event=grinding,
                    piece=piece,
                    revision=expected.get(piece.pk, 0) + 1,
                    plan=plans.get(piece.pk),
                    minutes_hundredths=share,
                    **_taken(own.get(piece.pk), infeed_radial_nm, end_taken_nm),
                    **common,
                )
                for piece, share in zip(pieces, shares, strict=True)
            ]
        )
        if not follows:
            move(pieces=pieces, to="ground", by=by)
    return rows


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
    wheel: Wheel | None = None,
    holding: WorkHolding | None = None,
    roughing: str = "onto_rest",
    finishing: str = "into_edge",
    note: str = "",
    done_at: datetime | None = None,
) -> str:
    """Record one setup that pieces of several lines went through, each ground as planned; returns its code.

    minutes: of the whole setup, shared out over all its pieces so that the shares add up. Refusal and Conflict as
    `grind`, and then nothing of the setup is kept.
    """
    every = [piece for part in parts for piece in part.pieces]
    if not every:
        raise Refusal("Tick the pieces that were ground.")
    when = done_at or timezone.now()
    code, shares = setup_code(every, when), iter(share_minutes(minutes_hundredths, len(every)))
    with event(by, "ground", done_at=done_at):
        for part in parts:
            if part.pieces:
                mine = sum(share for _, share in zip(part.pieces, shares, strict=False))
                grind(
                    by=by,
                    pieces=part.pieces,
                    expected=expected,
                    grinds=part.grinds,
                    wheel=wheel,
                    holding=holding,
                    roughing=roughing,
                    finishing=finishing,
                    minutes_hundredths=mine,
                    gashed=part.gashed,
                    note=note,
                    planned=part.planned,
                    setup=code,
                )
    return code


def _taken(own: tuple[int | None, int | None] | None, infeed_nm: int | None, end_nm: int | None) -> dict[str, Any]:
    """What was taken: as the setup says, else as this piece was planned."""
    infeed, end = own or (None, None)
    return {
        "infeed_radial_nm": infeed if infeed_nm is None else infeed_nm,
        "end_taken_nm": end if end_nm is None else end_nm,
    }


def _refuse_what_is_not_ground(pieces: Sequence[Piece], grinds: Sequence[str]) -> None:
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
) -> CoaterSlip:
    """Send ground pieces to a coater on one slip. Refusal where none is ticked."""
    if not pieces:
        raise Refusal("Tick the pieces that go to the coater.")
    with event(by, "sent to coater", why=f"to {coater}", done_at=sent_at) as sending:
        slip: CoaterSlip = CoaterSlip.objects.create(
            event=sending, number=number, batch=batch, coater=coater, coating=coating, expected=expected
        )
        CoaterPiece.objects.bulk_create([CoaterPiece(event=sending, slip=slip, piece=piece) for piece in pieces])
        move(pieces=pieces, to="at_coater", by=by, reason=f"{coating} at {coater}, slip {number}")
    return slip


def count_back(*, by: Person, pieces: Sequence[Piece], done_at: datetime | None = None) -> None:
    """Pieces came back from the coater. Refusal where none is ticked."""
    if not pieces:
        raise Refusal("Tick the pieces that came back.")
    move(pieces=pieces, to="ground", by=by, done_at=done_at, reason="back from the coater", kind="back from coater")
