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
from ..revisions import add, canonical


def inspect(
    *,
    by: Person,
    pieces: Sequence[Piece],
    seen: dict[int, int],
    typed: Mapping[str, Typed],
    damage: str,
    diameter_how: str = "measured",
    method: str = "",
    angles: Mapping[str, Angle] | None = None,
    each_tooth: Sequence[Typed] = (),
    marks: Sequence[Mark] = (),
    teeth: int | None = None,
    gauge: Gauge | None = None,
    indicator: Gauge | None = None,
    relief_cdeg: int | None = None,
    relief_how: str = "",
    words: Mapping[str, str] | None = None,
    note: str = "",
    done_at: datetime | None = None,
) -> list[Inspection]:
    """Record an inspection for pieces at once: readings on the first, "as first piece" on the others.

    seen: the revision the page saw, by piece id. typed: lengths by what was read (diameter, damage_depth, reach …).
    each_tooth: every tooth against the highest, from tooth 1 on. relief_cdeg, relief_how: the primary relief that an
    indicator's drop came to, and how its distance was taken. words: what was seen, by what was looked at, on a kind
    that is not computed. Pieces go to looked at. Conflict where someone saved one meanwhile; Refusal where none is
    chosen.
    """
    if not pieces:
        raise Refusal("Tick the pieces that were looked at.")
    entries = list_entries(typed, angles or {}, each_tooth, marks)
    with event(by, "inspected", done_at=done_at) as inspecting:
        common = {"event": inspecting, "damage": damage, "note": note, "diameter_how": diameter_how}
        first = _row(
            pieces[0],
            seen,
            common,
            method=method,
            teeth=teeth,
            relief_cdeg=relief_cdeg,
            relief_how=relief_how,
            words=canonical(dict(words or {})),
        )
        rows = add([first, *(_row(piece, seen, common, copied_from=first) for piece in pieces[1:])])
        Reading.every.bulk_create(
            [
                make_reading(
                    first,
                    entry,
                    None
                    if entry.what == "diameter" and diameter_how == "marked"
                    else gauge_for(entry, gauge, indicator),
                )
                for entry in entries
            ]
        )
        _learn_teeth(pieces[0].line.family, teeth)
        move(pieces=[p for p in pieces if p.status != "inspected"], to="inspected", by=by)
    return rows


def _row(piece: Piece, seen: dict[int, int], common: dict[str, Any], **more: Any) -> Inspection:
    return Inspection(piece=piece, revision=seen.get(piece.pk, 0) + 1, **common, **more)


def _learn_teeth(family: Family, teeth: int | None) -> None:
    """A family whose tooth count nobody knew learns it."""
    if teeth and family.teeth is None:
        Family.objects.filter(pk=family.pk, teeth=None).update(teeth=teeth)
        family.teeth = teeth
