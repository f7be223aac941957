"""Recording an inspection: the only writer of inspections and their readings."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from regrind.geometry.units import Typed
from regrind.record.models import Family, Piece
from regrind.record.moves import move
from regrind.shop.events import Refusal, event
from regrind.shop.models import Gauge, Person

from ..models import Inspection, Reading
from ..readings import Angle, Entry, Mark, gauge_for, list_entries, make_reading
from ..revisions import add_revisions, canonical


@dataclass(frozen=True)
class InspectionValues:
    """What an inspection read and observed on one piece.

    typed, angles: by quantity (diameter, damage_depth, reach, helix …). damage: one of Inspection's choices; with
    "unmeasurable" its reason. each_tooth: every tooth against the highest, from tooth 1 on. deepest_tooth: on which
    the deepest damage is, 0 where nobody knows. relief_cdeg, drop_way: the primary relief that an indicator's drop
    came to, in hundredths of a degree, and how its distance was taken. end_relief_cdeg: the end relief, of a drop on an
    end tooth. centre_cutting: yes, no or "". observations: by the thing inspected, on a
    kind that is not computed. gauge: of diameters; indicator: of runout and depths.
    """

    typed: Mapping[str, Typed]
    damage: str
    diameter_source: str = "measured"
    diameter_place: str = ""
    method: str = ""
    unmeasurable_reason: str = ""
    wear_land_way: str = ""
    angles: Mapping[str, Angle] = field(default_factory=dict)
    each_tooth: Sequence[Typed] = ()
    marks: Sequence[Mark] = ()
    deepest_tooth: int = 0
    teeth: int | None = None
    gauge: Gauge | None = None
    indicator: Gauge | None = None
    relief_cdeg: int | None = None
    drop_way: str = ""
    end_relief_cdeg: int | None = None
    centre_cutting: str = ""
    observations: Mapping[str, str] = field(default_factory=dict)
    note: str = ""

    def for_every_piece(self) -> dict[str, Any]:
        """The columns that pieces inspected "as first piece" share."""
        shared = ("damage", "unmeasurable_reason", "diameter_source", "diameter_place", "wear_land_way", "note")
        return {name: getattr(self, name) for name in shared}

    def for_first_piece(self) -> dict[str, Any]:
        """The columns of the one piece that was read."""
        names = ("method", "teeth", "relief_cdeg", "drop_way", "end_relief_cdeg", "centre_cutting")
        return {name: getattr(self, name) for name in names} | {"observations": canonical(dict(self.observations))}

    def list_entries(self) -> list[Entry]:
        return list_entries(self.typed, self.angles, self.each_tooth, self.marks, self.deepest_tooth)

    def gauge_of(self, entry: Entry) -> Gauge | None:
        """What an entry was read with; a diameter as it is marked was read with nothing."""
        if entry.quantity == "diameter" and self.diameter_source == "marked":
            return None
        return gauge_for(entry, self.gauge, self.indicator)


def inspect(
    *,
    by: Person,
    pieces: Sequence[Piece],
    expected: Mapping[int, int],
    done_at: datetime | None = None,
    **values: Any,
) -> list[Inspection]:
    """Record an inspection for pieces at once: readings on the first, "as first piece" on the others.

    expected: the revision the page saw, by piece id. values: see `InspectionValues`. Pieces become inspected.
    Conflict where someone saved one meanwhile; Refusal where none is chosen, or damage is unmeasurable for no reason.
    """
    inspection = InspectionValues(**values)
    if not pieces:
        raise Refusal("Tick the pieces that were inspected.")
    if (inspection.damage == "unmeasurable") != bool(inspection.unmeasurable_reason):
        raise Refusal("Damage that cannot be measured needs its reason: broken off, worn through or cracked.")
    with event(by, "inspected", done_at=done_at) as inspecting:
        shared = inspection.for_every_piece() | {"event": inspecting}
        first, *others = (Inspection(piece=p, revision=expected.get(p.pk, 0) + 1, **shared) for p in pieces)
        for name, value in inspection.for_first_piece().items():
            setattr(first, name, value)
        for row in others:
            row.copied_from = first
        rows = add_revisions([first, *others])
        Reading.every.bulk_create(
            make_reading(first, entry, inspection.gauge_of(entry)) for entry in inspection.list_entries()
        )
        _learn_teeth(pieces[0].line.family, inspection.teeth)
        move(pieces=[piece for piece in pieces if piece.status != "inspected"], to="inspected", by=by)
    return rows


def _learn_teeth(family: Family, teeth: int | None) -> None:
    """A family whose tooth count nobody knew learns it."""
    if teeth and family.teeth is None:
        Family.objects.filter(pk=family.pk, teeth=None).update(teeth=teeth)
        family.teeth = teeth
