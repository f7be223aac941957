"""The stylus beside the wheel, drawn for the setup card: along the axis, and from the wheel's side.

Angles and heights are to scale in both pictures; wheel, stylus and tooth are schematic. In the second the distance
along the axis is to scale too, unless it is longer than the picture takes: then it says so.
"""

import math
from collections.abc import Sequence

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from regrind.paper import text
from regrind.paper.type import width, write
from regrind.paper.values import Style, StylusDrawing

HEIGHT, RADIUS, HALF = 138.0, 40.0, 250.0
THIN, HEAVY = 0.5, 1.4
WORD = 7.0
MOST_LONG = 120.0
TOOTH = [(0.62, -0.30), (0.72, -0.10), (1.0, 0.0), (0.985, 0.16), (0.9, 0.42), (0.7, 0.62), (0.62, 0.75)]

Point = tuple[float, float]


class StylusPicture(Flowable):
    """Both pictures side by side, as wide as two columns."""

    def __init__(self, drawing: StylusDrawing, style: Style) -> None:
        super().__init__()
        self.drawing, self.style = drawing, style
        self.width, self.height = 2 * HALF, HEIGHT

    def draw(self) -> None:
        """Draw the view along the axis at the left, the view from the wheel's side at the right."""
        for index, view in enumerate((_draw_end_on, _draw_along)):
            self.canv.saveState()
            self.canv.translate(index * HALF, 0)
            view(self.canv, self.drawing, self.style)
            self.canv.restoreState()


def _draw_end_on(canvas: Canvas, drawing: StylusDrawing, style: Style) -> None:
    """From the shank: the wheel's face upright at the right, the edge under it, the edge where the stylus bears."""
    canvas.translate(84, 74)
    held = drawing.relief_rad - drawing.lag_rad if drawing.agree else drawing.relief_rad + drawing.lag_rad
    face, tip = RADIUS * math.cos(drawing.relief_rad), _polar(-held)
    canvas.setLineWidth(THIN)
    canvas.rect(face, -50, 13, 102)
    _centre_lines(canvas)
    canvas.circle(0, 0, RADIUS)
    _tooth(canvas, -held, THIN)
    _tooth(canvas, -drawing.relief_rad, HEAVY)
    _stylus(canvas, tip)
    _height(canvas, tip, drawing, style)
    write(canvas, face + 17, 44, "wheel’s face", WORD)
    write(canvas, -80, 56, "From the shank", WORD, bold=True)


def _centre_lines(canvas: Canvas) -> None:
    canvas.saveState()
    canvas.setLineWidth(0.3)
    canvas.setDash([6, 1.5, 1, 1.5])
    canvas.line(-RADIUS - 12, 0, RADIUS + 62, 0)
    canvas.line(0, -RADIUS - 8, 0, RADIUS + 8)
    canvas.restoreState()


def _tooth(canvas: Canvas, edge: float, line: float) -> None:
    """One tooth with its face looking down and its edge at the angle `edge`."""
    canvas.saveState()
    canvas.setLineWidth(line)
    _trace(canvas, [_polar(edge + turn, share) for share, turn in TOOTH])
    canvas.restoreState()


def _stylus(canvas: Canvas, tip: Point) -> None:
    """The stylus under the edge, from its tip down to the foot of the picture."""
    x, y = tip
    _trace(canvas, [tip, (x - 6, y - 5), (x - 6, -66), (x, -66), tip])
    canvas.circle(x, y, 1.4, fill=1, stroke=0)
    write(canvas, x - 9 - width("stylus", WORD), -64, "stylus", WORD)


def _height(canvas: Canvas, tip: Point, drawing: StylusDrawing, style: Style) -> None:
    """The tip's height from the centre line, at the right of the wheel."""
    x, y = RADIUS + 44, tip[1]
    canvas.line(tip[0], y, x + 4, y)
    canvas.line(x, 0, x, y)
    for end, way in ((0.0, -1 if y < 0 else 1), (y, 1 if y < 0 else -1)):
        canvas.line(x, end, x - 1.6, end + way * 4 if abs(y) > 9 else end - way * 4)
        canvas.line(x, end, x + 1.6, end + way * 4 if abs(y) > 9 else end - way * 4)
    side = "above centre" if drawing.above else "below centre"
    low = min(0.0, y) - 10
    write(canvas, x - 22, low, f"h {text.length(drawing.height, style)}", WORD, bold=True)
    write(canvas, x - 22, low - 9, side, WORD)


def _draw_along(canvas: Canvas, drawing: StylusDrawing, style: Style) -> None:
    """From the wheel's side: shank at the left, end at the right; the edge, the wheel and the stylus."""
    canvas.translate(HALF * 0.62, 78)
    scale = RADIUS * 0.72 / drawing.radius_mm
    long = min(drawing.distance_mm * scale, MOST_LONG)
    low, high = -HALF * 0.62 + 8, HALF * 0.38 - 10
    half = drawing.radius_mm * scale
    for y in (half, -half):
        canvas.line(low, y, high, y)
    _edge(canvas, drawing, half, long, (low, high))
    _bodies(canvas, drawing, half, long)
    _distance(canvas, drawing, style, half, long, to_scale=long == drawing.distance_mm * scale)
    write(canvas, low, 50, "to the shank", WORD)
    write(canvas, high - width("to the end", WORD), 50, "to the end", WORD)


def _edge(canvas: Canvas, drawing: StylusDrawing, half: float, long: float, ends: tuple[float, float]) -> None:
    """The cutting edge: it turns by the lag between the wheel's corner at 0 and the stylus' corner at -long."""
    turn = drawing.lag_rad / long if long else 0.0
    points = []
    for step in range(121):
        x = ends[0] + (ends[1] - ends[0]) * step / 120
        angle = drawing.relief_rad + (1 if drawing.agree else -1) * x * turn
        if abs(angle) < math.pi / 2:
            points.append((x, -half * math.sin(angle)))
    canvas.saveState()
    canvas.setLineWidth(HEAVY)
    _trace(canvas, points)
    canvas.restoreState()


def _bodies(canvas: Canvas, drawing: StylusDrawing, half: float, long: float) -> None:
    """Wheel and stylus with the corners that the distance runs between: which ones, the hands decide."""
    wheel, stylus = (26.0, 14.0) if drawing.agree else (min(26.0, long * 0.4), min(14.0, long * 0.3))
    wheel_left = 0.0 if drawing.agree else -wheel
    stylus_left = -long - stylus if drawing.agree else -long
    held = drawing.relief_rad + (-drawing.lag_rad if drawing.agree else drawing.lag_rad)
    tip = -half * math.sin(held)
    canvas.setLineWidth(THIN)
    canvas.rect(wheel_left, -half - 2, wheel, 2 * half + 16)
    canvas.rect(stylus_left, -half - 12, stylus, max(4.0, tip + half + 12))
    write(canvas, wheel_left + wheel / 2 - width("wheel", WORD) / 2, half + 17, "wheel", WORD)
    write(canvas, stylus_left - width("stylus", WORD) - 3, -half - 11, "stylus", WORD)
    for x, y in ((0.0, -half * math.sin(drawing.relief_rad)), (-long, tip)):
        canvas.circle(x, y, 1.4, fill=1, stroke=0)


def _distance(
    canvas: Canvas, drawing: StylusDrawing, style: Style, half: float, long: float, *, to_scale: bool
) -> None:
    """The distance e between the two corners, under the tool."""
    y = -half - 22
    canvas.setLineWidth(THIN)
    for x in (0.0, -long):
        canvas.line(x, -half - 14, x, y - 3)
    canvas.line(-long, y, 0, y)
    for x, way in ((0.0, -1), (-long, 1)):
        for rise in (1.6, -1.6):
            canvas.line(x, y, x + way * 4, y + rise)
    write(canvas, 4, y - 2.5, f"e {text.length(drawing.distance, style)}", WORD, bold=True)
    if not to_scale:
        write(canvas, 4, y - 11.5, "e not to scale", WORD)


def _trace(canvas: Canvas, points: Sequence[Point]) -> None:
    if len(points) < 2:
        return
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    canvas.drawPath(path, stroke=1, fill=0)


def _polar(angle: float, share: float = 1.0) -> Point:
    return RADIUS * share * math.cos(angle), RADIUS * share * math.sin(angle)
