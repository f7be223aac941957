"""Our number as a QR code whose modules are whole printer dots on the printer's own grid."""

import math
from functools import lru_cache

import segno
from reportlab.pdfgen.canvas import Canvas

from regrind.paper.type import raw

OURS = "B"  # before every number in a code: no gauge sends it, and no life tag has it, so a scan is never a reading
QUIET_MODULES = 4  # ISO/IEC 18004 asks for a quiet zone of four modules
MODULE_MM = 0.45
LARGEST_MODULES = 33  # version 4
ON_A_SHEET = 45  # version 7: 122 signs
Modules = tuple[tuple[int, ...], ...]


def code_of(number: str) -> str:
    """What the code of a number holds: our letter, then the number; "B417-3-1". Raises ValueError where it is empty."""
    if not number:
        raise ValueError("number: it is empty and cannot be a code")
    return OURS + number


@lru_cache(maxsize=4096)
def modules(content: str, largest: int = LARGEST_MODULES) -> Modules:
    """The code's modules, row by row from the top, 1 for black; without the quiet zone. largest: modules a side.

    Raises ValueError where the content is not printable ASCII (other characters are read back as other
    scripts by some readers) or needs a code larger than that: version 4, if nothing else is said.
    """
    if not content or not content.isascii() or not content.isprintable():
        raise ValueError(f"number: {content!r} is not printable ASCII and cannot be a code")
    made = segno.make(content, error="m", micro=False, boost_error=True)
    rows = tuple(tuple(row) for row in made.matrix)
    if len(rows) > largest:
        raise ValueError(f"number: {content!r} is too long for a code of {largest} modules (62 signs on a label)")
    return rows


def takes(content: str, largest: int) -> bool:
    """Whether a code of at most so many modules a side holds this content. largest: modules, 21 or more."""
    try:
        modules(content, largest)
    except ValueError:
        return False
    return True


def dots_per_module(dpi: int) -> int:
    """Whole printer dots to a module: 4 at 203 dpi, 6 at 300, 11 at 600; never under 0.45 mm."""
    return math.ceil(MODULE_MM / 25.4 * dpi - 1e-9)


def side_dots(content: str, dpi: int) -> int:
    """The side of the whole code in printer dots, quiet zone included."""
    return (len(modules(content)) + 2 * QUIET_MODULES) * dots_per_module(dpi)


def draw(canvas: Canvas, content: str, left_dots: int, top_dots: int, dpi: int) -> None:
    """Draw the code, its quiet zone's corner at a whole dot counted from the page's lower left."""
    dots = dots_per_module(dpi)
    _fill(canvas, modules(content), left_dots + QUIET_MODULES * dots, top_dots - QUIET_MODULES * dots, dots, 72 / dpi)


def draw_in(canvas: Canvas, content: str, side_pt: float, largest: int = LARGEST_MODULES) -> None:
    """Draw the code, quiet zone included, in a square at the canvas's origin (sheets on office printers)."""
    rows = modules(content, largest)
    module = side_pt / (len(rows) + 2 * QUIET_MODULES)
    _fill(canvas, rows, QUIET_MODULES, QUIET_MODULES + len(rows), 1, module)


def _fill(canvas: Canvas, rows: Modules, x: int, top: int, dots: int, scale: float) -> None:
    """Runs of black along a row are one rectangle each, and all are filled by one operator."""
    operators = [f"q {scale:.9f} 0 0 {scale:.9f} 0 0 cm 0 g"]
    for row, cells in enumerate(rows, start=1):
        for start, length in _runs(cells):
            operators.append(f"{x + start * dots} {top - row * dots} {length * dots} {dots} re")
    raw(canvas, [*operators, "f Q"])


def _runs(cells: tuple[int, ...]) -> list[tuple[int, int]]:
    """Start and length of each run of black."""
    runs: list[tuple[int, int]] = []
    for index, black in enumerate(cells):
        if black and runs and sum(runs[-1]) == index:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        elif black:
            runs.append((index, 1))
    return runs
