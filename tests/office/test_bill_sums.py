"""The sums of a bill: tax rounded once, half up, and a bill credited in parts credited to the minor unit.

Checked against exact fractions and the rounding rule of EN 16931-1, BR-CO-17.
"""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from regrind.office.bills.sums import Totals, bill_totals, credit_totals, tax_on

amounts = st.lists(st.integers(0, 10**7), min_size=1, max_size=30)
rates = st.integers(0, 100_000)


@pytest.mark.parametrize(
    ("net", "milli", "tax"),
    [
        (10_000, 19_000, 1_900),
        (1_050, 8_875, 93),  # 93.1875
        (50, 5_000, 3),  # 2.5: half up
        (149, 1_000, 1),  # 1.49
        (150, 1_000, 2),  # 1.5
        (0, 19_000, 0),
        (12_345, 0, 0),
    ],
)
def test_tax_is_rounded_once_half_up(net, milli, tax):
    """Worked by hand from the rule of EN 16931-1, BR-CO-17: taxable amount × rate / 100, to two decimals."""
    assert tax_on(net, milli) == tax


@given(amounts, rates)
def test_a_total_is_the_sum_of_its_lines_and_a_tax_within_half_a_minor_unit(lines, milli):
    totals = bill_totals(lines, milli)
    assert totals.net == sum(lines)
    assert totals.total == totals.net + totals.tax
    off = totals.tax - Fraction(totals.net * milli, 100_000)
    assert -Fraction(1, 2) < off <= Fraction(1, 2)


@given(amounts, rates)
def test_a_bill_credited_line_by_line_is_credited_whole(lines, milli):
    rest = bill_totals(lines, milli)
    for minor in lines:
        credited = credit_totals([minor], milli, rest)
        rest = Totals(rest.net - credited.net, rest.tax - credited.tax)
        assert rest.net >= 0
        assert rest.tax >= 0
    assert rest == Totals(0, 0)


def test_no_more_is_credited_than_is_left():
    with pytest.raises(ValueError, match="more than the rest"):
        credit_totals([101], 19_000, Totals(100, 19))
