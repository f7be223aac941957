"""Columns of a download: a title with its unit and, where the standard has one, its ISO 13399 code."""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from regrind.geometry.units import Unit

# Meanings: shared/11_iso13399_codes.csv.
NM_PER = {"in": Decimal(25_400_000), "mm": Decimal(1_000_000)}
PLACES = {"in": Decimal("0.000001"), "mm": Decimal("0.00001")}
Value = Any  # what as_csv and as_xlsx take: text, whole number, Decimal, date, None


@dataclass(frozen=True)
class Column:
    """read: the cell of a row; a length is read in nm, an angle in hundredths of a degree, others as holds says."""

    title: str
    read: Callable[[Any], Value]
    code: str = ""
    holds: str = ""  # length, angle, hundredths; else the value as it is

    def head(self, unit: Unit) -> str:
        """`Diameter when new, in [DC]`."""
        units = {"length": f", {unit}", "angle": ", °"}
        return f"{self.title}{units.get(self.holds, '')}{f' [{self.code}]' if self.code else ''}"

    def cell(self, row: Any, unit: Unit) -> Value:
        value = self.read(row)
        if value is None:
            return None
        if self.holds == "length":
            return as_length(value, unit)
        return Decimal(value) / 100 if self.holds in ("angle", "hundredths") else value


def as_length(nm: int, unit: Unit) -> Decimal:
    """A length in the unit, to a millionth of an inch or a hundredth of a µm.

    >>> as_length(6_345_123, "mm"), as_length(6_350_000, "in")
    (Decimal('6.34512'), Decimal('0.250000'))
    """
    return (Decimal(nm) / NM_PER[unit]).quantize(PLACES[unit])
