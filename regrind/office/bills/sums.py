"""The sums of a bill, in plain numbers. Amounts are whole minor units, a tax rate is thousandths of a per cent.

Each line is pieces × price and is not rounded. Tax is worked out once a bill, on the sum of its lines, and rounded
once to the minor unit, half up (EN 16931-1, BR-CO-14 and BR-CO-17: a category's tax is its taxable amount × rate / 100,
rounded to two decimals; the tax of a bill is the sum over its categories, here one).
"""

from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple


class Totals(NamedTuple):
    """net: the sum of the lines. tax: on it. total: both."""

    net: int
    tax: int

    @property
    def total(self) -> int:
        return self.net + self.tax


def tax_on(net_minor: int, tax_milli: int) -> int:
    """The tax on an amount at a rate in thousandths of a per cent, rounded half up.

    >>> tax_on(10_000, 19_000), tax_on(1_050, 8_875), tax_on(50, 5_000)
    (1900, 93, 3)
    """
    exact = Decimal(net_minor) * Decimal(tax_milli) / Decimal(100_000)
    return int(exact.quantize(Decimal(1), rounding=ROUND_HALF_UP))


def bill_totals(lines: list[int], tax_milli: int) -> Totals:
    """The sums of a bill's lines."""
    net = sum(lines)
    return Totals(net, tax_on(net, tax_milli))


def credit_totals(lines: list[int], tax_milli: int, rest: Totals) -> Totals:
    """The sums of a credit note's lines; rest: what of its bill was not credited yet. Who credits all of the rest gets
    back the tax of the rest, so that a bill credited in parts is credited to the minor unit. ValueError where the lines
    are more than the rest."""
    net = sum(lines)
    if net > rest.net:
        raise ValueError(f"{net} is more than the rest of {rest.net}")
    return rest if net == rest.net else Totals(net, min(tax_on(net, tax_milli), rest.tax))
