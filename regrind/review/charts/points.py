"""A figure for each of a few groups side by side, with how sure it is and how many cases it rests on."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from django.utils.html import format_html
from django.utils.safestring import SafeString

from regrind.shop.web import svg

from .frame import BOTTOM, HEIGHT, LABEL, LEFT, RIGHT, TOP, WIDTH, Axis, axis

CAP = 6


@dataclass(frozen=True)
class Point:
    """One group: its words (two short lines at most), figure, interval where there is one, cases, and its pieces."""

    words: str
    value: float
    n: int
    low: float | None = None
    high: float | None = None
    link: str = ""


def draw_points(
    title: str,
    points: Sequence[Point],
    *,
    say: Callable[[float], str],
    across: str,
    levels: Sequence[tuple[float, str]] = (),
    top: float | None = None,
) -> SafeString:
    """Dots with whiskers from left to right; `levels` are dashed lines with their words at the end.

    say: a figure in words, for the marks on the left. across: what the groups are. top: the highest figure there can
    be (1 for a share).
    """
    heights = [value for p in points for value in (p.value, p.low, p.high) if value is not None]
    up = axis(
        [*heights, *(level for level, _ in levels), *([top] if top is not None else [])],
        HEIGHT - BOTTOM,
        TOP,
        most=4,
        from_zero=True,
    )
    lines, words = _levels(levels, up)
    parts = [*_frame(up, say, across), *lines]
    step = (WIDTH - RIGHT - LEFT) / len(points)
    for k, point in enumerate(points):
        parts += _point(point, LEFT + step * (k + 0.5), step, up)
    parts += words
    linked = any(point.link for point in points)
    return svg.wrap(WIDTH, HEIGHT, title, parts, role="group" if linked else "img")


def _frame(up: Axis, say: Callable[[float], str], across: str) -> list[SafeString]:
    floor = HEIGHT - BOTTOM
    parts = [
        svg.line((LEFT, floor), (WIDTH - RIGHT, floor), "axis"),
        svg.line((LEFT, TOP), (LEFT, floor), "axis"),
        svg.text((WIDTH - RIGHT, HEIGHT - 2), across, size=LABEL, anchor="end", look="note"),
    ]
    for mark in up.marks:
        y = up.place(mark)
        parts += [
            svg.line((LEFT, y), (WIDTH - RIGHT, y), "grid"),
            svg.text((LEFT - 8, y + 5), say(mark), size=LABEL, anchor="end", look="note"),
        ]
    return parts


def _levels(levels: Sequence[tuple[float, str]], up: Axis) -> tuple[list[SafeString], list[SafeString]]:
    """Dashed lines, and their words, which stand over what is drawn."""
    lines = [svg.line((LEFT, up.place(value)), (WIDTH - RIGHT, up.place(value)), "limit") for value, _ in levels]
    return lines, [
        svg.text((WIDTH - RIGHT, up.place(value) - 6), words, size=LABEL, anchor="end", look="note halo")
        for value, words in levels
    ]


def _point(point: Point, x: float, step: float, up: Axis) -> list[SafeString]:
    y, floor, parts = up.place(point.value), HEIGHT - BOTTOM, []
    if point.low is not None and point.high is not None:
        low, high = up.place(point.low), up.place(point.high)
        parts += [
            svg.line((x, low), (x, high), "whisker"),
            svg.line((x - CAP, low), (x + CAP, low), "whisker"),
            svg.line((x - CAP, high), (x + CAP, high), "whisker"),
        ]
    dot = svg.circle((x, y), 6, "dye")
    if point.link:
        dot = format_html(
            '<a href="{}" aria-label="{}">{}{}</a>',
            point.link,
            f"{point.words}: {point.n} pieces",
            svg.rect((x - step / 2, TOP), (step, floor - TOP), "tap-area"),
            dot,
        )
    lines = [point.words] if len(point.words) * 8 < step else point.words.replace("–", "\n– ").split("\n")
    small = LABEL - 1 if len(lines) == 1 else LABEL - 2
    words = [svg.text((x, floor + 16 + 14 * k), line, size=small, anchor="middle") for k, line in enumerate(lines)]
    return [
        *parts,
        dot,
        *words,
        svg.text((x, floor + 16 + 14 * len(lines)), f"n {point.n}", size=small, anchor="middle", look="note"),
    ]
