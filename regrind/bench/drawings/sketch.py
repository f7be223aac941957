"""A sketch of a tool's shape on the page: as received thin, as it will be heavy, what comes off hatched."""

from collections.abc import Mapping, Sequence

from django.utils.safestring import SafeString

from regrind.paper.values import Sketch
from regrind.shop.web import svg

WIDTH, HEIGHT, PAD, ROW = 360, 260, 24, 22
LETTERS = 40  # of the note in one row


def draw_sketches(sketches: Mapping[str, Sketch]) -> list[SafeString]:
    """Each sketch, by the part that is ground, in their order."""
    return [draw_sketch(sketch, f"off-{part}") for part, sketch in sketches.items()]


def draw_sketch(sketch: Sketch, name: str) -> SafeString:
    """The sketch at the largest scale that fits; name: of its hatching, other than that of any other drawing."""
    shown = [*sketch.body, *sketch.before, *sketch.after]
    x_low, x_high = (end(x for x, _ in shown) for end in (min, max))
    low, high = (end(y for _, y in shown) for end in (min, max))
    scale = min((WIDTH - 2 * PAD) / (x_high - x_low), (HEIGHT - 2 * PAD) / (high - low))
    middle = (WIDTH - (x_low + x_high) * scale) / 2

    foot = min(HEIGHT, (high - low) * scale + 2 * PAD)

    def place(points: Sequence[svg.Point]) -> list[svg.Point]:
        return [(middle + x * scale, PAD + (high - y) * scale) for x, y in points]

    parts = [svg.hatch(name), svg.path(place(sketch.body), "body")]
    parts += [svg.path(place(path), "hatch", fill=name) for path in sketch.off]
    parts += [svg.path(place(path), "gone") for path in sketch.worn]
    parts += [svg.path(place(sketch.before), "was", closed=False), svg.path(place(sketch.after), "will", closed=False)]
    parts += [svg.path(place(path), "centre", closed=False) for path in sketch.centre]
    words, rows = _words(sketch, foot)
    title = f"{sketch.title}: {sketch.was} before, {sketch.will} after"
    return svg.wrap(WIDTH, foot + 12 + ROW * rows, title, [*parts, *words])


def _words(sketch: Sketch, foot: float) -> tuple[list[SafeString], int]:
    """What each line is beside a piece of it, then the note; and how many rows they take."""
    parts: list[SafeString] = []
    for n, (look, words) in enumerate((("was", f"{sketch.was} as received"), ("will", f"{sketch.will} after"))):
        y = foot + 18 + ROW * n
        parts += [svg.line((PAD, y - 5), (PAD + 36, y - 5), look), svg.text((PAD + 48, y), words, size=16)]
    rows = wrap_words(sketch.note, LETTERS)
    parts += [svg.text((PAD, foot + 18 + ROW * n), row, size=16, look="note") for n, row in enumerate(rows, 2)]
    return parts, 2 + len(rows)


def wrap_words(words: str, letters: int) -> list[str]:
    """Words in rows of so many letters at most; a longer word has a row of its own."""
    rows: list[str] = []
    for word in words.split(" "):
        if rows and len(rows[-1]) + 1 + len(word) <= letters:
            rows[-1] += f" {word}"
        else:
            rows.append(word)
    return rows
