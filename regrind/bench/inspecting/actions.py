"""Recording what was seen: the only writer of inspections and their readings."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from regrind.geometry.units import Typed
from regrind.record.models import Family, Piece
from regrind.record.moves import move
from regrind.shop.events import Refusal, event
from regrind.shop.models import Gauge, Person

from ..models import Inspection, Reading
from ..readings import Angle, Mark, gauge_for, list_entries, make_reading
from ..revisions import add_revisions, canonical


def inspect(
    *,
    by: Person,
    pieces: Sequence[Piece],
    expected: dict[int, int],
    typed: Mapping[str, Typed],
    damage: str,
    diameter_source: str = "measured",
    method: str = "",
    angles: Mapping[str, Angle] | None = None,
    each_tooth: Sequence[Typed] = (),
    marks: Sequence[Mark] = (),
    teeth: int | None = None,
    gauge: Gauge | None = None,
    indicator: Gauge | None = None,
    relief_cdeg: int | None = None,
    drop_way: str = "",
    observations: Mapping[str, str] | None = None,
    note: str = "",
    done_at: datetime | None = None,
) -> list[Inspection]:
    """Record an inspection for pieces at once: readings on the first, "as first piece" on the others.

    expected: the revision the page saw, by piece id. typed: lengths by what was read (diameter, damage_depth, reach …).
    each_tooth: every tooth against the highest, from tooth 1 on. relief_cdeg, drop_way: the primary relief that an
    indicator's drop came to, and how its distance was taken. observations: by the thing inspected, what was observed
    on a kind that is not computed. Pieces become inspected. Conflict where someone saved one meanwhile; Refusal where
    none is chosen.
    """
    if not pieces:
        raise Refusal("Tick the pieces that were looked at.")
    entries = list_entries(typed, angles or {}, each_tooth, marks)
    with event(by, "inspected", done_at=done_at) as inspecting:
        common = {"event": inspecting, "damage": damage, "note": note, "diameter_source": diameter_source}
        first = _row(
            pieces[0],
            expected,
            common,
            method=method,
            teeth=teeth,
            relief_cdeg=relief_cdeg,
            drop_way=drop_way,
            observations=canonical(dict(observations or {})),
        )
        rows = add_revisions([first, *(_row(piece, expected, common, copied_from=first) for piece in pieces[1:])])
        Reading.every.bulk_create(
            [
                make_reading(
                    first,
                    entry,
                    None
                    if entry.quantity == "diameter" and diameter_source == "marked"
                    else gauge_for(entry, gauge, indicator),
                )
                for entry in entries
            ]
        )
        _learn_teeth(pieces[0].line.family, teeth)
        move(pieces=[p for p in pieces if p.status != "inspected"], to="inspected", by=by)
    return rows


def _row(piece: Piece, expected: dict[int, int], common: dict[str, Any], **more: Any) -> Inspection:
    return Inspection(piece=piece, revision=expected.get(piece.pk, 0) + 1, **common, **more)


def _learn_teeth(family: Family, teeth: int | None) -> None:
    """A family whose tooth count nobody knew learns it."""
    if teeth and family.teeth is None:
        Family.objects.filter(pk=family.pk, teeth=None).update(teeth=teeth)
        family.teeth = teeth
