"""Margins with back taper: the diameter at the corner after a cut-back (drills and reamers)."""

from dataclasses import dataclass

from regrind.geometry.defaults import Default
from regrind.geometry.kinds.kind import Checked, Terms, take
from regrind.geometry.kinds.quantity import Quantity

_SAME = 1e-9
_NOTHING = 1e-13  # what a taper's spread brings over less than a nanometre


@dataclass(frozen=True, slots=True)
class Margins:
    """A diameter over the margins, how far back from the corner it was read, and the taper per 100 mm, all mm.

    worn_mm: the longest worn margin.
    """

    diameter_mm: float
    diameter_at_mm: float
    back_taper_mm: float | None
    usual_taper: Default
    worn_mm: float = 0.0

    def find_diameter(self, cut_back: Quantity, terms: Terms) -> Quantity:
        """The diameter in mm at the corner that a cut-back leaves: D + t (at - c)/100.

        Source: definition of the taper, on diameter per 100 mm; docs/kinds-notes.md.
        """
        taper = take(self.back_taper_mm, self.usual_taper)
        return terms.read(self.diameter_mm, "diameter") + taper * (self.diameter_at_mm - cut_back) / 100

    def check_diameter(self, diameters: tuple[Quantity, ...], terms: Terms) -> Checked:
        """The diameter as a value for limits; its ties rest on the usual taper where that moves it."""
        taper = take(self.back_taper_mm, self.usual_taper)
        rests = any(abs(item.parts.get(self.usual_taper.field, 0.0)) > _NOTHING for item in diameters)
        asks = (f"rests_on_default_{self.usual_taper.field}",) if rests else ()
        return Checked(diameters, taper.value * terms.typical_mm / 100, asks=asks)

    def is_read_on_wear(self) -> bool:
        """Whether the diameter was read where the margin is worn."""
        return self.worn_mm - self.diameter_at_mm > _SAME
