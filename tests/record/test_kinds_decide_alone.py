"""No kind of tool is named where something is decided: outside its own modules only its data and interface speak."""

import ast
from pathlib import Path

import pytest

from regrind.record.kinds import KINDS

ROOT = Path(__file__).resolve().parents[2]
# Where kinds are named by right: their data, their modules, the words of the counter, the invented shop, migrations.
OWN = (
    "regrind/record/kinds.py",
    "regrind/bench/kinds/",
    "regrind/geometry/",
    "regrind/receiving/line_parser/words.py",
    "regrind/demo/",
    "/migrations/",
)
PLAIN = {"other", "form", "square", "radius", "ball", "chamfer"}  # words of other things too, as of corners
NOT_A_KIND = {("regrind/shop/fields/unit_choices.py", "drill")}  # the unit of a drill's number or letter
MODULES = {path.stem for path in (ROOT / "regrind/bench/kinds").glob("*.py")} & {
    *KINDS,
    *("cutter", "countersink", "cutter_card"),
}


def list_sources() -> list[tuple[str, ast.Module]]:
    paths = sorted((ROOT / "regrind").rglob("*.py"))
    names = [(str(path.relative_to(ROOT)), path) for path in paths]
    return [(name, ast.parse(path.read_text("utf-8"))) for name, path in names if not any(own in name for own in OWN)]


def find_names(name: str, tree: ast.Module) -> list[str]:
    """Texts that are a kind's code, and comparisons of a kind with one that is another word too."""
    named = [
        f"{name}:{node.lineno} names {node.value}"
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and node.value in KINDS.keys() - PLAIN
        and (name, node.value) not in NOT_A_KIND
    ]
    compared = [
        f"{name}:{node.lineno} compares {ast.unparse(node)}"
        for node in ast.walk(tree)
        if isinstance(node, ast.Compare) and _asks_the_kind(node)
    ]
    return named + compared


def _asks_the_kind(node: ast.Compare) -> bool:
    attributes = {part.attr for part in ast.walk(node) if isinstance(part, ast.Attribute)}
    values = {part.value for part in ast.walk(node) if isinstance(part, ast.Constant) and isinstance(part.value, str)}
    return bool(attributes & {"kind", "code"} and values & PLAIN)


def find_imports(name: str, tree: ast.Module) -> list[str]:
    """Imports of a single kind's module."""
    return [
        f"{name}:{node.lineno} imports {node.module}"
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module and _is_of_one_kind(node.module)
    ]


def _is_of_one_kind(module: str) -> bool:
    *_, package, last = ["", *module.split(".")]
    return package == "kinds" and last in MODULES


def test_no_module_outside_a_kinds_own_decides_by_its_name():
    assert not [found for name, tree in list_sources() for found in find_names(name, tree)]


def test_no_module_outside_imports_a_single_kinds_module():
    assert {"drill", "reamer", "saw", "tap", "cutter"} <= MODULES
    assert not [found for name, tree in list_sources() for found in find_imports(name, tree)]


@pytest.mark.parametrize(
    "code",
    [
        'if family.kind == "ball": pass',
        'chosen = kind.code in ("radius", "x")',
        'DEEP = ("drill", "stepdrill")',
        "from ..kinds.drill import POINT",
        'SLOW = {"saw": 1}',
    ],
)
def test_each_way_of_deciding_by_a_name_is_seen(code):
    tree = ast.parse(code)
    assert find_names("x.py", tree) or find_imports("x.py", tree)


def test_what_only_looks_like_a_kind_is_let_be():
    tree = ast.parse('if option.corner_form == "ball" and kind.corner == "radius": pass')
    assert not find_names("x.py", tree) + find_imports("x.py", tree)
