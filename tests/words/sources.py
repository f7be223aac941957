"""Where readers meet words: templates, strings of the code, scripts of the pages, and documents."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
NOT_SHOWN = re.compile(r"\{#.*?#\}|\{% comment.*?endcomment %\}|\{%.*?%\}|\{\{.*?\}\}|<!--.*?-->", re.DOTALL)
GLOSSARY_ITSELF = {"docs/glossary.md"}


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def code_files() -> list[Path]:
    """Our Python but for migrations, which are written by Django."""
    roots = [ROOT / folder for folder in ("regrind", "scripts", "benchmarks")]
    paths = [path for root in roots for path in root.rglob("*.py") if "migrations" not in path.parts]
    return [ROOT / "start.py", *sorted(paths)]


def template_files() -> list[Path]:
    return sorted((ROOT / "templates").rglob("*.html"))


def document_files() -> list[Path]:
    paths = [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")]
    return [path for path in sorted(paths) if name_of(path) not in GLOSSARY_ITSELF]


def shown_texts() -> Iterator[tuple[str, str]]:
    """(where, text) of everything that a reader may meet."""
    for path in template_files():
        yield name_of(path), NOT_SHOWN.sub(blank, path.read_text(encoding="utf-8"))
    for path in document_files():
        yield name_of(path), path.read_text(encoding="utf-8")
    for path in (ROOT / "static" / "js").glob("*.js"):
        yield name_of(path), path.read_text(encoding="utf-8")
    for path in code_files():
        for line, text in strings_of(path):
            yield f"{name_of(path)}:{line}", text


def blank(match: re.Match[str]) -> str:
    """What is not shown, as many lines of nothing."""
    return "\n" * match.group().count("\n")


def strings_of(path: Path) -> Iterator[tuple[int, str]]:
    """(line, text) of the strings that are no docstring."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docstrings = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docstrings:
            yield node.lineno, node.value
