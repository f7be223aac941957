"""A drawing of a screen, on paper: the lines, rectangles, circles, paths, words and hatching that our drawings use.

What a class looks like is here as ink and grey; on the screens it is in the style sheets.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree import ElementTree as ET  # reads our own drawings alone

from reportlab.lib.colors import Color, HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject
from reportlab.platypus import Flowable

from regrind.paper.type import width, write

INK, GREY, FAINT, PAPER = HexColor(0x000000), HexColor(0x5A5A5A), HexColor(0x8A8A8A), HexColor(0xFFFFFF)
HATCH_STEP = 5.0  # between the strokes of a hatching, in the drawing's own units
NUMBER = re.compile(r"-?\d+\.?\d*")

Point = tuple[float, float]


@dataclass(frozen=True)
class Look:
    """How a class is drawn: the stroke's width, colour and dashes, the colour that fills it; in the drawing's units."""

    stroke: float = 0
    colour: Color = INK
    dashes: tuple[float, ...] = ()
    fill: Color | None = None
    alpha: float = 1.0


LOOKS = {
    "was": Look(1.5),
    "will": Look(2.5),
    "body": Look(fill=HexColor(0xF4F4F4)),
    "gone": Look(fill=INK, alpha=0.38),
    "damage": Look(fill=INK),
    "hatch": Look(1),
    "limit": Look(1.5, dashes=(6, 4)),
    "centre": Look(1, FAINT, (14, 3, 3, 3)),
    "swept": Look(1, GREY, (2, 3)),
    "swept-after": Look(1, INK, (8, 3)),
    "dim": Look(1, GREY),
    "spot": Look(2.5),
}


class SvgDrawing(Flowable):
    """One drawing, as wide as it is told, its height to scale, and no higher than `tallest`; points."""

    def __init__(self, svg: str, widest: float, tallest: float = 240) -> None:
        super().__init__()
        self.root = ET.fromstring(svg)  # noqa: S314  (our own)
        _, _, across, down = (float(n) for n in self.root.attrib["viewBox"].split())
        self.scale = min(widest / across, tallest / down)
        self.width, self.height = across * self.scale, down * self.scale

    def draw(self) -> None:
        """Draw its parts in their order; the drawing's y runs down, the paper's up."""
        self.canv.saveState()
        self.canv.translate(0, self.height)
        self.canv.scale(self.scale, -self.scale)
        for part in self.root:
            _draw_part(self.canv, part)
        self.canv.restoreState()


def _draw_part(canvas: Canvas, part: ET.Element) -> None:
    name = part.tag.rpartition("}")[2]
    if name == "defs":  # the hatching, drawn here by `_hatch`
        return
    if name == "text":
        _write(canvas, part)
        return
    look = LOOKS.get(part.get("class", ""), Look(1))
    canvas.saveState()
    shape = _shape(canvas, name, part)
    if part.get("fill"):
        _hatch(canvas, shape, _points(part))
    _paint(canvas, shape, look, float(part.get("fill-opacity", look.alpha)))
    canvas.restoreState()


def _paint(canvas: Canvas, shape: PDFPathObject, look: Look, alpha: float) -> None:
    if look.stroke:
        canvas.setStrokeColor(look.colour)
        canvas.setLineWidth(look.stroke)
        canvas.setDash(list(look.dashes))
    if look.fill:
        canvas.setFillColor(look.fill)
        canvas.setFillAlpha(alpha)
    canvas.drawPath(shape, stroke=bool(look.stroke), fill=look.fill is not None)


def _shape(canvas: Canvas, name: str, part: ET.Element) -> PDFPathObject:
    """The outline of a part. ValueError for a kind of part that no drawing of ours has."""
    shape = canvas.beginPath()
    if name == "rect":
        shape.rect(*_numbers(part, "x", "y", "width", "height"))
    elif name == "circle":
        shape.circle(*_numbers(part, "cx", "cy", "r"))
    elif name in ("line", "path"):
        first, *rest = _points(part)
        shape.moveTo(*first)
        for point in rest:
            shape.lineTo(*point)
        if part.get("d", "").endswith("Z"):
            shape.close()
    else:
        raise ValueError(f"{name!r} is no part of a drawing")
    return shape


def _numbers(part: ET.Element, *names: str) -> list[float]:
    return [float(part.attrib[name]) for name in names]


def _points(part: ET.Element) -> list[Point]:
    """The ends of a line, or the points of a path that turns nowhere."""
    if "d" not in part.attrib:
        x1, y1, x2, y2 = _numbers(part, "x1", "y1", "x2", "y2")
        return [(x1, y1), (x2, y2)]
    if "A" in part.attrib["d"]:
        raise ValueError("no drawing on paper has an arc")
    numbers = [float(text) for text in NUMBER.findall(part.attrib["d"])]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def _hatch(canvas: Canvas, shape: PDFPathObject, points: Sequence[Point]) -> None:
    """Strokes at 45 degrees inside a shape."""
    canvas.saveState()
    canvas.clipPath(shape, stroke=0, fill=0)
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(0.8)
    across, down = [x for x, _ in points], [y for _, y in points]
    top, bottom = min(down), max(down)
    foot = min(across) - (bottom - top)
    while foot < max(across):
        canvas.line(foot, bottom, foot + bottom - top, top)
        foot += HATCH_STEP * 2**0.5
    canvas.restoreState()


def _write(canvas: Canvas, part: ET.Element) -> None:
    """Words, the right way up again."""
    words, size = part.text or "", float(part.get("font-size", 14))
    [x, y] = _numbers(part, "x", "y")
    x -= {"middle": width(words, size) / 2, "end": width(words, size)}.get(part.get("text-anchor", ""), 0)
    canvas.saveState()
    canvas.translate(x, y)
    canvas.scale(1, -1)
    if part.get("class") == "halo":
        canvas.setFillColor(PAPER)
        canvas.rect(-1, -size * 0.25, width(words, size) + 2, size * 1.1, stroke=0, fill=1)
    canvas.setFillColor(GREY if part.get("class") == "note" else INK)
    write(canvas, 0, 0, words, size)
    canvas.restoreState()
