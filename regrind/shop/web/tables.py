"""What a page shows as comma separated values, for a spreadsheet that must not take a cell for a formula."""

import csv
import io
from collections.abc import Iterable, Sequence

from django.http import HttpResponse

DANGEROUS = ("=", "+", "-", "@", "\t", "\r", "\n")


def neutral(cell: object) -> str:
    """A cell that no spreadsheet reads as a formula: text that begins like one gets an apostrophe before it.

    Figures of ours are numbers and stay so, a minus in front included.

    >>> neutral("=1+1"), neutral(-3)
    ("'=1+1", '-3')
    """
    if cell is None:
        return ""
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
