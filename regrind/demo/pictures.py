"""Invented pictures for the demo: a worn edge as a bench camera sees it, drawn and blurred."""

import math
import random
from io import BytesIO

from PIL import Image, ImageChops, ImageDraw, ImageFilter

WIDE, HIGH = 1200, 800
AXIS, RADIUS, END = 400, 250, 980  # of the tool in the picture, in pixels


def worn_edge(chance: random.Random) -> bytes:
    """A fluted end with a chip in one edge, a JPEG."""
    picture = Image.new("RGB", (WIDE, HIGH), (196, 190, 178))
    pen = ImageDraw.Draw(picture)
    _body(pen)
    for position in range(-400, 1000, 300):
        _flute(pen, position + chance.randint(-30, 30))
    _chip(pen, chance)
    noise = Image.effect_noise((WIDE, HIGH), 26).convert("RGB")
    picture = ImageChops.overlay(picture.filter(ImageFilter.GaussianBlur(2.2)), noise)
    out = BytesIO()
    picture.save(out, "JPEG", quality=85)
    return out.getvalue()


def _body(pen: ImageDraw.ImageDraw) -> None:
    """A round bar, lit from above."""
    for y in range(AXIS - RADIUS, AXIS + RADIUS):
        lit = 60 + 150 * max(0.0, math.cos((y - AXIS + 90) / RADIUS * 1.35))
        pen.line((0, y, END, y), fill=(int(lit), int(lit * 0.98), int(lit * 0.95)))


def _flute(pen: ImageDraw.ImageDraw, position: int) -> None:
    """A dark flute across the bar at the helix, with the bright land along its edge."""
    top, bottom, lean = AXIS - RADIUS, AXIS + RADIUS, 270
    corners = [(position, bottom), (position + lean, top), (position + lean + 120, top), (position + 120, bottom)]
    pen.polygon([(min(x, END), y) for x, y in corners], fill=(52, 50, 48))
    pen.line([(min(x, END), y) for x, y in corners[2:]], fill=(232, 230, 222), width=9)


def _chip(pen: ImageDraw.ImageDraw, chance: random.Random) -> None:
    """A ragged bite at the end of an edge."""
    across, down, deep = END - 20, AXIS + chance.randint(-120, 120), chance.randint(60, 130)
    rim = [
        (
            across + 30 - deep * math.cos(a) * chance.uniform(0.7, 1.2),
            down + deep * math.sin(a) * chance.uniform(0.7, 1.1),
        )
        for a in (n * math.pi / 9 - math.pi / 2 for n in range(10))
    ]
    pen.polygon([*rim, (END + 10, down)], fill=(30, 28, 28))
    pen.line(rim, fill=(214, 210, 202), width=5)
