"""docs/security.md maps every requirement of the ASVS at level 2: to a test, a place in the code, or a reason."""

import re
from pathlib import Path

import pytest

from .asvs import requirements

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "docs" / "security.md").read_text(encoding="utf-8")
ROW = re.compile(r"^\| (V[^|]+) \| (test|setting|reason): ([^|]+) \|$", re.MULTILINE)
NAMED = re.compile(r"`([^`:]+)(?:::([^`]+))?`")


def rows(page=PAGE):
    return [(cell, kind, text.strip()) for cell, kind, text in ROW.findall(page)]


def covered(cell):
    """The requirements of a row's first cell: single ones, spans and whole chapters or sections."""
    for part in cell.split(", "):
        first, _, last = part.partition("–")
        if last:
            section, start = first.rsplit(".", 1)
            yield from (f"{section}.{n}" for n in range(int(start), int(last.rsplit(".", 1)[1]) + 1))
        elif part.count(".") == 2:
            yield part
        else:
            yield from (one for one in requirements() if one.startswith(f"{part}."))


def faults(page):
    """What is wrong with the table of a page, in words."""
    seen = [one for cell, _, _ in rows(page) for one in covered(cell)]
    wrong = [f"{one} is not mapped" for one in requirements() if one not in seen]
    wrong += [f"{one} is mapped twice" for one in sorted({one for one in seen if seen.count(one) > 1})]
    wrong += [f"{one} is no requirement of level 2" for one in seen if one not in requirements()]
    return wrong + [f"{cell}: {fault}" for cell, kind, text in rows(page) if (fault := fault_of(kind, text))]


def fault_of(kind, text):
    if kind == "reason":
        return "" if len(text.split()) >= 4 else "a reason needs words"
    match = NAMED.match(text)
    if not match or not (ROOT / match[1]).is_file():
        return f"no such file: {text}"
    if kind == "test" and match[2] != "*" and f"def {match[2]}(" not in (ROOT / match[1]).read_text(encoding="utf-8"):
        return f"no such test: {text}"
    return "" if kind == "test" or len(text.split(":", 1)[-1].split()) >= 2 else "say what it sets"


def test_the_standard_has_as_many_requirements_as_it_says():
    """The standard's own count: 70 at level 1 and 183 at level 2."""
    assert len(requirements()) == len(set(requirements())) == 253


def test_every_requirement_is_mapped_once_to_something_that_is_there():
    assert faults(PAGE) == []


@pytest.mark.parametrize(
    ("before", "after", "fault"),
    [
        ("| V13.4.4 | test:", "| V13.4.9 | test:", "V13.4.4 is not mapped"),
        ("test_no_page_answers_trace", "test_no_such_test", "no such test"),
        ("`regrind/log.py`", "`regrind/no.py`", "no such file"),
        ("there is no WebRTC", "none", "needs words"),
        ("| V9 | ", "| V9, V8.4.1 | ", "V8.4.1 is mapped twice"),
    ],
)
def test_an_unmapped_one_and_a_false_one_are_found(before, after, fault):
    assert before in PAGE
    assert any(fault in one for one in faults(PAGE.replace(before, after)))


def test_every_rule_that_the_table_leaves_to_the_page_stands_there():
    asked = {one for cell, kind, text in rows() if "docs/security.md" in text for one in covered(cell)}
    stated = PAGE.split("## Rules that documents must state")[1].split("## The table")[0]
    assert sorted(one for one in asked if one not in stated) == []
