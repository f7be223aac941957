"""Exact quantities that a paper prints, and the style they print in.

Nothing here is rounded: the one rounding happens in `regrind.paper.text`, at print.
"""

from dataclasses import dataclass
from typing import Literal

Unit = Literal["in", "mm"]
Page = Literal["letter", "A4"]

INCH_NM = 25_400_000
MM_NM = 1_000_000


@dataclass(frozen=True)
class Style:
    """How one customer's papers are written: unit first, decimal mark of everything but inch, page size."""

    unit: Unit = "in"
    decimal_mark: Literal[".", ","] = "."
    page: Page = "letter"


@dataclass(frozen=True)
class Length:
    """An exact length in whole nanometres, with the decimal places it prints at in either unit.

    `assumed` canvas a value that nobody measured; the paper says so beside it. `about` canvas an estimate.
    Where a length is unknown the field that holds it is None.
    """

    nm: int
    places_in: int = 4
    places_mm: int = 3
    assumed: bool = False
    about: bool = False

    @classmethod
    def at_resolution(cls, nm: int, resolution_nm: int, *, assumed: bool = False) -> "Length":
        """A measured length, printed at its instrument's resolution.

        The unit the instrument reads in keeps the places its resolution needs; the other unit takes one place
        fewer in millimetres than in inches (common practice in dual dimensioning).
        """
        if resolution_nm <= 0:
            raise ValueError(f"resolution_nm: {resolution_nm} is not above 0")
        in_mm = _places(resolution_nm, MM_NM, 6)
        in_inch = _places(resolution_nm, INCH_NM, 5)
        if in_mm < in_inch:
            return cls(nm, in_mm + 1, in_mm, assumed)
        return cls(nm, in_inch, max(in_inch - 1, 0), assumed)


def _places(resolution_nm: int, unit_nm: int, most: int) -> int:
    """Decimal places that write the resolution exactly in a unit; `most` + 1 where none do."""
    for places in range(most + 1):
        if resolution_nm * 10**places % unit_nm == 0:
            return places
    return most + 1


@dataclass(frozen=True)
class Angle:
    """An angle in hundredths of a degree, printed at `places` decimals."""

    hundredths: int
    places: int = 1
    assumed: bool = False


@dataclass(frozen=True)
class Money:
    """An amount in minor units (cents) of a currency written as its three-letter code."""

    minor: int
    currency: str = "USD"


@dataclass(frozen=True)
class Clearance:
    """The primary relief as checked, and the indicator drop it gives at a stated distance.

    how: the way the distance was taken, in words. The ways differ by 3 to 4 degrees on a tool of 6 mm.
    """

    relief: Angle | None = None
    drop: Length | None = None
    drop_at: Length | None = None
    how: str = ""
