"""How a length that was typed is shown back: in its own system and in the other."""

from decimal import ROUND_HALF_EVEN, Decimal

from regrind.geometry.units import MINUS, NM_PER_IN, NM_PER_MM, Typed


def echo(typed: Typed) -> str:
    """The length as it was read, in the unit's own system and in the other.

    typed: whole nm, any length.

    Source: exact, 1 in = 25.4 mm.

    >>> from regrind.geometry.units import parse
    >>> echo(parse("5 tenths"))
    '0.0005 in = 12.7 µm'
    """
    metric, (inch, exact) = _metric(typed.nm), _inches(typed.nm)
    if typed.unit in ("mm", "um"):
        return f"{metric} {'=' if exact else '≈'} {inch}"
    return f"{inch} = {metric}" if exact else f"{inch} ≈ {metric}"


def _metric(nm: int) -> str:
    if 0 < abs(nm) < NM_PER_MM // 10:
        return f"{_trim(Decimal(nm) / 1000)} µm"
    return f"{_trim(Decimal(nm) / NM_PER_MM)} mm"


def _inches(nm: int) -> tuple[str, bool]:
    """In inches to six places, and whether that is exact."""
    inches = (Decimal(nm) / NM_PER_IN).quantize(Decimal("0.000001"), ROUND_HALF_EVEN)
    return f"{_trim(inches)} in", inches * NM_PER_IN == nm


def _trim(value: Decimal) -> str:
    text = f"{value:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text.replace("-", MINUS) if value else "0"
