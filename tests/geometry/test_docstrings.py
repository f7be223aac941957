"""Every public function and class of the geometry says its units, ranges, errors and source."""

import ast
import re
from collections.abc import Callable
from functools import cache

from tests.geometry.docstring_rules import (
    RANGE,
    UNIT,
    UNIT_ENDS,
    Public,
    find_bare_numbers,
    list_classes,
    list_public,
    refuses,
    returns_length,
)


@cache
def functions() -> list[Public]:
    return list_public()


@cache
def classes() -> list[tuple[str, ast.ClassDef]]:
    return list_classes()


def breaking(rule: Callable[[Public], bool]) -> list[str]:
    """The public functions that break it; each rule reads some hundreds, so one test a rule."""
    return [function.name for function in functions() if not rule(function)]


def test_the_room_is_read():
    assert len(functions()) > 200
    assert len(classes()) > 50


def test_a_function_names_its_source():
    assert breaking(lambda function: bool(re.search(r"Source: \S+", function.prose))) == []


def test_a_number_without_a_unit_in_its_name_is_explained():
    bare = {
        function.name: [name for name in find_bare_numbers(function.node) if name not in function.prose]
        for function in functions()
    }
    assert {name: numbers for name, numbers in bare.items() if numbers} == {}


def test_a_bare_number_that_comes_back_has_its_unit_named():
    assert breaking(lambda function: not returns_length(function.node) or bool(UNIT.search(function.prose))) == []


def says_what_and_the_range(function: Public) -> bool:
    return bool(re.search(r"Raises|refused", function.prose, re.IGNORECASE) and RANGE.search(function.prose))


def test_a_function_that_refuses_says_what_and_the_range():
    assert breaking(lambda function: not refuses(function.node) or says_what_and_the_range(function)) == []


def unexplained(node: ast.ClassDef) -> list[str]:
    """The numbers of a class that neither their name nor its docstring explains."""
    text = ast.get_docstring(node) or ""
    fields = [item for item in node.body if isinstance(item, ast.AnnAssign) and isinstance(item.target, ast.Name)]
    numbers = [field.target.id for field in fields if ast.unparse(field.annotation).split(" ")[0] in ("float", "int")]
    return [name for name in numbers if not name.endswith(UNIT_ENDS) and name not in text]


def test_a_class_explains_its_numbers():
    assert [name for name, node in classes() if not ast.get_docstring(node)] == []
    assert {name: numbers for name, node in classes() if (numbers := unexplained(node))} == {}
