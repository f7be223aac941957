"""What a customer decides on the page of a quote's link."""

from collections.abc import Mapping

from regrind.record.models import Answer, Batch
from regrind.shop.events import Conflict, Refusal, event

from ..actions import record_answer
from ..quote_models import QuoteItem, QuoteLink
from .answers import NOT_GROUND, find_option, say_way
from .states import PieceState, state_of


def decide_by_link(*, link: QuoteLink, who: str, note: str, ways: Mapping[int, str]) -> list[Answer]:
    """Record a customer's decisions, all or none: by the key of a quote's piece the way to grind it, or
    returned_unground or scrap. The pieces move on as after any answer.

    Refusal where the quote no longer holds, nothing is decided or a way is none of the item's; Conflict where a piece
    was answered meanwhile, or the link has ended.
    """
    with event(None, "answered", why=f"quote {link.quote}", outsider=who):
        Batch.objects.select_for_update(no_key=True).get(pk=link.quote.batch_id)
        if not QuoteLink.objects.filter(pk=link.pk, revoked=None).exists():
            raise Conflict("This link no longer holds.")
        state = state_of(link.quote)
        if not state.open:
            raise Refusal(f"This quote can no longer be answered: {state.words}.")
        chosen = {piece.row.pk: piece for piece in state.pieces if piece.row.pk in ways}
        if not ways or set(chosen) != set(ways):
            raise Refusal("Nothing is chosen yet. Choose an answer for at least one tool.")
        if not all(piece.open for piece in chosen.values()):
            raise Conflict("One of these tools was answered meanwhile. This page shows what was said.")
        return [_answer(link, who, note, way, same) for way, same in _together(chosen, ways)]


def _together(chosen: Mapping[int, PieceState], ways: Mapping[int, str]) -> list[tuple[str, list[PieceState]]]:
    """(way, pieces) for each item and way: one answer is recorded for each."""
    groups: dict[tuple[int, str], list[PieceState]] = {}
    for pk, piece in chosen.items():
        groups.setdefault((piece.row.item_id, ways[pk]), []).append(piece)
    return [(way, same) for (_, way), same in groups.items()]


def _answer(link: QuoteLink, who: str, note: str, way: str, same: list[PieceState]) -> Answer:
    item = same[0].row.item
    decision, option = _read_way(item, way)
    agreed = "; ".join(filter(None, (say_way(item, way, link.quote.currency), note)))
    pieces = [piece.row.piece for piece in same]
    return record_answer(
        by=None,
        line=pieces[0].line,
        pieces=pieces,
        who=who,
        how="link",
        agreed=agreed[:500],
        decision=decision,
        option=option,
        link=link,
    )


def _read_way(item: QuoteItem, way: str) -> tuple[str, tuple[int, int] | None]:
    """The decision, and of an option its plan and index. Refusal where the item has no such way."""
    if way in NOT_GROUND:
        return way, None
    if find_option(item, way) is None:
        raise Refusal("That is not among what was offered. Open the page again.")
    word, *numbers = way.split(":")
    return word, (int(numbers[0]), int(numbers[1])) if numbers else None
