"""What a page shows as comma separated values, for a spreadsheet that must not take a cell for a formula."""

import csv
import io
from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal

from django.http import HttpResponse
from openpyxl import Workbook  # type: ignore[import-untyped]

DANGEROUS = ("=", "+", "-", "@", "\t", "\r", "\n")


def neutral(cell: object) -> str:
    """A cell that no spreadsheet reads as a formula: text that begins like one gets an apostrophe before it.

    Figures of ours are numbers and stay so, a minus in front included.

    >>> neutral("=1+1"), neutral(-3)
    ("'=1+1", '-3')
    """
    if cell is None:
        return ""
    if isinstance(cell, Decimal):
        return f"{cell:f}"
    if isinstance(cell, int | float) and not isinstance(cell, bool):
        return f"{cell:.10g}"
    text = str(cell)
    return "'" + text if text.lstrip(" \u00a0\u202f").startswith(DANGEROUS) or text[:1] in DANGEROUS else text


def as_csv(name: str, head: Sequence[str], rows: Iterable[Sequence[object]]) -> HttpResponse:
    """A download: UTF-8 with its mark, so that a spreadsheet reads Šumava rightly; every cell neutral."""
    buffer = io.StringIO()
    out = csv.writer(buffer, lineterminator="\r\n")
    out.writerow([neutral(cell) for cell in head])
    out.writerows([neutral(cell) for cell in row] for row in rows)
    answer = HttpResponse("\ufeff" + buffer.getvalue(), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    return answer


XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def as_xlsx(name: str, head: Sequence[str], rows: Iterable[Sequence[object]]) -> HttpResponse:
    """A download of one sheet: dates and amounts as such, text neutral, the first row frozen."""
    book = Workbook()
    sheet = book.active
    sheet.append([neutral(cell) for cell in head])
    sheet.freeze_panes = "A2"
    for row in rows:
        sheet.append([cell if isinstance(cell, Decimal | date | int) else neutral(cell) for cell in row])
    for cells in sheet.iter_rows(min_row=2):
        for cell in cells:
            if isinstance(cell.value, Decimal):
                cell.number_format = f"0.{'0' * -int(cell.value.as_tuple().exponent)}"
    buffer = io.BytesIO()
    book.save(buffer)
    answer = HttpResponse(buffer.getvalue(), content_type=XLSX)
    answer["Content-Disposition"] = f'attachment; filename="{name}.xlsx"'
    return answer
