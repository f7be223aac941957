"""The small drawing of a cross-section: as it came thin, as it will be heavy, what comes off hatched."""

import math
from collections.abc import Sequence

from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject
from reportlab.platypus import Flowable

from regrind.paper import text
from regrind.paper.type import width, write
from regrind.paper.values import Section, Style

SCALES = (0.1, 0.2, 0.25, 0.4, 0.5, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 15, 20, 25, 30, 40, 50, 100)
STRETCHES = (1, 2, 5, 10, 20, 50)
LEAST_SHOWN_PT = 2.6
MM = 72 / 25.4
CORE_SHARE = 0.6
THIN, HEAVY, HATCH = 0.45, 1.5, 0.4
CAPTION = 7.0

Point = tuple[float, float]


class Picture(Flowable):
    """A cross-section in a square of a given side, its figures and its scale in words below."""

    def __init__(self, section: Section, style: Style, side: float = 74) -> None:
        super().__init__()
        self.section, self.style, self.side = section, style, side
        self.width, self.height = side, side + 2 * CAPTION * 1.2 + 2

    def draw(self) -> None:
        """Draw the section and its two lines of words."""
        section, middle = self.section, self.side / 2
        scale = scale_for(section, self.side)
        before = section.diameter_before.nm / 2e6 * MM * scale
        after, stretch = stretched(section, before)
        self.canv.saveState()
        self.canv.translate(middle, self.height - middle)
        _draw(self.canv, section, before, after, stretch)
        self.canv.restoreState()
        size = f"⌀ {text.length(section.diameter_after, self.style)}"
        scale_words = scale_text(scale) + (f", removed × {stretch}" if stretch > 1 else "")
        for row, words in enumerate((size, scale_words), start=1):
            points = min(CAPTION, self.side / width(words, 1))
            x = middle - width(words, points) / 2
            write(self.canv, x, self.height - self.side - row * 8 + 1.5, words, points)


def scale_for(section: Section, side: float) -> float:
    """The largest usual scale at which the tool stands in the square with its centre lines."""
    largest = max(section.diameter_before.nm, section.diameter_after.nm) / 1e6 * MM
    return max((scale for scale in SCALES if largest * scale <= side * 0.9), default=SCALES[0])


def scale_text(scale: float) -> str:
    """A scale as draughtsmen write it: 5 : 1, 1 : 2."""
    return f"{scale:g} : 1" if scale >= 1 else f"1 : {1 / scale:g}"


def stretched(section: Section, before: float) -> tuple[float, int]:
    """The new radius on paper in points, and the factor by which the removed material is drawn too large to be visible.

    before: the old radius on paper, in points. The factor is one of STRETCHES, 1 where nothing is removed.
    """
    ratio = section.diameter_after.nm / max(section.diameter_before.nm, 1)
    removed = before * (1 - ratio)
    if removed <= 0:
        return before * ratio, 1
    for stretch in STRETCHES:
        if removed * stretch >= LEAST_SHOWN_PT or removed * stretch * 2.5 > before * 0.22:
            return before - removed * stretch, stretch
    return before - removed * STRETCHES[-1], STRETCHES[-1]


def _draw(canvas: Canvas, section: Section, before: float, after: float, stretch: int) -> None:
    """Without the core's circle where the removed is stretched: beside that it would seem nearer than it is."""
    core = _core(section, before, after)
    old = outline(section, before, core)
    _centre_lines(canvas, before * 1.1)
    _hatch(canvas, old, before, after)
    canvas.setLineWidth(THIN)
    canvas.circle(0, 0, before)
    _trace(canvas, old)
    canvas.saveState()
    canvas.clipPath(_path(canvas, old), stroke=0, fill=0)
    canvas.setLineWidth(HEAVY)
    canvas.circle(0, 0, after)
    canvas.restoreState()
    if stretch == 1:
        _dashed(canvas, core, (2.5, 1.5))
    if section.limit is not None:
        limit = before * section.limit.nm / section.diameter_before.nm
        if core < limit < after:
            _dashed(canvas, limit, (1.2, 1.2))


def _core(section: Section, before: float, after: float) -> float:
    if section.core is None or section.core.nm <= 0:
        return min(before * CORE_SHARE, after * 0.9)
    return min(before * section.core.nm / section.diameter_before.nm, after * 0.95)


def outline(section: Section, radius: float, core: float) -> list[list[Point]]:
    """The tool's outline on paper, tooth by tooth: land, heel, back of the flute, face (seen from the shank).

    Each tooth is the edge's point, the heel's and three Bezier control triples back down to the core and up
    the next face. Only its look is meant: no figure is taken from it.
    """
    pitch = 2 * math.pi / section.teeth
    top = math.pi / 2
    return [_tooth(top + pitch * index, pitch, radius, core, section) for index in range(section.teeth)]


def _tooth(edge: float, pitch: float, radius: float, core: float, section: Section) -> list[Point]:
    deep = radius - core
    drop = min(math.tan(math.radians(section.relief_deg)) * pitch * 0.16 * radius, deep * 0.35)
    following = edge + pitch
    hook = math.sin(math.radians(section.rake_deg)) * deep / radius
    valley = edge + pitch * 0.82
    return [
        _at(edge, radius),
        _at(edge + pitch * 0.16, radius - drop),
        _at(edge + pitch * 0.4, radius - deep * 0.42),
        _at(edge + pitch * 0.55, radius - deep * 0.7),
        _at(edge + pitch * 0.68, core),
        _at(valley, core),
        _at(following - pitch * 0.04, core),
        _at(following + hook * 0.9, core + deep * 0.45),
        _at(following, radius),
    ]


def _at(angle: float, radius: float) -> Point:
    return radius * math.cos(angle), radius * math.sin(angle)


def _path(canvas: Canvas, teeth: Sequence[Sequence[Point]]) -> PDFPathObject:
    path = canvas.beginPath()
    path.moveTo(*teeth[0][0])
    for tooth in teeth:
        path.lineTo(*tooth[1])
        path.lineTo(*tooth[2])
        path.curveTo(*tooth[3], *tooth[4], *tooth[5])
        path.curveTo(*tooth[6], *tooth[7], *tooth[8])
    path.close()
    return path


def _trace(canvas: Canvas, teeth: Sequence[Sequence[Point]]) -> None:
    canvas.setLineWidth(THIN * 1.6)
    canvas.drawPath(_path(canvas, teeth), stroke=1, fill=0)


def _hatch(canvas: Canvas, old: Sequence[Sequence[Point]], before: float, after: float) -> None:
    """Slanted lines over what comes off: inside the old outline, outside the new circle."""
    if before - after < 0.2:
        return
    canvas.saveState()
    canvas.clipPath(_path(canvas, old), stroke=0, fill=0)
    ring = canvas.beginPath()
    ring.circle(0, 0, before + 1)
    ring.circle(0, 0, after)
    canvas.clipPath(ring, stroke=0, fill=0, fillMode=0)
    canvas.setLineWidth(HATCH)
    steps = math.ceil(before * 1.5 / 1.3)
    lines = [(step * 1.3 - 2 * before, -before, step * 1.3, before) for step in range(2 * steps)]
    canvas.lines(lines)
    canvas.restoreState()


def _centre_lines(canvas: Canvas, reach: float) -> None:
    canvas.saveState()
    canvas.setLineWidth(0.3)
    canvas.setDash([6, 1.5, 1, 1.5])
    canvas.line(-reach, 0, reach, 0)
    canvas.line(0, -reach, 0, reach)
    canvas.restoreState()


def _dashed(canvas: Canvas, radius: float, dash: tuple[float, float]) -> None:
    canvas.saveState()
    canvas.setLineWidth(THIN)
    canvas.setDash(list(dash))
    canvas.circle(0, 0, radius)
    canvas.restoreState()
