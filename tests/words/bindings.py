"""Where a Python file binds a name: assignments, arguments, loops, imports, functions, classes and their fields."""

import ast
from collections.abc import Iterator
from pathlib import Path


def find_bindings(path: Path) -> Iterator[tuple[int, str]]:
    """(line, name) for each place of the file that gives a name to something."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        for name in bound_by(node):
            yield node.lineno, name


def bound_by(node: ast.AST) -> list[str]:
    match node:
        case ast.Name(id=name, ctx=ast.Store()) | ast.arg(arg=name) | ast.Attribute(attr=name, ctx=ast.Store()):
            return [name]
        case ast.FunctionDef(name=name) | ast.AsyncFunctionDef(name=name) | ast.ClassDef(name=name):
            return [name]
        case ast.ExceptHandler(name=str(name)) | ast.MatchAs(name=str(name)) | ast.MatchStar(name=str(name)):
            return [name]
        case ast.alias(name=name, asname=other):
            return [other or name.split(".")[0]]
    return []
