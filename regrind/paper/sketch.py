"""A sketch of a tool's shape on paper: as received thin, as it will be heavy, what comes off hatched, damage grey."""

from collections.abc import Sequence

from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject
from reportlab.platypus import Flowable

from regrind.paper import text
from regrind.paper.section import CAPTION, HATCH, HEAVY, MM, SCALES, THIN, Point, scale_text
from regrind.paper.type import width, write
from regrind.paper.values import Sketch, Style

LEAD, GAP, HATCH_STEP, GREY = 9.0, 14.0, 1.6, 0.62


class SketchPicture(Flowable):
    """A sketch in a box so wide and high in points. beside: the room at its right for all words; 0: the scale below."""

    def __init__(self, sketch: Sketch, style: Style, wide: float, high: float, beside: float = 0) -> None:
        super().__init__()
        self.sketch, self.wide, self.high, self.beside = sketch, wide, high, beside
        words = _say(sketch, scale_for(sketch, wide, high), style)
        self.rows = [row for one in words for row in _wrap(one, beside)] if beside else words[:1]
        self.width = wide + (GAP + beside if beside else 0)
        self.height = high if beside else high + LEAD + 2

    def draw(self) -> None:
        """Draw the shape in the box, then the words in rows."""
        scale = MM * scale_for(self.sketch, self.wide, self.high)
        x_low, y_low, x_high, y_high = _frame(self.sketch)
        self.canv.saveState()
        self.canv.translate(self.wide / 2 - (x_low + x_high) / 2 * scale, self.height - self.high / 2)
        _draw(self.canv, self.sketch, scale, (y_low + y_high) / 2)
        self.canv.restoreState()
        x, y = (self.wide + GAP, self.height) if self.beside else (0.0, self.height - self.high)
        for row, words in enumerate(self.rows, start=1):
            write(self.canv, x, y - row * LEAD + 1.5, words, CAPTION)


def scale_for(sketch: Sketch, wide: float, high: float) -> float:
    """The largest usual scale at which the sketch stands in a box so wide and high in points."""
    x_low, y_low, x_high, y_high = _frame(sketch)
    most = 0.96 * min(wide / (x_high - x_low), high / (y_high - y_low)) / MM
    return max((scale for scale in SCALES if scale <= most), default=SCALES[0])


def _frame(sketch: Sketch) -> tuple[float, float, float, float]:
    points = [*sketch.body, *sketch.before, *sketch.after]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def _say(sketch: Sketch, scale: float, style: Style) -> list[str]:
    was, will, note = (text.composed(words, style) for words in (sketch.was, sketch.will, sketch.note))
    return [
        f"{scale_text(scale)}: {sketch.title[:1].lower()}{sketch.title[1:]}",
        f"thin: {was} as received; heavy: {will} after",
        note,
    ]


def _wrap(words: str, wide: float) -> list[str]:
    rows: list[str] = []
    for word in words.split(" "):
        if rows and width(f"{rows[-1]} {word}", CAPTION) <= wide:
            rows[-1] += f" {word}"
        else:
            rows.append(word)
    return rows


def _draw(canvas: Canvas, sketch: Sketch, scale: float, middle: float) -> None:
    """Every path of the sketch, its middle height at the canvas's 0."""

    def trace(points: Sequence[Point], *, closed: bool = False) -> PDFPathObject:
        path = canvas.beginPath()
        path.moveTo(points[0][0] * scale, (points[0][1] - middle) * scale)
        for x, y in points[1:]:
            path.lineTo(x * scale, (y - middle) * scale)
        if closed:
            path.close()
        return path

    for points in sketch.off:
        _hatch(canvas, trace(points, closed=True), _bounds(points, scale, middle))
    canvas.setFillGray(GREY)
    for points in sketch.worn:
        canvas.drawPath(trace(points, closed=True), stroke=0, fill=1)
    for points, line in ((sketch.before, THIN), (sketch.after, HEAVY)):
        canvas.setLineWidth(line)
        canvas.drawPath(trace(points), stroke=1, fill=0)
    canvas.setLineWidth(0.3)
    canvas.setDash([6, 1.5, 1, 1.5])
    for points in sketch.centre:
        canvas.drawPath(trace(points), stroke=1, fill=0)


def _bounds(points: Sequence[Point], scale: float, middle: float) -> tuple[float, float, float, float]:
    xs, ys = [x * scale for x, _ in points], [(y - middle) * scale for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def _hatch(canvas: Canvas, area: PDFPathObject, bounds: tuple[float, float, float, float]) -> None:
    """Slanted lines over an area."""
    x_low, y_low, x_high, y_high = bounds
    high = y_high - y_low
    canvas.saveState()
    canvas.clipPath(area, stroke=0, fill=0)
    canvas.setLineWidth(HATCH)
    count = int((x_high - x_low + high) / HATCH_STEP) + 1
    canvas.lines([(x_low - high + n * HATCH_STEP, y_low, x_low + n * HATCH_STEP, y_high) for n in range(count)])
    canvas.restoreState()
