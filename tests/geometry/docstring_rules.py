"""What a public docstring of the geometry must say: units, ranges, errors and source; checked from the code itself."""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOM = Path(__file__).resolve().parents[2] / "regrind" / "geometry"
UNIT_ENDS = ("_mm", "_nm", "_rad", "_deg", "_m_s", "_rpm", "rpm", "_um")
UNIT = re.compile(r"\b(mm|nm|millimetres?|nanometres?|rad|radians?|degrees?|m/s|rpm|um|µm)\b")
RANGE = re.compile(
    r"\b(above|below|at (?:least|most)|from|between|within|or more|up to|any|finite|ranges?|inside|smaller|but)\b"
)


@dataclass(frozen=True)
class Public:
    """One public function, with the module that it stands in."""

    module: str
    node: ast.FunctionDef

    @property
    def name(self) -> str:
        return f"{self.module}.{self.node.name}"

    @property
    def doc(self) -> str:
        return ast.get_docstring(self.node) or ""

    @property
    def prose(self) -> str:
        """The docstring without its examples."""
        return self.doc.split(">>>")[0]


def list_modules() -> Iterator[tuple[str, ast.Module]]:
    for path in sorted(ROOM.rglob("*.py")):
        yield path.relative_to(ROOM).with_suffix("").as_posix().replace("/", "."), ast.parse(path.read_text())


def list_public() -> list[Public]:
    return [
        Public(module, node)
        for module, tree in list_modules()
        for node in tree.body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
    ]


def list_classes() -> list[tuple[str, ast.ClassDef]]:
    return [
        (f"{module}.{node.name}", node)
        for module, tree in list_modules()
        for node in tree.body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    ]


def find_bare_numbers(function: ast.FunctionDef) -> list[str]:
    """Number parameters whose names say no unit: the docstring has to say it."""
    arguments = [*function.args.args, *function.args.kwonlyargs]
    numbers = [a.arg for a in arguments if a.annotation and ast.unparse(a.annotation).split(" ")[0] in ("float", "int")]
    return [name for name in numbers if not name.endswith(UNIT_ENDS)]


def returns_length(function: ast.FunctionDef) -> bool:
    """Whether a bare float comes back, whose unit nobody can see but from the docstring or the name."""
    return bool(function.returns) and ast.unparse(function.returns) in ("float", "float | None")


def refuses(function: ast.FunctionDef) -> bool:
    """Whether the function itself raises, or checks a range."""
    for node in ast.walk(function):
        if isinstance(node, ast.Raise):
            return True
        if isinstance(node, ast.Call) and getattr(node.func, "id", "").startswith("require_"):
            return True
    return False
