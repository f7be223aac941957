"""How often each thing was: a bar for each, its words above it and its number at the end."""

from collections.abc import Sequence

from django.utils.html import format_html
from django.utils.safestring import SafeString

from regrind.shop.web import svg

from .frame import LABEL, RIGHT, WIDTH, Chart

ROW, BAR, MOST, NARROWEST = 46, 14, 8, 3
LETTERS = 52


def draw_bars(
    title: str,
    counts: Sequence[tuple[str, int]],
    total: int,
    *,
    noun: str,
    empty: str,
    links: dict[str, str] | None = None,
) -> Chart:
    """Bars of (words, n), most first; beyond MOST the rest share one bar. total: the pieces that all shares are of."""
    ordered = sorted(counts, key=lambda count: (-count[1], count[0]))
    shown = ordered[:MOST]
    if rest := sum(n for _, n in ordered[MOST:]):
        shown.append((f"{len(ordered) - MOST} others", rest))
    rows = tuple((words, str(n), f"{100 * n / total:.0f}\u202f%" if total else "–") for words, n in ordered)
    addresses = tuple((links or {}).get(words, "") for words, _ in ordered)
    if not ordered:
        return Chart(title, None, empty=empty)
    most = max(n for _, n in shown)
    parts = [part for row, (words, n) in enumerate(shown) for part in _bar(row, words, n, most, links or {})]
    picture = svg.wrap(WIDTH, ROW * len(shown) + 4, title, parts, role="group" if links else "img")
    return Chart(title, picture, (noun, "pieces", "share"), rows, links=addresses)


def _bar(row: int, words: str, n: int, most: int, links: dict[str, str]) -> list[SafeString]:
    y, wide = ROW * row + 18, max(NARROWEST, (WIDTH - RIGHT - 56) * n / most)
    label = svg.text((0, y), words if len(words) <= LETTERS else words[: LETTERS - 1] + "…", size=LABEL)
    if words in links:
        label = format_html(
            '<a href="{}"><rect x="0" y="{}" width="{}" height="{}" class="tap-area"/>{}</a>',
            links[words],
            f"{y - 18:.0f}",
            WIDTH,
            ROW,
            label,
        )
    return [svg.rect((0, y + 6), (wide, BAR), "bar"), svg.text((wide + 8, y + 6 + BAR - 2), str(n), size=LABEL), label]
