"""What each piece of a check is compared with, from the record."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from regrind.record.models import Line, Piece
from regrind.shop.models import ShopSettings
from regrind.shop.owner.settings import shop_settings

from ..models import Inspection, Plan
from ..revisions import newest, newest_with_readings
from .corner_limit import find_corner_limit
from .findings import Limits
from .runout_limit import runout_limit


@dataclass(frozen=True)
class Bounds:
    """Plans, parts ground at this visit and received diameters by piece id; the line's terms and the shop's."""

    line: Line
    plans: Mapping[int, Plan]
    parts: Mapping[int, tuple[str, ...]]
    received: Mapping[int, int]
    shop: ShopSettings

    def limits(self, piece_id: int, diameter_nm: int | None) -> Limits:
        """The limits of one piece. diameter_nm: as it was read, None where it was not."""
        return Limits(
            self.line,
            self.plans.get(piece_id),
            "sides" in self.parts.get(piece_id, ()),
            self.received.get(piece_id),
            find_corner_limit(self.line, self.plans.get(piece_id)),
            runout_limit(self.line, diameter_nm, self.shop),
        )


def find_bounds(line: Line, pieces: Sequence[Piece], parts: Mapping[int, tuple[str, ...]]) -> Bounds:
    """The bounds of some pieces of a line, in at most four queries."""
    received = _diameters_received(pieces) if line.family.kind_data.no_sides else {}
    return Bounds(line, newest(Plan, pieces), parts, received, shop_settings())


def _diameters_received(pieces: Sequence[Piece]) -> dict[int, int]:
    """The diameter each piece was received with, where it was read on that piece."""
    inspections = newest_with_readings(Inspection, pieces)
    return {pk: row.diameter_nm for pk, row in inspections.items() if row.diameter_nm}
