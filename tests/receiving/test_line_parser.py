"""What a person says of a line of tools, in over a hundred spellings of the counter (common practice of the trade)."""

import re

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from regrind.receiving.line_parser import MOST_LINES, ParsedLine, parse_line, parse_lines
from regrind.receiving.line_parser import words as vocabulary
from regrind.receiving.line_parser.scan import NEITHER, Scan
from tests.long_form import FULL

from .spellings import SPELLINGS

EXAMPLES = 20_000 if FULL else 400
FIELDS = [
    name
    for name in ParsedLine.__dataclass_fields__
    if name not in ("text", "texts", "assumed", "ambiguities", "notes", "unknown", "parts")
]


@pytest.mark.parametrize(("text", "unit", "told"), SPELLINGS, ids=[f"{s[0]} ({s[1]})" for s in SPELLINGS])
def test_it_is_understood_as_the_trade_means_it_and_nothing_else_is_made_up(text, unit, told):
    said = parse_line(text, unit)
    expected = {name: getattr(ParsedLine(""), name) for name in FIELDS} | told
    assert {name: getattr(said, name) for name in FIELDS} == expected
    assert said.unknown == []
    assert said.texts == {}


def test_there_are_many_spellings_and_every_kind_is_among_them():
    assert len(SPELLINGS) >= 60
    assert {parse_line(text, unit).kind for text, unit, _ in SPELLINGS} == {
        "square",
        "radius",
        "ball",
        "rougher",
        "chamfer",
        "drill",
        "stepdrill",
        "reamer",
        "sidecutter",
        "saw",
        "keyseat",
        "form",
        "other",
    }


@pytest.mark.parametrize(
    ("text", "unit", "asked"),
    [
        ("6 x 8 4fl", "in", {"nominal": "8"}),
        ("6 x 8 4fl", "mm", {"nominal": "8"}),
        ("8.0 4fl", "in", {"nominal": "8.0"}),
        (".250 3fl", "mm", {"nominal": ".250"}),
        ("D8 3fl", "in", {"nominal": "8"}),
        ("0.1875 3fl", "mm", {"nominal": "0.1875"}),
        ("2 pcs 6 x 6 x 13 x 57", "in", {"nominal": "6", "shank": "6", "flute_length": "13", "overall": "57"}),
        ("1/2 CR 1/2 x", "in", {}),
        ("R3 ball", "in", {"corner_radius": "3"}),
    ],
)
def test_a_size_that_could_be_two_is_asked_and_never_guessed(text, unit, asked):
    said = parse_line(text, unit)
    assert said.texts == asked
    assert all(getattr(said, f"{name}_nm") is None for name in asked)


@pytest.mark.parametrize(
    ("text", "unknown"),
    [
        ("blurg 12 x 1/4 whatsit", ["blurg", "whatsit"]),
        ("12 x 1/4 3fl chrome", ["chrome"]),
        ("135 deg split point drill 1/4", ["split", "point"]),
        ("1/4 3fl .500 .750", [".500", ".750"]),
        ("4 x 1/2 stubby 4fl", ["stubby"]),
        ("1/2 3fl coated", ["coated"]),
        ("?!", ["?!"]),
    ],
)
def test_what_is_not_understood_is_named(text, unknown):
    assert parse_line(text, "in").unknown == unknown


@pytest.mark.parametrize(
    ("text", "unit", "doubt"),
    [
        ("12 1/4 3fl", "in", "12-1/4"),
        ("600 x 1/4", "in", "1 to 500"),
        ("0 x 1/4", "in", "1 to 500"),
        ("1/4 x 12 x 14 3fl", "in", "48 times"),
        ("ball R4 10mm", "mm", "half its diameter"),
    ],
)
def test_what_could_be_meant_otherwise_is_said(text, unit, doubt):
    assert doubt in " ".join(parse_line(text, unit).ambiguities)


@pytest.mark.parametrize(
    ("text", "unit", "answers"),
    [
        ("8 x 20 x 60 3fl", "mm", ["8 pieces of 20 x 60", "1 piece of 8 x 20 x 60"]),
        ("3 x 1/16 x 1 saw", "in", ["3 pieces of 1/16 x 1", "1 piece of 3 x 1/16 x 1"]),
        ("2 1/2 4fl", "in", ["2 pieces of 1/2 in", "1 piece of 2-1/2 in"]),
        ("6 off 12mm 4fl qty 3", "mm", ["3 pieces", "6 pieces"]),
        ("1/2 4fl cobalt 5", "in", ["5 pieces", "1 piece"]),
        ("bag of 1/8 burrs", "in", []),
    ],
)
def test_what_only_a_person_knows_is_asked(text, unit, answers):
    [ask] = parse_line(text, unit).asks
    assert list(ask.answers) == answers
    assert "count" in ask.fields


def test_what_nobody_said_is_marked_as_assumed():
    assert parse_line("1/4 3fl", "in").assumed == ["count", "kind"]
    assert parse_line("1 x 1/4 3fl end mill", "in").assumed == []


def test_two_helices_and_a_saws_width_are_kept_in_words():
    assert parse_line("6 x 10mm 4fl 35/38° var", "mm").notes == ["35/38°"]
    assert parse_line("saw 3 x 1/16 x 1 HSS", "in").notes == ["width 1/16", "bore 1"]


def test_each_line_is_a_kind_of_its_own_and_empty_lines_are_left_out():
    assert [s.count for s in parse_lines("2 x 1/4\n\n   \r\n3 x 1/2\n", "in")] == [2, 3]
    assert len(parse_lines("1/4\n" * MOST_LINES, "in")) == MOST_LINES == 400


PIECES = [
    "12",
    "x",
    "1/4",
    "3fl",
    "#7",
    "drill",
    "R",
    ".030",
    "°",
    "30°",
    "mm",
    "8",
    "CR",
    "ball",
    "loc",
    "oal",
    "-",
    "(",
    ")",
    "x x",
    "½",
    "a",
    "A",
    "dozen",
    "three",
    "eighths",
    "half",
    "inch",
    "quarter",
    "and a",
    "M8",
    "1.25",
    "tap",
    "-20",
    "@",
    "shank",
    "matched",
    "within",
    "var",
    "no",
    "tool no",
    "Z",
    "0",
    "99999",
    "1/0",
    "é",
]
anything = st.one_of(
    st.text(max_size=80),
    st.lists(st.sampled_from(PIECES), max_size=12).map(" ".join),
    st.lists(st.sampled_from(PIECES), max_size=12).map("".join),
    st.text(alphabet="0123456789/x.,- mflcrbn#°\"'½\0\n", max_size=60),
)


@settings(max_examples=EXAMPLES, deadline=None)
@given(anything, st.sampled_from(["in", "mm"]))
@example("\0", "in")
@example("x" * 5000, "mm")
@example("9" * 300 + "/" + "9" * 300, "in")
@example("٣ x ½½½ ³/₄", "in")
def test_no_text_breaks_it_and_every_word_is_told_or_named(text, unit):
    said = parse_line(text, unit)
    assert said.text == Scan(text).text
    assert _signs("".join(said.unknown)) == _signs("".join(part for part, told in said.parts if not told))
    kept = "".join(part for part, _ in said.parts)
    assert _signs(kept) == _signs(said.text)
    assert all(nm is None or nm > 0 for name in FIELDS if name.endswith("_nm") for nm in [getattr(said, name)])


def _signs(text: str) -> str:
    return re.sub(rf"[{re.escape(NEITHER)}\s]", "", text)


@settings(max_examples=EXAMPLES, deadline=None)
@given(anything, st.sampled_from(["in", "mm"]))
def test_what_was_understood_once_is_understood_the_same_again(text, unit):
    once = parse_line(text, unit)
    assert parse_line(once.text, unit) == once


def test_words_without_meaning_are_few_and_stand_in_one_place():
    assert vocabulary.NOISE.fullmatch("of")
    assert not vocabulary.NOISE.fullmatch("stub")


@pytest.mark.parametrize(
    ("text", "doubts"), [("3/8 4fl HSS left hand", 1), ("3/8 4fl HSS LH cut LH helix", 0), ("3/8 4fl HSS", 0)]
)
def test_a_left_hand_cut_whose_helix_nobody_named_is_told(text, doubts):
    """The stylus of a like-handed tool stands on the other side of the centre: about 16° of relief."""
    line = parse_line(text, "in")
    assert len([words for words in line.ambiguities if "stylus hangs on it" in words]) == doubts


@pytest.mark.parametrize(
    ("words", "flutes"),
    [
        ("M8 x 1.25 HSS tap spiral point", "spiral point"),
        ("1/4-20 gun tap", "spiral point"),
        ("M6 spiral flute tap", "spiral flutes"),
        ("#10-32 UNF tap, straight flutes", "straight flutes"),
        ("M8 tap", ""),
        ("10 mm spiral flute drill", ""),
    ],
)
def test_how_a_taps_flutes_run(words, flutes):
    assert parse_line(words, "mm").tap_flutes == flutes


@pytest.mark.parametrize(("words", "teeth"), [("100 mm slitting saw 160 teeth", 160), ("80 mm saw 64 teeth", 64)])
def test_a_saw_may_have_a_hundred_teeth_and_more(words, teeth):
    assert parse_line(words, "mm").teeth == teeth
