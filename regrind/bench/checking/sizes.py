"""The planned sizes of a check: of each a first piece is read in full, and no piece follows one of another size."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from regrind.geometry.errors import Refused
from regrind.geometry.units import Typed, show_with_unit
from regrind.record.models import Piece
from regrind.shop.events import Refusal
from regrind.shop.models import Gauge

from ..models import Plan
from ..readings import Angle, Entry, list_entries
from . import relief
from .relief import Relief


@dataclass(frozen=True)
class FirstRead:
    """What was read on the first piece of a size: lengths and angles by name, and in words.

    corner, coating: as they are now on all pieces of the size. drop_way: how the distance of the drop was taken.
    """

    typed: Mapping[str, Typed] = field(default_factory=dict)
    angles: Mapping[str, Angle] = field(default_factory=dict)
    corner: str = ""
    coating: str = ""
    method: str = ""
    witness: str = ""
    drop_way: str = ""


@dataclass(frozen=True)
class Size:
    """Pieces that are planned to one diameter, the first of which is read in full."""

    pieces: Sequence[Piece]
    read: FirstRead


def group_by_size(pieces: Sequence[Piece], plans: Mapping[int, Plan]) -> dict[int, list[Piece]]:
    """Planned diameter in nm, 0 where none is planned -> its pieces; both in the order of the pieces."""
    groups: dict[int, list[Piece]] = {}
    for piece in pieces:
        planned = plans[piece.pk].diameter_nm if piece.pk in plans else None
        groups.setdefault(planned or 0, []).append(piece)
    return groups


def list_sizes(
    pieces: Sequence[Piece],
    plans: Mapping[int, Plan],
    first: FirstRead,
    others: Mapping[int, FirstRead],
    *,
    released: bool,
) -> list[Size]:
    """The sizes of some pieces. first: read on the first piece of all; others: planned diameter in nm -> what was read.

    Refusal where pieces of a size would be released of which none was read in full.
    """
    sizes = []
    for number, (planned_nm, alike) in enumerate(group_by_size(pieces, plans).items()):
        if number and released and planned_nm not in others:
            raise Refusal(say_other_size(alike[0], planned_nm))
        sizes.append(Size(alike, others.get(planned_nm, FirstRead()) if number else first))
    return sizes


def say_other_size(piece: Piece, planned_nm: int) -> str:
    """Why a piece of another size needs a reading of its own."""
    size = show_with_unit(planned_nm, piece.line.batch.customer.unit) if planned_nm else "no diameter"
    return f"{piece.short} is planned to {size}, another size than the first: measure it in full."


@dataclass(frozen=True)
class Readings:
    """What was read of one size: on its first piece, diameters of others by piece id, and the gauges."""

    first: FirstRead
    diameters: Mapping[int, Typed]
    gauge: Gauge | None
    indicator: Gauge | None

    def entries(self, piece_id: int, *, first: bool) -> list[Entry]:
        """The entries of one piece."""
        diameter = {"diameter": self.diameters[piece_id]} if piece_id in self.diameters else {}
        if not first:
            return list_entries(diameter, {})
        return list_entries({**self.first.typed, **diameter}, self.first.angles)

    def find_relief(self) -> Relief | None:
        """The relief that the first piece's drop comes to; None where no drop, distance or diameter was read."""
        drop, over, diameter = (self.first.typed.get(name) for name in ("drop", "drop_over", "diameter"))
        if not (drop and over and diameter):
            return None
        way = self.first.drop_way
        if not way:
            raise Refusal("Say how the distance of the drop was taken: the ways differ by 3 to 4° on a tool of 6 mm.")
        try:
            return relief.find(drop.nm, over.nm, way, diameter.nm, self.indicator, self.gauge)
        except Refused as refused:
            raise Refusal(f"Drop and distance fit no relief: {refused.message}.") from refused
