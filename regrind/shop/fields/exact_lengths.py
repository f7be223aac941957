"""Stored lengths for the fields of a form: read again, they are the very same."""

from decimal import Decimal

from regrind.geometry.units import NM_PER_IN, NM_PER_MM, Unit

HUNDREDTH_THOU_NM = 254


def exact_text(nm: int | None, unit: Unit) -> str:
    """A stored length as text: in inches where that is the unit and .00001 in holds it, else in mm; "" for None.

    >>> exact_text(2_540, "in"), exact_text(2_000, "in"), exact_text(None, "mm")
    ('0.0001 in', '0.002 mm', '')
    """
    if nm is None:
        return ""
    inches = unit == "in" and nm % HUNDREDTH_THOU_NM == 0
    return f"{(Decimal(nm) / (NM_PER_IN if inches else NM_PER_MM)).normalize():f} {'in' if inches else 'mm'}"
