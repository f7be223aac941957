"""How tools are called on screens and papers."""
from math import gcd
from typing import TYPE_CHECKING

from regrind.geometry.units import Unit, show_with_unit

if TYPE_CHECKING:
    from .models import Family

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


def family_name(family: "Family", unit: Unit) -> str:
    """The family in one line: size, flutes, kind, corner, material, coating, helix; what is unknown is left out."""
    parts = [size_name(family.nominal_nm, unit)]
    if family.teeth:
        parts.append(f"{family.teeth} flutes" if family.teeth > 1 else "1 flute")
    parts.append(family.kind_data.name)
    if family.corner_radius_nm and family.kind == "radius":
        parts.append(f"R {size_name(family.corner_radius_nm, unit)}")
    parts += [text for text in (family.material, family.coating) if text]
    if family.helix_cdeg is not None:
        parts.append(f"{family.helix_cdeg / 100:g}°")
    parts += [text for text in (family.maker, family.catalogue) if text]
    return ", ".join(parts)
