"""Recording what was seen: the only writer of inspections and their readings."""
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.utils import timezone

from regrind.geometry.units import Typed
from regrind.record.models import Family, Piece
from regrind.record.moves import move
from regrind.shop.events import Refusal, event
from regrind.shop.models import Event, Gauge, Person

from ..models import Inspection, Reading
from ..rows import add
from .entries import BY_EYE, BY_MICROMETER, canonical, compose

__all__ = ["canonical", "inspect", "reading"]


def inspect(*, by: Person, pieces: Sequence[Piece], seen: dict[int, int], typed: dict[str, Typed], damage: str,
            diameter_how: str = "measured", method: str = "", angles: dict[str, int] | None = None,
            marks: Sequence[dict] = (), teeth: int | None = None, gauge: Gauge | None = None,
            indicator: Gauge | None = None, way: str = "", words: dict[str, str] | None = None, note: str = "",
            done_at: datetime | None = None) -> list[Inspection]:
    """Record an inspection for pieces at once: readings on the first, "as first piece" on the others.

    seen: the revision the page saw, by piece id. typed: lengths by field name (diameter, damage_depth, reach, tir,
    tooth_1, mark_1_depth …). angles: hundredths of a degree by name. marks: dicts of tooth, from, to, depth or
    wear_land (nm), what. words: what was seen, by what was looked at, on a kind that is not computed.
    Pieces go to looked at. Conflict where someone saved one meanwhile; Refusal where none is chosen.
    """
    if not pieces:
        raise Refusal("Tick the pieces that were looked at.")
    entries = compose(typed, angles or {}, marks, teeth, way, words or {})
    with event(by, "inspected", done_at=done_at) as inspecting:
        first = add([_row(inspecting, pieces[0], seen, damage, note, diameter_how=diameter_how, method=method,
                          diameter_nm=_nm(typed, "diameter"), damage_nm=_nm(typed, "damage_depth"),
                          reach_nm=_nm(typed, "reach"), entries=entries)])[0]
        others = add([_row(inspecting, piece, seen, damage, note, diameter_how=diameter_how, like=first)
                      for piece in pieces[1:]])
        Reading.objects.bulk_create(_readings(first, typed, diameter_how, gauge, indicator))
        _learn_teeth(pieces[0].line.family, teeth)
        move(pieces=[p for p in pieces if p.whereabouts != "looked_at"], to="looked_at", by=by)
    return [first, *others]


def _nm(typed: dict[str, Typed], name: str) -> int | None:
    return typed[name].nm if name in typed else None


def _row(inspecting: Event, piece: Piece, seen: dict[int, int], damage: str, note: str, **more: Any) -> Inspection:
    return Inspection(event=inspecting, piece=piece, revision=seen.get(piece.pk, 0) + 1, damage=damage, note=note,
                      **more)


def _readings(row: Inspection, typed: dict[str, Typed], how: str, gauge: Gauge | None,
              indicator: Gauge | None) -> list[Reading]:
    """One row for each length read, with its gauge as it stands; a diameter as marked is no reading."""
    found = []
    for name, value in typed.items():
        if name == "diameter" and how == "marked":
            continue
        along = name in BY_EYE or name.endswith(("_from", "_to"))
        off = gauge if name in BY_MICROMETER else None if along else indicator
        found.append(reading(row, name, value, off))
    return found


def reading(row: Any, what: str, value: Typed, gauge: Gauge | None) -> Reading:
    """A reading of an inspection or of a final check, its gauge's resolution and calibration copied as they are."""
    owner = {"inspection": row} if isinstance(row, Inspection) else {"check_row": row}
    told: dict[str, Any] = {} if gauge is None else {
        "gauge": gauge, "gauge_name": gauge.name, "resolution_nm": gauge.resolution_nm,
        "uncertainty_nm": gauge.uncertainty_nm, "calibration": gauge.state(timezone.localdate(row.done_at))}
    return Reading(event=row.event, what=what, nm=value.nm, text=value.text, unit=value.unit, **owner, **told)


def _learn_teeth(family: Family, teeth: int | None) -> None:
    """A family whose tooth count nobody knew learns it."""
    if teeth and family.teeth is None:
        Family.objects.filter(pk=family.pk, teeth=None).update(teeth=teeth)
        family.teeth = teeth
