"""Words that the glossary retired are met nowhere: not on screens, papers and documents, and not as names in code."""

from functools import cache

import pytest

from . import sources
from .bindings import find_bindings
from .glossary import pattern_of, retired_names, retired_phrases

# Where a retired word is the right one.
COLUMN = {"what"}  # of the history, gauges, rates, defaults and sums, and the arguments that fill it
ALLOWED_NAMES = {
    "regrind/shop/models.py": COLUMN | {"at"},
    "regrind/shop/backups/attempts.py": {"at"},
    "regrind/shop/backups/folder.py": {"at"},
    "regrind/record/models/families.py": COLUMN,
    "regrind/record/models/rates.py": COLUMN,
    "regrind/record/models/rollups.py": COLUMN,
    "regrind/record/rollup_levels.py": COLUMN,
    "regrind/record/rollup_rebuild.py": COLUMN,
    "regrind/record/defaults.py": COLUMN | {"seen"},  # seen: the newest row that the page showed
    "regrind/record/rate_changes.py": COLUMN | {"seen"},
    "regrind/record/rates.py": COLUMN,
    "regrind/office/rates/forms.py": {"seen"},
    "regrind/review/family_views.py": COLUMN,
    "regrind/bench/checking/findings.py": COLUMN,  # the name under which a stored finding has its quantity
    "regrind/bench/registers/forms.py": COLUMN,
    "regrind/bench/piece_form.py": {"seen"},  # the field that carries what the page showed
    "regrind/paper/stock.py": {"left"},  # a side of a box
    "regrind/demo/years/box.py": {"left"},  # a state's code
}


PHRASES = retired_phrases()


@cache
def texts() -> list[tuple[str, str]]:
    """Read by the first test that looks for a phrase, and not by each worker that only collects."""
    return list(sources.shown_texts())


def find_phrase(phrase: str) -> list[str]:
    """Where readers meet it, with the words around it."""
    pattern = pattern_of(phrase)
    return [
        f"{where}: {text[max(0, match.start() - 30) : match.end() + 30]!r}"
        for where, text in texts()
        for match in pattern.finditer(text)
    ]


@pytest.mark.parametrize("phrase", sorted(PHRASES))
def test_no_reader_meets_a_retired_word(phrase):
    assert not find_phrase(phrase), f"write {PHRASES[phrase]!r} instead"


def names_bound(retired: set[str]) -> list[str]:
    return [
        f"{sources.name_of(path)}:{line}: {name}"
        for path in sources.code_files()
        for line, name in find_bindings(path)
        if name in retired - ALLOWED_NAMES.get(sources.name_of(path), set())
    ]


def test_no_name_in_the_code_is_a_retired_one():
    assert not names_bound(retired_names()), "name what it holds"


def test_every_allowed_name_is_still_bound():
    unused = {
        f"{name}: {word}"
        for name, words in ALLOWED_NAMES.items()
        for word in words - {bound for _, bound in find_bindings(sources.ROOT / name)}
    }
    assert not unused


def test_the_table_is_read():
    assert PHRASES["Take back"] == "Cancel, Undo"
    assert {"told", "own"} <= retired_names()
