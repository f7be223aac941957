"""The one family all papers are set in, registered once at import, and the canvas they are drawn on."""

from collections.abc import Sequence
from functools import lru_cache
from io import BytesIO
from pathlib import Path

from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

REGULAR = "ShopSans"
BOLD = "ShopSans-Bold"
PLAIN, PLAIN_BOLD = "ShopSansPlain", "ShopSansPlain-Bold"  # the same with a zero without a slash
SMALL_PT = 8.0  # below this size a slashed zero reads as an eight at 203 dots to the inch
_FOLDER = Path(__file__).parent / "fonts"

rl_config.useA85 = 0  # a third of the time went into ASCII85, which nobody needs
rl_config.invariant = 1  # no clock and no random number in the file: a reprint is the same bytes

_FACES = {
    name: TTFont(name, str(_FOLDER / f"{file}.ttf"))
    for name, file in (
        (REGULAR, "ShopSans-Regular"),
        (BOLD, "ShopSans-Bold"),
        (PLAIN, "ShopSansPlain-Regular"),
        (PLAIN_BOLD, "ShopSansPlain-Bold"),
    )
}
for _face in _FACES.values():
    pdfmetrics.registerFont(_face)
pdfmetrics.registerFontFamily(REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD)
_COVERED = frozenset.intersection(*(frozenset(face.face.charToGlyph) for face in _FACES.values()))


def covers(sign: str) -> bool:
    """True where the bundled font has a glyph for this character in both weights."""
    return ord(sign) in _COVERED


def width(text: str, size: float, *, bold: bool = False) -> float:
    """The width of a line of text in points at a font size in points."""
    return _width_at_1(text, bold) * size


@lru_cache(maxsize=20_000)
def _width_at_1(text: str, bold: bool) -> float:
    """Fitting a label asks for the same words at many sizes; widths grow with the size alone."""
    return float(pdfmetrics.stringWidth(text, BOLD if bold else REGULAR, 1000)) / 1000


def new_canvas(buffer: BytesIO, page_pt: tuple[float, float], *, title: str, author: str) -> Canvas:
    """A canvas that writes the same bytes for the same drawing and embeds no font but ours. page_pt: width and height
    of the page, in points."""
    made = Canvas(buffer, pagesize=page_pt, pageCompression=1, invariant=1, initialFontName=REGULAR)  # type: ignore[arg-type]  # the stub calls it a number
    made.setTitle(title)
    made.setAuthor(author)
    made.setCreator("regrind")
    return made


def write(
    canvas: Canvas, x_pt: float, y_pt: float, text: str, size: float, *, bold: bool = False, label: bool = False
) -> None:
    """Write one line of text with its left end at x on the baseline y. x_pt, y_pt, size: in points.

    label: for a label printer's coarse dots; small letters then have the plain zero, which is as wide.
    """
    regular, heavy = (PLAIN, PLAIN_BOLD) if label and size < SMALL_PT else (REGULAR, BOLD)
    canvas.setFont(heavy if bold else regular, size)
    canvas.drawString(x_pt, y_pt, text)


def raw(canvas: Canvas, operators: Sequence[str]) -> None:
    """Append PDF operators as they are: many small rectangles cost ten times less this way."""
    canvas._code.extend(operators)  # type: ignore[attr-defined]  # missing in the stub
