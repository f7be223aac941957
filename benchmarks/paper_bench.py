"""How fast papers are drawn, as ratios to bare ReportLab drawing the same marks.

Run: python -m benchmarks.paper_bench [repeats]. Times are of this machine; only the ratios carry over. The bare
drawing replays the finished page's own operators: every string and rectangle at its final place, no layout.
"""

import io
import statistics
import sys
import time
from collections.abc import Callable

from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from regrind.paper import job_sheet, label, qr, report
from regrind.paper.type import REGULAR
from tests.paper import papers
from tests.paper.test_label import a_return

LABELS = 500
PIECES = 400


def marks_of(pdf: bytes) -> list[tuple[tuple[float, float], list[tuple[float, float, float, str]], str]]:
    """Each page of a paper as its size, its strings with place and size, and its rectangles and lines."""
    sheets = []
    for page in PdfReader(io.BytesIO(pdf)).pages:
        strings: list[tuple[float, float, float, str]] = []

        def keep(
            text: str,
            outer: list[float],
            inner: list[float],
            _font: object,
            size: float,
            strings: list[tuple[float, float, float, str]] = strings,
        ) -> None:
            if text.strip():
                strings.append((outer[4] + inner[4], outer[5] + inner[5], size or 8, text.strip("\n")))

        page.extract_text(visitor_text=keep)
        content = page.get_contents()
        raw = content.get_data().decode("latin-1") if content else ""
        shapes = "\n".join(line for line in raw.splitlines() if line.endswith((" re", " l S", " cm", "f Q", " g")))
        balanced = shapes if shapes.count("q ") == shapes.count(" Q") else ""
        sheets.append(((float(page.mediabox.width), float(page.mediabox.height)), strings, balanced))
    return sheets


def bare(pages: list[tuple[tuple[float, float], list[tuple[float, float, float, str]], str]]) -> bytes:
    """The same marks by ReportLab's canvas alone."""
    buffer = io.BytesIO()
    marks = Canvas(buffer, invariant=1, pageCompression=1, initialFontName=REGULAR)  # type: ignore[arg-type]
    for size, strings, shapes in pages:
        marks.setPageSize(size)
        marks._code.append(shapes)  # type: ignore[attr-defined]
        for x, y, points, text in strings:
            marks.setFont(REGULAR, points)
            marks.drawString(x, y, text)
        marks.showPage()
    marks.save()
    return buffer.getvalue()


def seconds(work: Callable[[], object], repeats: int) -> float:
    """The median time of a call."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def main(repeats: int = 5) -> None:
    """Print one line a paper: ours, bare, ratio, and what it comes to."""
    labels = [a_return(f"417-3-{number}") for number in range(1, LABELS + 1)]
    work = {
        f"{LABELS} labels": lambda: (qr.modules.cache_clear(), label.draw(labels))[1],
        f"job sheet of {PIECES} pieces": lambda: job_sheet.draw(papers.job(PIECES)),
        f"report of {PIECES} pieces": lambda: report.draw(papers.report(PIECES)),
    }
    for name, draw in work.items():
        pages = marks_of(draw())
        ours, least = seconds(draw, repeats), seconds(lambda pages=pages: bare(pages), repeats)
        rate = f", {LABELS / ours:.0f} labels/s" if "labels" in name else ""
        print(f"{name}: {len(pages)} pages, {ours:.3f} s, bare {least:.3f} s, ratio {ours / least:.1f}{rate}")  # noqa: T201


if __name__ == "__main__":
    main(*(int(count) for count in sys.argv[1:]))
