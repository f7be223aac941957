"""How long things are: lines and pages of templates, functions, modules."""

import ast
from statistics import median

from . import sources

LONGEST_LINE, MEDIAN_TEMPLATE, LONGEST_FUNCTION, LONGEST_MODULE = 120, 60, 40, 300
MEDIAN_MODULE = range(60, 121)


def lines_of(path):
    return path.read_text(encoding="utf-8").splitlines()


def test_no_line_of_a_template_is_too_long():
    long = [
        f"{sources.name_of(path)}:{number}: {len(line)}"
        for path in sources.template_files()
        for number, line in enumerate(lines_of(path), start=1)
        if len(line) > LONGEST_LINE
    ]
    assert not long


def test_most_templates_fit_on_a_screen():
    assert median(len(lines_of(path)) for path in sources.template_files()) < MEDIAN_TEMPLATE


def test_no_function_is_too_long():
    long = [
        f"{sources.name_of(path)}:{node.lineno}: {node.name} has {node.end_lineno - node.lineno + 1} lines"
        for path in sources.code_files()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and node.end_lineno - node.lineno + 1 > LONGEST_FUNCTION
    ]
    assert not long


def test_no_module_is_too_long():
    sizes = {sources.name_of(path): len(lines_of(path)) for path in sources.code_files()}
    assert not {name: size for name, size in sizes.items() if size > LONGEST_MODULE}
    assert round(median(size for size in sizes.values() if size)) in MEDIAN_MODULE
