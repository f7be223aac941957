"""The last table of docs/glossary.md: words that are no longer used, with what is written instead."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
GLOSSARY = ROOT / "docs" / "glossary.md"
AS_NAMES = "(as names in code)"


def read_table() -> list[tuple[str, str]]:
    """(retired words, replacement) of each row."""
    table = GLOSSARY.read_text(encoding="utf-8").split("## No longer used")[1]
    rows = [line.strip("|").split("|") for line in table.splitlines() if line.startswith("|")][2:]
    return [(words.strip(), instead.strip()) for words, instead in rows]


def words_of(cell: str) -> list[str]:
    """The words of a cell, without the remark in brackets at its end; what is in quotes is one, commas and all."""
    if cell.startswith('"'):
        return [cell.strip('"')]
    return [word.strip() for word in re.sub(r"\([^)]*\)", "", cell).split(",") if word.strip()]


def retired_phrases() -> dict[str, str]:
    """What no reader meets any longer -> what they read instead."""
    rows = [(cell, instead) for cell, instead in read_table() if AS_NAMES not in cell]
    return {word: instead for cell, instead in rows for word in words_of(cell)}


def retired_names() -> set[str]:
    """Names that nothing in the code is bound to."""
    [cell] = [cell for cell, _ in read_table() if AS_NAMES in cell]
    return set(words_of(cell))


def pattern_of(phrase: str) -> re.Pattern[str]:
    """Where a phrase is met: one with a capital is a label, met as it stands or as a whole value; others anywhere."""
    words = r"\s+".join(re.escape(word) for word in phrase.split())
    if phrase[0].islower():
        return re.compile(rf"\b{words}\b", re.IGNORECASE)
    return re.compile(rf"\b{words}\b|(?i:(?<=[\"'>]){words}(?=[\"'<]))")
