"""A second, plain reading of lengths for the slow model: text with a unit to an exact fraction of a mm.

Written from the plan's interface alone. It reads only what the case maker writes and what the interface
prints as examples; it is no judge of spelling.
"""

from fractions import Fraction

MM_PER_UNIT = {
    "in": Fraction(254, 10),
    "mm": Fraction(1),
    "thou": Fraction(254, 10_000),
    "tenth": Fraction(254, 100_000),
    "tenths": Fraction(254, 100_000),
    "um": Fraction(1, 1000),
}


def length_mm(text: str) -> Fraction:
    """The exact length in millimetres that `text` names, such as "-2 tenths" or "1-1/4 in"."""
    number, unit = text.rsplit(" ", 1)
    sign = -1 if number.startswith("-") else 1
    return sign * _number(number.lstrip("-")) * MM_PER_UNIT[unit]


def _number(text: str) -> Fraction:
    if "-" in text:
        whole, part = text.split("-")
        return Fraction(whole) + Fraction(part)
    return Fraction(text)
