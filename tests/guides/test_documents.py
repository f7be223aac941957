"""The developers' documents: short sentences, and every file they name is there."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PAGES = (
    "DEVELOPERS.md",
    "CONTRIBUTING.md",
    "SECURITY.md",
    "CHANGELOG.md",
    "docs/how-it-works.md",
    "docs/add-a-field.md",
    "docs/add-a-figure.md",
)
MOST_WORDS = 25
NOT_PROSE = re.compile(r"^```.*?^```|^ {4}.*?$|^\|.*?$|^#.*?$", re.DOTALL | re.MULTILINE)
PART = re.compile(r"\n\s*\n|^\s*(?:[-*]|\d+\.) ", re.MULTILINE)


def read(page: str) -> str:
    return (ROOT / page).read_text(encoding="utf-8")


def sentences_of(text: str) -> list[str]:
    """The sentences of the prose, without code, tables, headings and the addresses of links."""
    prose = re.sub(r"\]\([^)]*\)|`[^`]*`", " name ", NOT_PROSE.sub("", text))
    parts = [" ".join(part.split()) for part in PART.split(prose)]
    return [sentence for part in parts for sentence in re.split(r"(?<=[.!?])\s+(?=[A-Z\d*\[a-z])", part) if sentence]


def count_words(sentence: str) -> int:
    return len(re.findall(r"\w[\w'’./-]*", sentence))


def test_the_measure_finds_a_long_sentence():
    assert [count_words(one) for one in sentences_of("One two. " + "word " * 26 + "end.\n\n- a list\n- of two")] == [
        2,
        27,
        2,
        2,
    ]


@pytest.mark.parametrize("page", PAGES)
def test_sentences_are_short(page):
    assert [one for one in sentences_of(read(page)) if count_words(one) > MOST_WORDS] == []


@pytest.mark.parametrize("page", PAGES)
def test_every_file_that_a_page_names_is_there(page):
    text = read(page)
    named = re.findall(r"`((?:regrind|scripts|tests|benchmarks|static|docs|requirements)/[\w./-]*)`", text)
    linked = [name for name in re.findall(r"\]\(([^)#]+)", text) if "://" not in name]
    missing = [name for name in named if not (ROOT / name).exists()]
    missing += [name for name in linked if not (ROOT / page).parent.joinpath(name).exists()]
    assert missing == []
