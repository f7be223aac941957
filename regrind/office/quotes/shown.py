"""A quote as its pages show it: rows with everything that a template writes down."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.forms.boundfield import BoundField, BoundWidget

from regrind.record.piece_names import spans

from ..quote_models import Quote, QuoteAnswer
from .answers import say_way
from .states import ItemState, PieceState, QuoteState


@dataclass(frozen=True)
class Way:
    """One way to answer: its box, and of a way to grind the tool after, its worth and price; else the fee."""

    box: BoundWidget | None
    words: str
    after: str = ""
    worth: str = ""
    price_minor: int | None = None  # None: not known yet
    fee_minor: int = 0
    proposed: bool = False
    to_grind: bool = False


def with_options(state: ItemState, bound: BoundField | None = None) -> list[Way]:
    """Each way to answer for an item, with its box where there is a form."""
    shown = state.item.shown
    boxes: Sequence[BoundWidget | None] = list(bound) if bound else [None] * (len(shown["options"]) + 2)
    ways = [
        Way(
            box,
            f"Grind {option['words']}",
            option["after"],
            option["worth"],
            option["price_minor"],
            proposed=option["way"] == shown["proposed"],
            to_grind=True,
        )
        for box, option in zip(boxes, shown["options"], strict=False)
    ]
    rest = boxes[len(ways) :]
    named = zip(rest, ("Return unground", "Scrap"), strict=True)
    return [*ways, *(Way(box, words, fee_minor=shown["not_ground_minor"]) for box, words in named)]


@dataclass(frozen=True)
class Chosen:
    """What is about to be sent for some pieces of an item."""

    tool: str
    pieces: str
    words: str
    scrap: bool


def chosen_rows(state: QuoteState, ways: Mapping[int, str]) -> list[Chosen]:
    """What a customer chose, like pieces together. ways: by the key of a quote's piece."""
    rows: list[Chosen] = []
    for item in state.items:
        groups: dict[str, list[PieceState]] = {}
        for piece in item.pieces:
            if piece.row.pk in ways:
                groups.setdefault(ways[piece.row.pk], []).append(piece)
        for way, same in groups.items():
            words = say_way(item.item, way, state.quote.currency)
            rows.append(Chosen(item.item.shown["tool"], _spans(same), words, way == "scrap"))
    return rows


def left_open(state: QuoteState, ways: Mapping[int, str]) -> str:
    """The pieces that wait and get no answer now: `1-2, 1-3`."""
    return spans(piece.row.piece for piece in state.pieces if piece.open and piece.row.pk not in ways)


def _spans(same: Sequence[PieceState]) -> str:
    return spans(piece.row.piece for piece in same)


@dataclass(frozen=True)
class Answered:
    """What was answered for some pieces of a quote, by whom and how."""

    tool: str
    pieces: str
    words: str
    who: str
    how: str
    when: datetime
    by: str  # who of the shop wrote it down; "" where the customer did
    note: str = ""  # of the customer, the same for all that was sent together


def answered_rows(state: QuoteState) -> list[Answered]:
    """The answers of a quote, in the order of its items."""
    rows: list[Answered] = []
    for item in state.items:
        groups: dict[int, list[PieceState]] = {}
        for piece in item.pieces:
            if piece.answer is not None:
                groups.setdefault(piece.answer.answer_id, []).append(piece)
        rows += [_answered(item, same, same[0].answer) for same in groups.values() if same[0].answer]
    return rows


def _answered(item: ItemState, same: Sequence[PieceState], row: QuoteAnswer) -> Answered:
    answer = row.answer
    way, _, note = answer.agreed.partition("; ") if row.link_id else (answer.agreed, "", "")
    return Answered(
        item.item.shown["tool"],
        _spans(same),
        way if row.link_id else f"{answer.get_decision_display()}: {way}",
        answer.who,
        answer.get_how_display(),
        answer.done_at,
        row.by.name if row.by else "",
        note,
    )


@dataclass(frozen=True)
class SettledRow:
    """Like tools, what is done with them, and the price of each; priced: whether it should have one."""

    line: int
    tool: str
    pieces: str
    count: int
    words: str
    price_minor: int | None
    priced: bool


@dataclass(frozen=True)
class Settled:
    """What of a quote needs no answer, under one heading: its rows as they were stored."""

    title: str
    rows: list[SettledRow]


def _settled(row: dict[str, Any]) -> SettledRow:
    after = f", after: {row['after']}" if row.get("after") else ""
    reason = f": {row['reason']}" if row.get("reason") else ""
    words = f"{row['words']}{after}{reason}"
    priced = "price_minor" in row
    return SettledRow(row["line"], row["tool"], row["pieces"], row["count"], words, row.get("price_minor"), priced)


def settled_parts(quote: Quote) -> list[Settled]:
    """What is settled, agreed or planned already, and what is not ground with its reason, under the headings that were
    stored with them."""
    parts: dict[str, list[SettledRow]] = {}
    for row in (*quote.shown["settled"], *quote.shown["not_ground"]):
        parts.setdefault(row["heading"], []).append(_settled(row))
    return [Settled(title, rows) for title, rows in parts.items()]
