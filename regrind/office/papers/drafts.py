"""A paper about to be drawn: from its kind and number to its values and the function that draws them."""

import dataclasses
import hashlib
import json
from collections.abc import Callable
from datetime import date
from typing import Any

from django.http import Http404
from django.utils import timezone

from regrind.paper import address_label as address_paper
from regrind.paper import bill, job_sheet, label, quote, report, setup_card, slip, values
from regrind.paper import coater_order as order_paper
from regrind.record.find import batch_or_404, line_or_404, piece_or_404
from regrind.record.models import Batch, Line, Piece
from regrind.shop.events import Refusal
from regrind.shop.fields.whole_numbers import read_whole

from ..models import Parcel
from .address import address_label
from .bill import bill_or_404, bill_sheet
from .coater_order import coater_order, coater_slip_or_404
from .job_sheet import job_sheet as job_values
from .labels import arrival_tags, return_labels
from .quote import quote_or_404, quote_sheet
from .report import report as report_values
from .setup_card import setup_sheet
from .slip import packing_slip

LABELS = ("label", "tag")
ADDRESS = "address"
STOCKED = (*LABELS, ADDRESS)  # printed on label stock, a page or a place of a sheet each
BILLS = ("bill", "credit")
KINDS = ("job_sheet", "setup_card", "tag", "label", "report", "slip", "address", "coater", "quote", *BILLS)


@dataclasses.dataclass(frozen=True)
class Stock:
    """The label stock of a printing: its key, the first free label of a sheet (1 is top left), one label for each piece
    or one for each tube."""

    key: str = "50x25"
    start: int = 1
    each: bool = False

    @property
    def words(self) -> str:
        """`A4, 3 × 8 labels of 70 × 36 mm, from label 5, one for every piece`"""
        stock = values.ADDRESS_STOCKS[self.key]
        place = f", from label {self.start}" if stock.grid and self.start > 1 else ""
        return f"{stock.name}{place}" + (", one for every piece" if self.each else "")


@dataclasses.dataclass(frozen=True)
class Draft:
    """A paper of the record as it stands: what it is of, its values, how they are drawn, and the snapshot to keep."""

    batch: Batch | None  # none of a bill
    values: Any
    draw: Callable[[], bytes]
    snapshot: str
    line: Line | None = None
    piece: Piece | None = None


def draft(
    kind: str, number: str, *, stock: Stock = Stock(), revision: int = 1, dated: date | None = None, mark: str = ""
) -> Draft:
    """The paper of a kind and a number: 417 (job_sheet, report), 417-3 (setup_card), 417, 417-3 or 417-3-7 (tag,
    label), 417/2 (slip, address), 417/K1 (coater), 417/1 (quote), B-12 (bill), C-3 (credit).

    revision, dated: as printed on it. mark: a word beside the number, "draft". Http404 where there is no such kind or
    number, Refusal where there is nothing to print yet or the stock does not fit.
    """
    day = dated or timezone.localdate()
    if kind in LABELS:
        return _labels(kind, number, stock, day)
    if kind == ADDRESS:
        return _address(number, stock, day)
    make, draw = _SHEETS.get(kind, (None, None))
    if make is None or draw is None:
        raise Http404(kind)
    batch, line, paper = make(number, revision, day)
    if mark:
        paper = dataclasses.replace(paper, head=dataclasses.replace(paper.head, number=f"{paper.head.number}, {mark}"))
    return Draft(batch, paper, lambda: draw(paper), canonical({"paper": plain(paper)}), line)


def _job_sheet(number: str, revision: int, day: date) -> tuple[Batch, None, values.JobSheet]:
    batch = _filled_batch(number)
    return batch, None, job_values(batch, revision, day)


def _report(number: str, revision: int, day: date) -> tuple[Batch, None, values.Report]:
    batch = _filled_batch(number)
    return batch, None, report_values(batch, revision, day)


def _setup_card(number: str, revision: int, day: date) -> tuple[Batch, Line, values.SetupSheet]:
    line = line_or_404(number)
    return line.batch, line, setup_sheet(line, revision, day)


def _slip(number: str, revision: int, day: date) -> tuple[Batch, None, values.PackingSlip]:
    parcel = _parcel(number)
    return parcel.batch, None, packing_slip(parcel, revision, day)


def _coater(number: str, revision: int, day: date) -> tuple[Batch, None, values.CoaterOrder]:
    slip = coater_slip_or_404(number)
    return slip.batch, None, coater_order(slip, revision, day)


def _quote(number: str, revision: int, day: date) -> tuple[Batch, None, values.QuoteSheet]:
    made = quote_or_404(number)
    return made.batch, None, quote_sheet(made, revision)


def _bill(number: str, revision: int, day: date) -> tuple[None, None, values.BillSheet]:
    return None, None, bill_sheet(bill_or_404(number, "B"), revision)


def _credit(number: str, revision: int, day: date) -> tuple[None, None, values.BillSheet]:
    return None, None, bill_sheet(bill_or_404(number, "C"), revision)


_SHEETS: dict[str, tuple[Callable[[str, int, date], tuple[Any, ...]], Callable[[Any], bytes]]] = {
    "job_sheet": (_job_sheet, job_sheet.draw),
    "report": (_report, report.draw),
    "setup_card": (_setup_card, setup_card.draw),
    "slip": (_slip, slip.draw),
    "coater": (_coater, order_paper.draw),
    "quote": (_quote, quote.draw),
    "bill": (_bill, bill.draw),
    "credit": (_credit, bill.draw),
}


def _filled_batch(number: str) -> Batch:
    batch = batch_or_404(number)
    if not batch.pieces.exists():
        raise Refusal("This batch has no lines yet: add a line first.")
    return batch


def _labels(kind: str, number: str, stock: Stock, day: date) -> Draft:
    if stock.key not in values.STOCKS:
        raise Refusal(f"{stock.key} is not a label stock. Write one of {', '.join(values.STOCKS)}.")
    batch, line, piece = _labelled(number)
    make = return_labels if kind == "label" else arrival_tags
    labels = [
        one
        for each_line, pieces in _pieces_by_line(batch, line, piece)
        for one in make(each_line, pieces, day, each=stock.each)
    ]
    if not labels:
        raise Refusal(
            "Nothing of this is released yet: a label is printed once a piece is released."
            if kind == "label"
            else "All pieces of this are missing: there is no tag to print."
        )
    _refuse_place(stock)
    snapshot = canonical({"paper": plain(_without_links(labels)), "stock": dataclasses.asdict(stock)})
    return Draft(
        batch, labels, lambda: label.draw(labels, values.STOCKS[stock.key], stock.start), snapshot, line, piece
    )


def _without_links(labels: list[values.Label]) -> list[values.Label]:
    """The labels with the hash of each link: no row holds what opens a tool's page."""
    return [
        dataclasses.replace(one, link=hashlib.sha256(one.link.encode()).hexdigest()) if one.link else one
        for one in labels
    ]


def labelled_pieces(number: str) -> list[Piece]:
    """The pieces that the labels of 417, 417-3 or 417-3-7 are for. Http404 and Refusal as `draft`."""
    return [piece for _, pieces in _pieces_by_line(*_labelled(number)) for piece in pieces]


def _address(number: str, stock: Stock, day: date) -> Draft:
    if stock.key not in values.ADDRESS_STOCKS:
        raise Refusal(f"{stock.key} is not a label stock. Write one of {', '.join(values.ADDRESS_STOCKS)}.")
    _refuse_place(stock)
    parcel = _parcel(number)
    made = address_label(parcel, day)
    snapshot = canonical({"paper": plain(made), "stock": dataclasses.asdict(stock)})
    sheet = values.ADDRESS_STOCKS[stock.key]
    return Draft(parcel.batch, made, lambda: address_paper.draw(made, sheet, stock.start), snapshot)


def _refuse_place(stock: Stock) -> None:
    """Refusal where the start position is not on the sheet."""
    sheet = values.ADDRESS_STOCKS[stock.key]
    places = sheet.grid.rows * sheet.grid.columns if sheet.grid else 1
    if not 1 <= stock.start <= places:
        raise Refusal(
            f"Label {stock.start} is not on {sheet.name}: "
            + (f"write 1 to {places}." if sheet.grid else "a roll starts at 1, write 1.")
        )


def _labelled(number: str) -> tuple[Batch, Line | None, Piece | None]:
    """The piece of 417-3-7, the line of 417-3, or the whole batch of 417."""
    if "-" not in number:
        return _filled_batch(number), None, None
    piece = piece_or_404(number) if number.count("-") == 2 else None
    line = piece.line if piece else line_or_404(number)
    return line.batch, line, piece


def _pieces_by_line(batch: Batch, line: Line | None, piece: Piece | None) -> list[tuple[Line, list[Piece]]]:
    """The pieces to label with their line, in the batch's order."""
    if piece is not None:
        return [(piece.line, [piece])]
    lines = [line] if line else list(batch.lines.select_related("family", "batch__customer"))
    together = ("batch", "line__family", "line__batch__customer", "tool")
    return [(one, list(one.pieces.select_related(*together))) for one in lines]


def _parcel(number: str) -> Parcel:
    batch, _, parcel = number.partition("/")
    known = read_whole(parcel, 4)
    sent = (
        Parcel.every.select_related("batch__customer", "event__by", "event__undone_by")
        .filter(batch=batch_or_404(batch), number=known)
        .first()
        if known
        else None
    )
    if sent is None:
        raise Http404(number)
    return sent


def plain(value: Any) -> Any:
    """Paper values as JSON has them, each with the name of its kind; pictures stand as their hash."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = {field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
        return {"is": type(value).__name__, **fields}
    if isinstance(value, (list, tuple)):
        return [plain(one) for one in value]
    if isinstance(value, bytes):
        return hashlib.sha256(value).hexdigest()
    return value.isoformat() if isinstance(value, date) else value


def canonical(value: Any) -> str:
    """JSON text that is the same for the same value."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
