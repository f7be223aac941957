"""Numbers print by rule, once rounded; words print as they were meant, whatever is in them."""

import subprocess
import sys
from datetime import date

import pytest
from django.utils.dateformat import format as date_format

from regrind.paper import text
from regrind.paper.values import Angle, Length, Money, Style

INCH, METRIC, COMMA = Style("in"), Style("mm"), Style("mm", ",", "A4")


def plain(words):
    return words.replace("\u202f", " ").replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("nm", "places", "style", "expected"),
    [
        (6_350_000, (4, 3), INCH, ".2500 in (6.350 mm)"),  # ASME Y14.5: no zero before the point, zeros kept after
        (6_350_000, (4, 3), METRIC, "6.350 mm (.2500 in)"),
        (6_350_000, (4, 3), COMMA, "6,350 mm (.2500 in)"),  # ISO 80000-1: comma on the line; the inch keeps its point
        (127_000, (4, 3), METRIC, "0.127 mm (.0050 in)"),  # ISO 80000-1: a zero before the mark
        (25_400_000, (3, 2), INCH, "1.000 in (25.40 mm)"),
        (-233_680, (4, 3), INCH, "−.0092 in (−0.234 mm)"),
        (1_270, (4, 3), INCH, ".0000 in (0.001 mm)"),  # half a tenth: half to even, as 1.27 um rounds to 1
        (3_810, (4, 3), INCH, ".0002 in (0.004 mm)"),  # one and a half tenths, to even
    ],
)
def test_lengths_print_by_rule(nm, places, style, expected):
    assert plain(text.dual(Length(nm, *places), style)) == expected


def test_the_space_before_a_unit_is_narrow_and_never_broken():
    assert text.length(Length(6_350_000), INCH) == ".2500\u202fin"


def test_a_sign_is_printed_only_where_asked():
    assert plain(text.length(Length(25_400), INCH, sign=True)) == "+.0010 in"
    assert plain(text.length(Length(25_400), INCH)) == ".0010 in"


def test_a_difference_above_nothing_has_its_plus_in_a_table_too():
    assert text.stacked(Length(25_400), INCH, sign=True) == "+.0010\n(+0.025)"
    assert text.stacked(Length(-25_400), COMMA, sign=True) == "−0,025\n(−.0010)"
    assert text.stacked(Length(0), INCH, sign=True) == ".0000\n(0.000)"


@pytest.mark.parametrize(
    ("words", "printed"),
    [
        ("12.7\u202fmm, 3 flutes", "12,7 mm, 3 flutes"),
        ("radius re-formed, 0.400 mm (.0157 in)", "radius re-formed, 0,400 mm (.0157 in)"),
        ("DIN 6527.1, 1/4 in", "DIN 6527.1, 1/4 in"),
        ("R 0.5 mm, No. 2.50", "R 0,5 mm, No. 2.50"),
    ],
)
def test_figures_within_words_take_the_customers_mark_in_millimetres_alone(words, printed):
    assert plain(text.composed(words, COMMA)) == printed
    assert text.composed(words, METRIC) == words


def test_what_is_assumed_or_estimated_says_so():
    assert plain(text.dual(Length(6_350_000, assumed=True), INCH)) == ".2500 in (6.350 mm) assumed"
    assert plain(text.length(Length(6_350_000, 2, 1, about=True), METRIC)) == "about 6.4 mm"
    assert text.stacked(Length(6_350_000, assumed=True), INCH) == ".2500\n(6.350)\nassumed"
    assert text.angle(Angle(1200, assumed=True), INCH) == "12.0° assumed"


def test_what_is_unknown_is_a_dash():
    assert text.dual(None, INCH) == text.stacked(None, INCH) == text.angle(None, INCH) == text.day(None) == "–"


@pytest.mark.parametrize(
    ("resolution_nm", "places"),
    [
        (2_540, (4, 3)),
        (25_400, (3, 2)),
        (1_270, (5, 4)),
        (1_000, (4, 3)),
        (10_000, (3, 2)),
        (100, (5, 4)),
        (500, (5, 4)),
        (254, (5, 4)),
        (12_700, (4, 3)),
        (100_000, (2, 1)),
    ],
)
def test_a_measured_length_prints_at_its_instruments_resolution(resolution_nm, places):
    """Of .0001 in four places, of 0.001 mm three; the other unit one apart (common practice)."""
    made = Length.at_resolution(6_350_000, resolution_nm)
    assert (made.places_in, made.places_mm) == places


def test_a_resolution_of_nothing_is_refused():
    with pytest.raises(ValueError, match="resolution_nm"):
        Length.at_resolution(6_350_000, 0)


@pytest.mark.parametrize(
    ("angle", "expected"),
    [
        (Angle(1200), "12.0°"),
        (Angle(1168, 2), "11.68°"),
        (Angle(11800, 0), "118°"),
        (Angle(-250), "−2.5°"),
        (Angle(1245), "12.4°"),
        (Angle(1255), "12.6°"),
        (Angle(-4), "0.0°"),
    ],
)
def test_angles_round_once(angle, expected):
    assert text.angle(angle, INCH) == expected


def test_money_prints_to_its_currencys_places():
    assert plain(text.money(Money(123456), COMMA)) == "1 234,56"  # ISO 80000-1: threes parted by a small space
    assert text.money(Money(123456), INCH) == "1,234.56"  # common practice with a decimal point
    assert text.money(Money(-123456789), INCH) == "−1,234,567.89"
    assert text.money(Money(99999), INCH) == "999.99"
    assert text.money(Money(1234567, "JPY"), INCH) == "1,234,567"
    assert text.money(Money(5), INCH) == "0.05"
    assert text.money(Money(-250), INCH) == "−2.50"
    assert text.money(Money(650, "JPY"), INCH) == "650"
    assert text.money(None, INCH) == ""


@pytest.mark.parametrize(
    ("sign", "printed"),
    [
        ("Łódź Wójcik ěščř", "Łódź Wójcik ěščř"),
        ("Ελένη Άγγελος", "Ελένη Άγγελος"),
        ("Жанна Щукина", "Жанна Щукина"),
        ("漢", "□"),
        ("e\u0301", "é"),
        ("a\x00b\x1bc", "abc"),
        ("\u202eabc\u200f", "abc"),
        ("a\tb\r\nc", "a b \nc"),
        ("a\u3000b", "a b"),
        ("\ud800", "□"),
    ],
)
def test_every_sign_prints_or_is_seen_to_be_missing(sign, printed):
    assert text.clean(sign) == printed


def test_markup_cannot_be_smuggled_in():
    assert text.markup("<b>&<font size=99>") == "&lt;b&gt;&amp;&lt;font size=99&gt;"


def test_a_text_without_end_is_cut_where_an_ellipsis_says_so():
    assert text.clean("x" * 30_000).endswith("x…")
    assert len(text.clean("x" * 30_000)) == 20_000


def test_paper_needs_neither_django_nor_a_database():
    code = (
        "import sys, regrind.paper.label, regrind.paper.job_sheet, regrind.paper.report, regrind.paper.slip, "
        "regrind.paper.setup_card, regrind.paper.review; print([n for n in sys.modules if n.startswith('django')])"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"


@pytest.mark.parametrize("value", [date(2025, month, month + 1) for month in range(1, 13)])
def test_a_date_is_written_as_the_pages_write_it_and_held_together(value):
    assert text.day(value) == date_format(value, "j M Y").replace(" ", "\u00a0")
