"""How sizes are called on screens and papers."""

from math import gcd

from regrind.geometry.units import Unit, show_with_unit

INCH_NM = 25_400_000


def size_name(nm: int | None, unit: Unit) -> str:
    """A nominal size as the trade says it: `1/4 in` for a 64th of an inch, else decimals of its own unit.

    A size that is a whole tenth of a millimetre and no 64th of an inch is metric, whatever `unit` the reader prefers.
    """
    if nm is None:
        return "size unknown"
    if nm * 64 % INCH_NM == 0:
        return _fraction(nm * 64 // INCH_NM)
    if nm % 100_000 == 0:
        return f"{nm / 1_000_000:g}\u202fmm"
    return show_with_unit(nm, unit)


def _fraction(sixtyfourths: int) -> str:
    whole, rest = divmod(sixtyfourths, 64)
    if not rest:
        return f"{whole}\u202fin"
    part = gcd(rest, 64)
    return (f"{whole}-" if whole else "") + f"{rest // part}/{64 // part}\u202fin"
