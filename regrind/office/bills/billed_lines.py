"""The lines of a bill, from what is charged for a parcel."""

from django.utils.dateformat import format as date_format
from django.utils.timezone import localdate

from regrind.record.line_dimensions import tool_of
from regrind.record.models import Batch, Line

from ..bill_models import BillLine
from ..charges import Charged
from ..extras import WORDS
from .unbilled import Unbilled


def lines_of(row: Unbilled) -> list[BillLine]:
    """A line for the regrinds of each line of the parcel, and for each item beside them; then rush and the minimum."""
    batch, charges = row.parcel.batch, row.charges
    sent = f"sent {date_format(localdate(row.parcel.done_at), 'j M Y')}"
    lines = [made for charged in charges.lines for made in _charged(batch, charged, sent)]
    if charges.rush_minor:
        lines.append(_whole(batch, "rush", f"Batch {batch}: rush", charges.rush_minor))
    if charges.minimum_minor:
        words = f"Batch {batch}: added to reach the batch minimum"
        lines.append(_whole(batch, "least", words, charges.minimum_minor))
    return lines


def _charged(batch: Batch, charged: Charged, sent: str) -> list[BillLine]:
    line, each = charged.line, charged.each_minor
    made = []
    if charged.pieces and each:
        made.append(_line(batch, line, "price", _regrind_words(batch, line, sent), charged.pieces, each))
    for extra in charged.extras:
        words = f"Line {line}: {WORDS[extra.item]}, {sent}"
        made.append(_line(batch, line, extra.item, words, extra.pieces, extra.each_minor))
    return made


def _regrind_words(batch: Batch, line: Line, sent: str) -> str:
    """`Line 417-3: regrind, sent 5 Oct 2025, 1/4 in, 3 flutes, end mill …, your number T-9, your order 5521`"""
    number = f", your number {line.customer_tool_number}" if line.customer_tool_number else ""
    order = f", your order {batch.order_number}" if batch.order_number else ""
    name = tool_of(line, with_assumed=False).name(batch.customer.unit)
    return f"Line {line}: regrind, {sent}, {name}{number}{order}"[:300]


def _line(batch: Batch, line: Line, item: str, words: str, pieces: int, each: int) -> BillLine:
    return BillLine(
        batch=batch, line=line, item=item, words=words[:300], pieces=pieces, each_minor=each, minor=pieces * each
    )


def _whole(batch: Batch, item: str, words: str, minor: int) -> BillLine:
    return BillLine(batch=batch, item=item, words=words, pieces=1, each_minor=minor, minor=minor)
