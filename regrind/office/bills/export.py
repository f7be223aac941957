"""Bills for the books of the shop: which columns they take is written down once."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from ..bill_models import Bill, BillExport, BillLine

MOST_COLUMNS = 40
DEFAULT_COLUMNS = """Number = number
Kind = kind
Date = date
Due = due
Customer = customer
Net = net
Tax = tax
Total = total
Currency = currency"""


@dataclass(frozen=True)
class Exported:
    """A bill, or one line of it. A credit note's amounts are below zero."""

    bill: Bill
    line: BillLine | None = None

    def signed(self, minor: int) -> Decimal:
        """An amount in the currency's units, exact."""
        return in_units(-minor if self.bill.credits_bill_id else minor)


def in_units(minor: int) -> Decimal:
    """Minor units as the currency's own, with two decimals."""
    return (Decimal(minor) / 100).quantize(Decimal("0.01"))


Value = str | int | date | Decimal | None
FIELDS: dict[str, Callable[[Exported], Value]] = {
    "number": lambda row: str(row.bill),
    "kind": lambda row: row.bill.get_series_display(),
    "date": lambda row: row.bill.day,
    "due": lambda row: row.bill.due,
    "customer": lambda row: row.bill.customer.name,
    "customer tax number": lambda row: row.bill.buyer_tax_number,
    "currency": lambda row: row.bill.currency,
    "net": lambda row: row.signed(row.bill.net_minor),
    "tax": lambda row: row.signed(row.bill.tax_minor),
    "total": lambda row: row.signed(row.bill.total_minor),
    "tax code": lambda row: row.bill.tax,
    "tax rate": lambda row: Decimal(row.bill.tax_milli) / 1000,
    "credited bill": lambda row: str(row.bill.credits_bill or ""),
    "note": lambda row: row.bill.note,
}
OF_LINES: dict[str, Callable[[BillLine, Exported], Value]] = {
    "line": lambda line, row: line.words,
    "batch": lambda line, row: line.batch.number,
    "order number": lambda line, row: line.batch.order_number,
    "item": lambda line, row: line.item,
    "pieces": lambda line, row: line.pieces,
    "each": lambda line, row: in_units(line.each_minor),
    "amount": lambda line, row: row.signed(line.minor),
}
Column = tuple[str, str]  # a title, and a field or a text in quotes


def read_columns(text: str, rows: str) -> tuple[list[Column], list[str]]:
    """(columns, what is wrong) of lines `Title = field` or `Title = "always this"`.

    rows: bill or line; the fields of a line are there only where each line has a row.
    """
    columns: list[Column] = []
    faults: list[str] = []
    for number, line in enumerate(filter(None, (line.strip() for line in text.splitlines())), start=1):
        title, mark, source = (part.strip() for part in line.partition("="))
        fault = "" if mark and title else f"“{line[:40]}” has no “=”. Write Title = field."
        fault = fault or _source_fault(source, rows)
        if fault:
            faults.append(f"Line {number}: {fault}")
        columns.append((title, source))
    if not columns:
        faults.append("No column is written. Write at least one, such as Number = number.")
    if len(columns) > MOST_COLUMNS:
        faults.append(f"{len(columns)} columns are more than {MOST_COLUMNS}. Write fewer.")
    return columns, faults


def _is_text(source: str) -> bool:
    return len(source) >= 2 and source[0] == source[-1] == '"'


def _source_fault(source: str, rows: str) -> str:
    if _is_text(source) or source in FIELDS or (rows == "line" and source in OF_LINES):
        return ""
    if source in OF_LINES:
        return f"“{source}” is of a line. Choose one row for each line, or leave it out."
    fields = ", ".join([*FIELDS, *(OF_LINES if rows == "line" else ())])
    return f"“{source[:40]}” is no field. Write one of: {fields}; or a text in quotes."


def current_export() -> BillExport:
    """The columns as written down last, else the usual ones (unsaved)."""
    return BillExport.objects.order_by("pk").last() or BillExport(rows="bill", columns=DEFAULT_COLUMNS)


def export_rows(first: date, last: date) -> tuple[list[str], list[list[Value]]]:
    """(titles, rows) of the bills and credit notes of these days, both included, by their order of making."""
    chosen = current_export()
    columns, _ = read_columns(chosen.columns, chosen.rows)
    bills = Bill.objects.filter(day__range=(first, last)).select_related("customer", "credits_bill").order_by("pk")
    return [title for title, _ in columns], [_cells(row, columns) for row in _exported(bills, chosen.rows)]


def _exported(bills: Iterable[Bill], rows: str) -> list[Exported]:
    every = list(bills)
    if rows == "bill":
        return [Exported(bill) for bill in every]
    by_pk = {bill.pk: bill for bill in every}
    lines = BillLine.objects.filter(bill__in=every).select_related("batch").order_by("bill_id", "position")
    return [Exported(by_pk[line.bill_id], line) for line in lines]


def _cells(row: Exported, columns: Sequence[Column]) -> list[Value]:
    return [_cell(row, source) for _, source in columns]


def _cell(row: Exported, source: str) -> Value:
    if _is_text(source):
        return source[1:-1]
    if row.line is not None and source in OF_LINES:
        return OF_LINES[source](row.line, row)
    return FIELDS[source](row)
