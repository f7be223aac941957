"""Pieces of SVG: attributes only (the page's policy takes no style), every text escaped."""

import math
from collections.abc import Sequence

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from regrind.geometry.units import Unit, parse, show_with_unit, to_nm

Point = tuple[float, float]


def wrap(width: float, height: float, title: str, parts: Sequence[SafeString], role: str = "img") -> SafeString:
    """A drawing with a title that is read aloud; it shrinks with its column. With links inside, its role is group."""
    size = [f"{n:.0f}" for n in (width, height)]
    return format_html(
        '<svg class="drawing" role="{}" aria-label="{}" viewBox="0 0 {} {}" width="{}" height="{}" '
        'xmlns="http://www.w3.org/2000/svg">{}</svg>',
        role,
        title,
        *size,
        *size,
        mark_safe("".join(parts)),  # noqa: S308
    )


def wrap_parts(parts: Sequence[SafeString]) -> SafeString:
    """Some pieces as one."""
    return mark_safe("".join(parts))  # noqa: S308


def line(a: Point, b: Point, look: str) -> SafeString:
    return format_html('<line x1="{}" y1="{}" x2="{}" y2="{}" class="{}"/>', *_f(a), *_f(b), look)


def circle(centre: Point, radius: float, look: str) -> SafeString:
    return format_html('<circle cx="{}" cy="{}" r="{}" class="{}"/>', *_f(centre), *_f([radius]), look)


def rect(corner: Point, size: Point, look: str, opacity: float | None = None) -> SafeString:
    faint = "" if opacity is None else format_html(' fill-opacity="{}"', *_f([opacity]))
    return format_html('<rect x="{}" y="{}" width="{}" height="{}" class="{}"{}/>', *_f(corner), *_f(size), look, faint)


def path(points: Sequence[Point], look: str, *, closed: bool = True, fill: str = "") -> SafeString:
    """A line through points; `fill` names the hatching that fills it."""
    steps = format_html_join(" L", "{} {}", [_f(p) for p in points])
    filled = format_html(' fill="url(#{})"', fill) if fill else ""
    return format_html('<path d="M{}{}" class="{}"{}/>', steps, "Z" if closed else "", look, filled)


def hatch(name: str) -> SafeString:
    """Hatching at 45 degrees, as draughtsmen draw it, to fill paths with by its name."""
    return format_html(
        '<defs><pattern id="{}" width="5" height="5" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><path d="M0 0 L0 5" class="hatching"/></pattern></defs>',
        name,
    )


def ring(centre: Point, outer: float, inner: float, look: str) -> SafeString:
    """The area between two circles."""
    (x, y), parts = centre, []
    for radius, turn in ((outer, 1), (inner, 0)):
        parts.append(
            f"M{x - radius:.2f} {y:.2f}A{radius:.2f} {radius:.2f} 0 1 {turn} {x + radius:.2f} {y:.2f}"
            f"A{radius:.2f} {radius:.2f} 0 1 {turn} {x - radius:.2f} {y:.2f}Z"
        )
    return format_html('<path d="{}" class="{}"/>', "".join(parts), look)


def text(place: Point, words: str, *, size: int = 14, anchor: str = "start", look: str = "") -> SafeString:
    return format_html(
        '<text x="{}" y="{}" font-size="{}" text-anchor="{}" class="{}">{}</text>',
        *_f(place),
        size,
        anchor,
        look,
        words,
    )


def around(centre: Point, radius: float, angle_rad: float) -> Point:
    """A point on a circle, the angle counted from the top, clockwise."""
    return centre[0] + radius * math.sin(angle_rad), centre[1] - radius * math.cos(angle_rad)


def in_unit(mm: float, unit: Unit) -> str:
    return show_with_unit(to_nm(mm), unit)


def mm_of(text_with_unit: str | None) -> float | None:
    """The millimetres of a stored case's length."""
    return None if text_with_unit is None else parse(text_with_unit).mm


def _f(numbers: Sequence[float]) -> tuple[str, ...]:
    """Figures as text: format_html escapes what it is given before it formats it."""
    return tuple(f"{x:.2f}" for x in numbers)
