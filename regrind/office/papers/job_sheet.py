"""The job sheet of a batch: what is in the box, the plan's figures as far as they are, room to write.

Pieces that are planned to be ground stand by the setup that serves them, as the bench's own list of setups has it;
those without a plan, and those that are not ground, come after.
"""

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from regrind.bench.setups.order import Setup, what_changes
from regrind.bench.setups.shown import say_changes
from regrind.bench.setups.waiting import Lot, group_by_setup, make_lots
from regrind.paper import values
from regrind.record.models import Batch, Piece
from regrind.record.piece_names import spans

from .common import Rows, by_line, gather, heading, pieces_of, style, tool_name_inside, words_of
from .job_lines import NOT_GROUND, job_line
from .setup_card import Setups, find_setups, list_changes, list_differing


class Standing(NamedTuple):
    """What stands on the machine: a setup, and the card of the pieces that were ground last."""

    setup: Setup
    card: values.SetupCard


def job_sheet(batch: Batch, revision: int, dated: date) -> values.JobSheet:
    """The sheet as the record stands: figures that are not planned yet are room to write."""
    pieces = pieces_of(batch)
    rows, lines = gather(pieces), by_line(pieces)
    box = tuple(
        values.BoxLine(
            str(same[0].line.number),
            len(same),
            tool_name_inside(same[0].line),
            same[0].line.customer_tool_number,
            _note_of(same),
        )
        for same in lines.values()
    )
    return values.JobSheet(
        heading(batch, str(batch.number), revision, dated, at_bench=True),
        box,
        tuple(_setups(pieces, rows)),
        terms=_terms(batch),
        note=batch.note,
    )


def _note_of(same: Sequence[Piece]) -> str:
    """The line's note, and before it which of its pieces are missing."""
    missing = [piece for piece in same if piece.status == "missing"]
    words = f"{len(same) - len(missing)} here: {spans(missing)} missing" if missing else ""
    return "; ".join(part for part in (words, same[0].line.note) if part)


def _setups(pieces: Sequence[Piece], rows: Rows) -> list[values.JobSetup]:
    """The setups in the order in which least is set anew, then what no setup serves."""
    cards = find_setups(pieces, rows)
    lots = make_lots(aim for aim in cards.aims if aim.parts and aim.piece.result not in NOT_GROUND)
    setups, before = [], None
    for setup, served_lots in group_by_setup(lots):
        sheet, before = _setup(setup, before, served_lots, rows, cards)
        setups.append(sheet)
    served = {piece.pk for lot in lots for piece in lot.pieces}
    unserved = [piece for piece in pieces if piece.pk not in served]
    return [
        *setups,
        *_left("Not planned yet", [p for p in unserved if p.result not in NOT_GROUND], rows),
        *_left("Not to be reground", [p for p in unserved if p.result in NOT_GROUND], rows),
    ]


def _setup(
    setup: Setup, before: Standing | None, lots: Sequence[Lot], rows: Rows, cards: Setups
) -> tuple[values.JobSetup, Standing]:
    """One setup: the card of its first pieces, what is not the same for the others, and its lines.

    before: the setup that stands, with the card that was set last. Returned with what stands after it.
    """
    lots = sorted(lots, key=lambda lot: _place(lot.pieces[0]))
    pieces = sorted((piece for lot in lots for piece in lot.pieces), key=_place)
    card, *others = cards.of_lots([(lot.aim, lot.pieces) for lot in lots], rows)
    how = style(pieces[0].batch)
    work = " and ".join(setup.work.split())
    shown = values.JobSetup(
        f"{work[:1].upper()}{work[1:]} · {_named(pieces)}",
        _lines(pieces, rows),
        card,
        _say_changes(before, setup, card, how) if before else "",
        cards.tell_apart(card, others, how),
        list_differing(card, others, how),
    )
    return shown, Standing(setup, [card, *others][-1])


def _say_changes(before: Standing, setup: Setup, card: values.SetupCard, how: values.Style) -> str:
    """What is set anew after the setup before, and every figure that is not as it stands."""
    anew, figures = say_changes(what_changes(before.setup, setup)), list_changes(before.card, card, how)
    return " ".join(
        [*([f"Change: {anew}."] if anew else []), *([f"Set anew: {'; '.join(figures)}."] if figures else [])]
    )


def _place(piece: Piece) -> tuple[int, int, int]:
    """Where a piece stands in the box: the order in which all of it is typed in."""
    return piece.line.number, piece.original_line, piece.number


def _left(title: str, pieces: Sequence[Piece], rows: Rows) -> list[values.JobSetup]:
    """Pieces that no setup serves, under a heading of their own; nothing where there are none."""
    named = f"{title} · {_named(pieces)}"
    return [values.JobSetup(named, _lines(pieces, rows), planned=False)] if pieces else []


def _lines(pieces: Sequence[Piece], rows: Rows) -> tuple[values.JobLine, ...]:
    return tuple(job_line(same[0].line, same, rows) for same in by_line(pieces).values())


def _named(pieces: Sequence[Piece]) -> str:
    numbers = [str(number) for number in sorted({piece.line.number for piece in pieces})]
    return f"line {numbers[0]}" if len(numbers) == 1 else f"lines {', '.join(numbers)}"


def _terms(batch: Batch) -> tuple[str, ...]:
    """What the customer wants, in the bench's words."""
    customer, how = batch.customer, style(batch)
    terms = [
        f"{name} {words_of(nm, how)}"
        for name, nm in (
            ("No diameter below", customer.smallest_nm),
            ("No more under nominal than", customer.under_nm),
            ("Sizes on steps of", customer.step_nm),
            ("Usable length not below", customer.shortest_nm),
            ("Corners may be clipped up to", customer.chamfer_nm),
        )
        if nm is not None
    ]
    if customer.under_basis_points is not None:
        share = f"{customer.under_basis_points / 100:g}".replace(".", how.decimal_mark)
        terms.append(f"No more than {share} % under nominal")
    terms += [customer.get_keep_display().capitalize()] if customer.keep else []
    terms += ["Always ask before grinding"] if customer.always_ask else []
    terms += ["Never scrap without asking"] if customer.never_scrap_unasked else []
    return (*terms, f"Scrap is {customer.get_scrap_display()}")
