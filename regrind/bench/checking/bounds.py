"""What each piece of a check is compared with, from the record."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from regrind.record.kinds import RADIAL
from regrind.record.models import Line, Piece
from regrind.shop.models import ShopSettings
from regrind.shop.owner.settings import shop_settings

from ..models import Inspection, Plan
from ..revisions import newest, newest_with_readings
from .corner_limit import find_corner_limit
from .findings import Limits, Window, accepted_window, list_windows
from .holds import find_holds
from .runout_left import RunoutLeft, find_runouts_left
from .runout_limit import runout_limit


@dataclass(frozen=True)
class Bounds:
    """Plans, parts ground, received diameters and runout left alone by piece id; the line's terms and the shop's."""

    line: Line
    plans: Mapping[int, Plan]
    parts: Mapping[int, tuple[str, ...]]
    received: Mapping[int, int]
    shop: ShopSettings
    runouts_left: Mapping[int, RunoutLeft]

    def limits(self, piece_id: int, diameter_nm: int | None) -> Limits:
        """The limits of one piece. diameter_nm: as it was read, None where it was not."""
        return Limits(
            self.line,
            self.plans.get(piece_id),
            bool(set(RADIAL) & set(self.parts.get(piece_id, ()))),
            self.received.get(piece_id),
            find_corner_limit(self.line, self.plans.get(piece_id)),
            runout_limit(self.line, diameter_nm, self.shop),
            self.runouts_left.get(piece_id),
            find_holds(self.line, self.plans.get(piece_id)),
        )


def find_bounds(
    line: Line, pieces: Sequence[Piece], parts: Mapping[int, tuple[str, ...]], shop: ShopSettings | None = None
) -> Bounds:
    """The bounds of some pieces of a line, in at most six queries; the shop's settings are read where none came."""
    received = _diameters_received(pieces) if line.family.kind_data.no_sides else {}
    left_alone = find_runouts_left(pieces, parts)
    return Bounds(line, newest(Plan, pieces), parts, received, shop or shop_settings(), left_alone)


def find_windows(line: Line, plan: Plan | None, shop: ShopSettings) -> dict[str, Window]:
    """By the form's field the bounds of what is read on a piece of this plan, for beside what is typed."""
    diameter_nm = plan.diameter_nm if plan else None
    corner, runout = find_corner_limit(line, plan), runout_limit(line, diameter_nm, shop)
    return list_windows(Limits(line, plan, corner=corner, runout=runout, holds=find_holds(line, plan)))


def find_diameter_window(line: Line, plan: Plan | None) -> Window | None:
    """What the diameter of a piece of this plan may be; None where none is planned."""
    return accepted_window(Limits(line, plan, holds=find_holds(line, plan)))


def _diameters_received(pieces: Sequence[Piece]) -> dict[int, int]:
    """The diameter each piece was received with, where it was read on that piece."""
    inspections = newest_with_readings(Inspection, pieces)
    return {pk: row.diameter_nm for pk, row in inspections.items() if row.diameter_nm}
