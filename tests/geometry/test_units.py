"""Lengths typed at the bench: kept exactly or refused; shown by rule; never silently altered."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from regrind.geometry.tables import rows
from regrind.geometry.units import NeedsUnit, NotALength, parse, quote, to_nm
from tests.long_form import FULL

INCH = Fraction(25_400_000)  # nm: 25.4 mm exactly, ISO 31-1


UNITS = {
    "in": INCH,
    '"': INCH,
    "inch": INCH,
    "inches": INCH,
    "in.": INCH,
    "mm": Fraction(10**6),
    "thou": INCH / 1000,
    "tenths": INCH / 10_000,
    "tenth": INCH / 10_000,
    "um": Fraction(1000),
    "µm": Fraction(1000),
    "μm": Fraction(1000),
    "micron": Fraction(1000),
    "microns": Fraction(1000),
}


@pytest.mark.parametrize(
    ("text", "nm", "unit"),
    [
        ("0.2500 in", 6_350_000, "in"),
        ('.25"', 6_350_000, "in"),
        ("1/4 in", 6_350_000, "in"),
        ("1-1/4 in", 31_750_000, "in"),
        ("1 1/4 in", 31_750_000, "in"),
        ("6.35 mm", 6_350_000, "mm"),
        ("6,35 mm", 6_350_000, "mm"),
        ("6,345 mm", 6_345_000, "mm"),
        ("4 thou", 101_600, "thou"),
        (".5 thou", 12_700, "thou"),
        ("3 tenths", 7_620, "tenths"),
        ("1 tenth", 2_540, "tenths"),
        ("13 um", 13_000, "um"),
        ("13 µm", 13_000, "um"),
        ("−2 tenths", -5_080, "tenths"),
        ("-1/64 in", -396_875, "in"),
        ("6.35\u00a0mm", 6_350_000, "mm"),
        ("6.35\u202fmm", 6_350_000, "mm"),
        ("0 in", 0, "in"),
        ("10000 mm", 10_000_000_000, "mm"),
        ("#7", 5_105_400, "drill"),
        ("#7 drill", 5_105_400, "drill"),
        ("letter F", 6_527_800, "drill"),
        ("f drill", 6_527_800, "drill"),
    ],
)
def test_a_spelling_of_the_bench_is_kept_exactly(text, nm, unit):
    typed = parse(text)
    assert (typed.nm, typed.unit) == (nm, unit)
    assert typed.mm == nm / 1e6


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "in",
        "0.2.5",
        "0.2.5 in",
        "1e3 mm",
        "1E-3 in",
        "1,234.5 mm",
        "1.234,5 mm",
        "1 234 mm",
        "1'234 mm",
        "1_000 mm",
        "1,000 mm",
        "10,000 in",
        "1,234,567 mm",
        "nan mm",
        "inf in",
        "-inf mm",
        "Infinity",
        "٣ mm",
        "３ mm",
        "¼ in",
        "1/0 in",
        "0/0 in",
        "1 5/4 in",
        "1/4/2 in",
        "1/3 in",
        "0.0000001 mm",
        "0.000001 in",
        "10000.000001 mm",
        "20 m",
        "5 cm",
        "5 ft",
        "5 mil",
        "--1 mm",
        "+-1 mm",
        "1 - 1/4 in",
        "0.25 in in",
        "5 mm 2",
        "1+1 mm",
        "\x001 mm",
        "1\u200f mm",
        "1 mm\x00",
        "#0",
        "#98",
        "letter Ä",
        "-#7",
        "9" * 70 + " mm",
        "0." + "0" * 70 + "1 mm",
        "5",
        ".25",
        "1/4",
        "0",
        "drill",
        "True",
        "0x10 mm",
    ],
)
def test_what_is_no_length_is_refused_in_words(text):
    with pytest.raises(NotALength) as refused:
        parse(text)
    assert len(str(refused.value)) < 200
    assert str(refused.value).isprintable()


def test_a_comma_and_a_point_together_are_told():
    with pytest.raises(NotALength, match="both a comma and a point"):
        parse("1,234.5 mm")


def test_a_length_finer_than_a_nanometre_names_the_step():
    with pytest.raises(NotALength, match="1 nm"):
        parse("1/3 in")


@pytest.mark.parametrize(
    ("text", "unit", "choices"),
    [
        ("5", "in", ["5 in", "5 thou", "5 tenths"]),
        ("1", "in", ["1 in", "1 thou", "1 tenth"]),
        ("-5", "mm", ["-5 mm", "-5 µm"]),
        ("5.", "in", ["5 in", "5 thou", "5 tenths"]),
        ("1/4", "mm", ["1/4 in", "1/4 mm"]),
    ],
)
def test_a_bare_number_that_could_be_several_lengths_asks_and_its_choices_parse(text, unit, choices):
    with pytest.raises(NeedsUnit) as asked:
        parse(text, unit=unit)
    assert asked.value.choices == choices
    assert len({parse(choice).nm for choice in choices}) == len(choices)


@pytest.mark.parametrize(
    ("text", "unit", "nm"),
    [
        (".25", "in", 6_350_000),
        ("6,35", "mm", 6_350_000),
        ("1/4", "in", 6_350_000),
        ("1-1/4", "in", 31_750_000),
        ("0", "in", 0),
        ("0", "mm", 0),
        ("5.0", "mm", 5_000_000),
        ("6.35 mm", "in", 6_350_000),
        ("#7", "mm", 5_105_400),
    ],
)
def test_a_bare_decimal_is_in_the_unit_of_its_field(text, unit, nm):
    assert parse(text, unit=unit).nm == nm


DRILLS = [row for row in rows("23_drill_sizes") if row["size"][0] == "#" or row["size"].isalpha()]


@pytest.mark.parametrize("row", DRILLS, ids=lambda row: row["size"])
def test_every_number_and_letter_drill_size_parses_to_the_table(row):
    """Source: shared/23_drill_sizes.csv (ANSI sizes, memory and read)."""
    text = row["size"] if row["size"].startswith("#") else f"letter {row['size']}"
    assert parse(text).nm == Decimal(row["diameter_in"]) * 25_400_000


def _spellings():
    sign = st.sampled_from(["", "-", "−", "+"])
    whole = st.integers(0, 400).map(str)
    digits = st.text("0123456789", min_size=1, max_size=7)
    point = st.sampled_from([".", ","])
    decimal = st.builds(lambda a, p, b: f"{a}{p}{b}", st.one_of(whole, st.just("")), point, digits)
    fraction = st.builds(lambda a, b: f"{a}/{b}", st.integers(0, 130), st.sampled_from([2, 3, 4, 8, 16, 32, 64, 128]))
    mixed = st.builds(lambda a, gap, f: f"{a}{gap}{f}", whole, st.sampled_from([" ", "-"]), fraction)
    space = st.sampled_from(["", " ", "\u00a0", "\u202f"])
    unit = st.sampled_from(sorted(UNITS))
    return st.tuples(sign, st.one_of(whole, decimal, fraction, mixed), space, unit)


def _exact(number: str) -> Fraction:
    """The number by plain reading: the oracle."""
    if "/" in number:
        *whole, fraction = number.replace("-", " ").split(" ")
        return Fraction(fraction) + sum(int(part) for part in whole)
    return Fraction(Decimal(number.replace(",", ".")))


@settings(max_examples=10_000 if FULL else 300, deadline=None)
@given(_spellings())
def test_a_generated_spelling_parses_to_the_exact_decimal_or_is_refused(parts):
    sign, number, _, unit = parts
    exact = _exact(number) * UNITS[unit] * (-1 if sign in ("-", "−") else 1)
    try:
        typed = parse("".join(parts))
    except NotALength:
        mixed = number.replace("-", " ").split(" ")
        improper = len(mixed) == 2 and Fraction(mixed[1]) >= 1
        grouped = number.endswith(",000") and not number.startswith(("0", ","))
        assert exact.denominator != 1 or abs(exact) > 10**10 or improper or grouped
    else:
        assert typed.nm == exact


@settings(max_examples=5_000 if FULL else 200, deadline=None)
@given(st.text(max_size=30))
def test_no_text_at_all_brings_more_than_a_refusal(text):
    said = ""
    try:
        typed = parse(text)
    except NotALength as refused:
        said = str(refused)
    assert said.isprintable()
    assert said or typed.text in text


def test_floats_go_to_whole_nanometres_and_wild_text_is_quoted_safely():
    assert to_nm(6.35) == 6_350_000
    assert quote("a\nb\ud800") == '"a?b?"'
    assert len(quote("x" * 1_000_000)) < 50
