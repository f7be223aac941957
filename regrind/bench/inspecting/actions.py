"""Recording an inspection: the only writer of inspections and their readings."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from regrind.geometry.errors import Refused
from regrind.geometry.units import Typed
from regrind.record.models import Family, Piece
from regrind.record.moves import move
from regrind.shop.events import Refusal, event
from regrind.shop.models import Gauge, Person

from ..models import Inspection, Reading
from ..readings import Angle, Entry, Mark, end_relief_of_drop, gauge_for, list_entries, make_reading, relief_of_drop
from ..revisions import add_revisions, canonical


@dataclass(frozen=True)
class InspectionValues:
    """What an inspection read and observed on one piece.

    typed, angles: by quantity (diameter, damage_depth, reach, helix …). damage: one of Inspection's choices; with
    "unmeasurable" its reason. each_tooth, each_end_tooth: every tooth against the highest and, at the end,
    against the longest, from tooth 1 on. by_tooth: of some teeth alone, what was read of each by name.
    deepest_tooth: on which the deepest damage is, 0 where nobody knows. drop_way: how the distance of an indicator's
    drop was taken, '' for along the tangent. centre_cutting: yes, no or "". observations: by the thing inspected, on a
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
    each_end_tooth: Sequence[Typed] = ()
    by_tooth: Mapping[int, Mapping[str, Typed]] = field(default_factory=dict)
    marks: Sequence[Mark] = ()
    deepest_tooth: int = 0
    teeth: int | None = None
    gauge: Gauge | None = None
    indicator: Gauge | None = None
    drop_way: str = ""
    centre_cutting: str = ""
    observations: Mapping[str, str] = field(default_factory=dict)
    note: str = ""

    def for_every_piece(self) -> dict[str, Any]:
        """The columns that pieces inspected "as first piece" share."""
        shared = ("damage", "unmeasurable_reason", "diameter_source", "diameter_place", "wear_land_way", "note")
        return {name: getattr(self, name) for name in shared}

    def for_first_piece(self) -> dict[str, Any]:
        """The columns of the one piece that was read."""
        names = ("method", "teeth", "drop_way", "centre_cutting")
        reliefs = {"relief_cdeg": self.find_relief(), "end_relief_cdeg": self.find_end_relief()}
        words = {"observations": canonical(dict(self.observations))}
        return {name: getattr(self, name) for name in names} | reliefs | words

    def find_relief(self) -> int | None:
        """The primary relief in hundredths of a degree that a drop comes to, unless that was read as well."""
        drop, over, diameter = (self.typed.get(name) for name in ("drop", "drop_over", "diameter"))
        if not (drop and over and diameter) or "primary" in self.angles:
            return None
        try:
            return relief_of_drop(drop, over, self.drop_way, diameter)
        except Refused as refused:
            raise Refusal(f"That drop and distance fit no relief: {refused.message}.") from refused

    def find_end_relief(self) -> int | None:
        """The same of a drop on an end tooth and the end relief."""
        drop, over = self.typed.get("end_drop"), self.typed.get("end_drop_over")
        return end_relief_of_drop(drop, over) if drop and over and "end_primary" not in self.angles else None

    def list_entries(self) -> list[Entry]:
        teeth = self.each_tooth, self.marks, self.deepest_tooth, self.each_end_tooth, self.by_tooth
        return list_entries(self.typed, self.angles, *teeth)

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
    Conflict where someone saved one meanwhile; Refusal where none is chosen, damage is unmeasurable for no reason, or
    a drop fits no relief.
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
