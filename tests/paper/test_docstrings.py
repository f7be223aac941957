"""Every public function and class of geometry and paper says what it is, and names units or shapes of its numbers."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2] / "regrind"
NUMBERS = {"int", "float"}
UNITS = (
    "nm", "mm", "µm", "micrometre", "inch", " in ", " in,", " in.", "points", "point", " pt", "dots", "degree", "°",
    "radian", "hundredths", "rev/min", "m/s", "percent", "minor unit", "minute", "count", "number of", "share", "ratio",
    "at least", "or more", "times", "pixel", "column", "row", "page", "piece", "scale", "places", "teeth",
)  # fmt: skip


def public(room):
    """(name, node) of each public module-level function and class of a room, and of the classes' public methods."""
    for path in sorted((ROOT / room).rglob("*.py")):
        for node in ast.parse(path.read_text("utf-8")).body:
            if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
                yield f"{path.relative_to(ROOT)}:{node.name}", node
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                for method in node.body:
                    if isinstance(method, ast.FunctionDef) and not method.name.startswith("_"):
                        yield f"{path.relative_to(ROOT)}:{node.name}.{method.name}", method


def takes_or_gives_numbers(node):
    if not isinstance(node, ast.FunctionDef):
        return False
    notes = [arg.annotation for arg in (*node.args.args, *node.args.kwonlyargs)] + [node.returns]
    return any(isinstance(part, ast.Name) and part.id in NUMBERS for note in notes if note for part in ast.walk(note))


@pytest.mark.parametrize("room", ["geometry", "paper"])
def test_every_public_name_has_a_docstring(room):
    bare = [name for name, node in public(room) if not ast.get_docstring(node)]
    assert not bare


def test_every_public_function_of_paper_names_the_units_of_its_numbers():
    silent = [
        name
        for name, node in public("paper")
        if takes_or_gives_numbers(node) and not any(unit in (ast.get_docstring(node) or "") for unit in UNITS)
    ]
    assert not silent
