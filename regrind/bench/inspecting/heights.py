"""Places on an arc as the bench reads them: a height from the end, or an angle from the axis."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError

from regrind.geometry.units import NotALength, Typed, Unit, parse
from regrind.record.models import Family
from regrind.shop.fields.forms import AngleText, LengthText

from ..kinds.arcs import find_height

DEGREES = ("°", "deg")


class HeightText(LengthText):
    """A length back from the end; where an arc is known also an angle on it, `45°`, kept with its height.

    arc_nm: the arc's radius, 0 where the tool has none or nobody knows it.
    """

    arc_nm = 0

    def _read(self, text: str) -> Typed:
        if not text.rstrip().endswith(DEGREES):
            return super()._read(text)
        if not self.arc_nm:
            raise ValidationError(f"“{text}” is an angle, and this tool has no arc that is known. Write a length.")
        cdeg = AngleText(least=0, most=90).clean(text) or 0
        return Typed(find_height(cdeg / 100, self.arc_nm), text, "deg")


def find_arc(corner: str, typed: Mapping[str, Any], family: Family, unit: Unit) -> int:
    """The radius in nm of the arc of such a corner, from what is typed so far, else from the tool's family; 0: none."""
    if corner == "radius":
        return read_height(str(typed.get("corner_size") or ""), unit) or family.corner_radius_nm or 0
    if corner == "ball":
        return (read_height(str(typed.get("diameter") or ""), unit) or family.nominal_nm or 0) // 2
    return 0


def read_height(text: str, unit: Unit, arc_nm: int = 0) -> int | None:
    """A height, or an angle on the arc, as it was typed, in nm; None where it is neither."""
    plain = text.strip()
    try:
        if plain.endswith(DEGREES):
            degrees = (AngleText(least=0, most=90).clean(plain) or 0) / 100
            return find_height(degrees, arc_nm) if arc_nm else None
        return parse(plain, unit=unit).nm
    except (NotALength, ValidationError):
        return None
