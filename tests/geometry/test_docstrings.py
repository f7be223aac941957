"""Every public function and class of the geometry says its units, ranges, errors and source."""

import ast
import re

import pytest

from tests.geometry.docstring_rules import (
    RANGE,
    UNIT,
    UNIT_ENDS,
    find_bare_numbers,
    list_classes,
    list_public,
    refuses,
    returns_length,
)

FUNCTIONS = [pytest.param(function, id=function.name) for function in list_public()]
CLASSES = [pytest.param(node, id=name) for name, node in list_classes()]


def test_the_room_is_read():
    assert len(FUNCTIONS) > 200
    assert len(CLASSES) > 50


@pytest.mark.parametrize("function", FUNCTIONS)
def test_a_function_names_its_source(function):
    assert re.search(r"Source: \S+", function.prose)


@pytest.mark.parametrize("function", FUNCTIONS)
def test_a_number_without_a_unit_in_its_name_is_explained(function):
    assert [name for name in find_bare_numbers(function.node) if name not in function.prose] == []


@pytest.mark.parametrize("function", FUNCTIONS)
def test_a_bare_number_that_comes_back_has_its_unit_named(function):
    if returns_length(function.node):
        assert UNIT.search(function.prose)


@pytest.mark.parametrize("function", FUNCTIONS)
def test_a_function_that_refuses_says_what_and_the_range(function):
    if refuses(function.node):
        assert re.search(r"Raises|refused", function.prose, re.IGNORECASE)
        assert RANGE.search(function.prose)


@pytest.mark.parametrize("node", CLASSES)
def test_a_class_explains_its_numbers(node):
    text = ast.get_docstring(node) or ""
    fields = [item for item in node.body if isinstance(item, ast.AnnAssign) and isinstance(item.target, ast.Name)]
    numbers = [field.target.id for field in fields if ast.unparse(field.annotation).split(" ")[0] in ("float", "int")]
    assert text
    assert [name for name in numbers if not name.endswith(UNIT_ENDS) and name not in text] == []
