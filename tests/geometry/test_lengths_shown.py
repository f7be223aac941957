"""How a length is shown: rounding, the trade's inches, units and what was understood."""

from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from regrind.geometry.length_echo import echo
from regrind.geometry.units import both, parse, show, show_with_unit
from tests.long_form import FULL


@settings(max_examples=5_000 if FULL else 200, deadline=None)
@given(st.integers(-(10**10), 10**10), st.sampled_from(["in", "mm"]), st.integers(1, 7))
def test_showing_rounds_half_to_even_and_exactly(nm, unit, places):
    """Oracle: the standard library's Decimal.quantize on the exact quotient."""
    per = 25_400_000 if unit == "in" else 1_000_000
    exact = Fraction(nm, per) * 10**places
    rounded = round(exact)  # Fraction rounds half to even
    shown = Decimal(show(nm, unit, places=places).replace("−", "-"))
    assert shown == Decimal(rounded).scaleb(-places)
    if unit == "mm":
        assert shown == (Decimal(nm) / per).quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN)


@pytest.mark.parametrize(
    ("nm", "unit", "text"),
    [
        (6_344_920, "in", ".2498"),
        (31_750_000, "in", "1.2500"),
        (6_344_920, "mm", "6.345"),
        (0, "in", ".0000"),
        (-5_080, "in", "−.0002"),
        (-1, "mm", "0.000"),
        (6_344_500, "mm", "6.344"),
        (6_345_500, "mm", "6.346"),
    ],
)
def test_the_trade_writes_inches_without_a_leading_zero(nm, unit, text):
    assert show(nm, unit) == text
    assert parse(f"{text} {unit}").unit == unit


def test_a_plus_is_written_on_demand_and_never_on_zero():
    assert show(5_080, "in", sign=True) == "+.0002"
    assert show(0, "in", sign=True) == ".0000"
    assert show(1, "in", sign=True) == ".0000"
    assert show(6_350_000, "mm", places=0) == "6"


def test_a_unit_stands_after_a_narrow_no_break_space_and_the_customers_comes_first():
    assert show_with_unit(6_350_000, "mm") == "6.350\u202fmm"
    assert both(6_344_920, "in") == (".2498\u202fin", "6.345\u202fmm")
    assert both(6_344_920, "mm") == ("6.345\u202fmm", ".2498\u202fin")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("5 tenths", "0.0005 in = 12.7 µm"),
        ("6.35 mm", "6.35 mm = 0.25 in"),
        ("13 um", "13 µm ≈ 0.000512 in"),
        ("1/64 in", "0.015625 in = 0.396875 mm"),
        ("0 in", "0 in = 0 mm"),
        ("-2 tenths", "−0.0002 in = −5.08 µm"),
    ],
)
def test_what_was_understood_is_said_back(text, said):
    assert echo(parse(text)) == said
