"""Draw the rooms and who imports whom from the code itself: python -m scripts.draw_rooms writes docs/rooms.svg.

A room is a folder of regrind/. A line goes down from a room to each that its modules import, thicker the more modules
do so. Where a room is reached by way of another as well, the direct line is left out.
"""

from __future__ import annotations

import ast
import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from xml.sax.saxutils import escape

ROOT = Path(__file__).resolve().parent.parent
WIDTH, STEP, BOX_WIDTH, BOX_HEIGHT = 540, 64, 150, 34
STYLE = "font-family='sans-serif' font-size='13'"


def read_rooms() -> list[str]:
    """The rooms from the top down, in the order in which import-linter holds them."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    layers = next(
        contract["layers"] for contract in settings["tool"]["importlinter"]["contracts"] if contract["type"] == "layers"
    )
    rooms = [name.strip().removeprefix("regrind.") for layer in layers for name in layer.split("|")]
    return [room for room in rooms if (ROOT / "regrind" / room).is_dir()]


def imports_of(path: Path) -> Iterator[str]:
    """The rooms that a module imports by their whole name."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = (
            [node.module or ""]
            if isinstance(node, ast.ImportFrom) and not node.level
            else ([alias.name for alias in node.names] if isinstance(node, ast.Import) else [])
        )
        yield from (name.split(".")[1] for name in names if name.startswith("regrind."))


def count_imports(rooms: list[str]) -> Counter[tuple[str, str]]:
    """(room, room that it imports) -> how many modules of the first do so; migrations left out."""
    counted: Counter[tuple[str, str]] = Counter()
    for room in rooms:
        for path in sorted((ROOT / "regrind" / room).rglob("*.py")):
            if "migrations" not in path.parts:
                counted.update({(room, other) for other in imports_of(path) if other in rooms and other != room})
    return counted


def drop_detours(counted: Mapping[tuple[str, str], int]) -> dict[tuple[str, str], int]:
    """The imports without those that a longer way leads along too. Rooms in a circle would all be left out."""
    reached = set(counted)
    while more := {(a, d) for a, b in reached for c, d in reached if b == c} - reached:
        reached |= more
    rooms = {room for pair in reached for room in pair}
    return {
        (a, b): n
        for (a, b), n in counted.items()
        if not any((a, between) in reached and (between, b) in reached for between in rooms)
    }


def find_heights(rooms: list[str], lines: Iterable[tuple[str, str]]) -> dict[str, int]:
    """How many rooms the longest way down from each leads through."""
    heights = dict.fromkeys(rooms, 0)
    for room in reversed(rooms):  # from the lowest: whatever a room imports has its height by then
        heights[room] = max((heights[b] + 1 for a, b in lines if a == room), default=0)
    return heights


def place(heights: dict[str, int]) -> dict[str, tuple[float, float]]:
    """The middle of each room's box: a row for each height, its rooms side by side."""
    places, highest = {}, max(heights.values())
    for height in range(highest + 1):
        row = [room for room in heights if heights[room] == height]
        for n, room in enumerate(row):
            places[room] = (WIDTH / 2 + 175 * (n - (len(row) - 1) / 2), STEP * (highest - height + 0.6))
    return places


def draw_line(a: tuple[float, float], b: tuple[float, float], modules: int) -> str:
    top, bottom = a[1] + BOX_HEIGHT / 2, b[1] - BOX_HEIGHT / 2
    bend = (bottom - top) / 2
    return (
        f"<path d='M{a[0]:g} {top:g} C{a[0]:g} {top + bend:g} {b[0]:g} {bottom - bend:g} {b[0]:g} {bottom:g}' "
        f"fill='none' stroke='#667' stroke-opacity='.55' stroke-width='{1 + modules**0.5 / 2:.1f}'/>"
    )


def draw_box(room: str, x: float, y: float) -> str:
    modules = sum(
        path.name != "__init__.py" and "migrations" not in path.parts
        for path in (ROOT / "regrind" / room).rglob("*.py")
    )
    return (
        f"<rect x='{x - BOX_WIDTH / 2:g}' y='{y - BOX_HEIGHT / 2:g}' width='{BOX_WIDTH}' height='{BOX_HEIGHT}' "
        f"rx='4' fill='#fff' stroke='#223'/><text x='{x:g}' y='{y + 5:g}' text-anchor='middle'>"
        f"{escape(room)} ({modules})</text>"
    )


def draw() -> str:
    """The picture as SVG; the number in a box counts its modules."""
    rooms = read_rooms()
    counted = drop_detours(count_imports(rooms))
    heights = find_heights(rooms, counted)
    places = place(heights)
    lines = [draw_line(places[a], places[b], modules) for (a, b), modules in sorted(counted.items())]
    boxes = [draw_box(room, *where) for room, where in places.items()]
    height = STEP * (max(heights.values()) + 1) + 8
    head = (
        f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {WIDTH} {height}' {STYLE}>"
        "<title>The rooms: each imports only rooms below it</title><rect width='100%' height='100%' fill='#fff'/>"
    )
    return "\n".join([head, *lines, *boxes, "</svg>"]) + "\n"


if __name__ == "__main__":
    (ROOT / "docs" / "rooms.svg").write_text(draw(), encoding="utf-8")
