"""Recording the final check and releasing pieces: the only writer of final checks."""
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.utils import timezone

from regrind.geometry.units import Typed
from regrind.record.models import Piece, Tool
from regrind.record.moves import move
from regrind.shop.acting import Refusal, acting
from regrind.shop.models import Gauge, Person

from ..inspecting.actions import canonical, reading
from ..models import FinalCheck, Grind, Plan, Reading
from ..rows import add, newest
from .findings import find

COLUMNS = {"diameter": "diameter_nm", "back_diameter": "back_diameter_nm", "drop": "relief_drop_nm",
           "drop_over": "relief_over_nm", "runout_sides": "runout_sides_nm", "runout_end": "runout_end_nm",
           "overall": "overall_nm", "usable": "usable_nm"}


def check(*, by: Person, pieces: Sequence[Piece], seen: dict[int, int], typed: dict[str, Typed],
          diameters: dict[int, Typed] | None = None, passed: bool = True, sent_back: str = "", method: str = "",
          relief_cdeg: int | None = None, relief_how: str = "", point_angle_cdeg: int | None = None, corner: str = "",
          corner_nm: int | None = None, coating: str = "", witness: str = "", note: str = "",
          gauge: Gauge | None = None, indicator: Gauge | None = None,
          done_at: datetime | None = None) -> list[FinalCheck]:
    """Check pieces at once: the first in full, the diameter of those in `diameters`, the rest as the first.

    typed: the first piece's lengths by name. diameters: piece id -> its own diameter. passed: released with the result
    ground; else sent back to grind, with the reason. Refusal where the corner is called what it cannot be, the coating
    what was ground off, or it is sent back without a reason. Conflict on a clash.
    """
    if not pieces:
        raise Refusal("Tick the pieces that are checked.")
    if not passed and not sent_back:
        raise Refusal("Say why they go back to grinding.")
    when = done_at or timezone.now()
    grinds, plans = newest(Grind, pieces), newest(Plan, pieces)
    _refuse_untrue(pieces[0], grinds.get(pieces[0].pk), corner, coating)
    common: dict[str, Any] = {"by": by, "done_at": when, "passed": passed, "sent_back": sent_back, "corner": corner,
                              "corner_nm": corner_nm, "coating": coating, "note": note}
    with acting(by, sent_back or "checked"):
        own = diameters or {}
        rows = [_row(piece, seen, grinds, plans, gauge, common, typed if n == 0 else {}, own.get(piece.pk))
                for n, piece in enumerate(pieces)]
        first = rows[0]
        first.method, first.witness, first.relief_cdeg, first.relief_how = method, witness, relief_cdeg, relief_how
        first.point_angle_cdeg = point_angle_cdeg
        add([first])
        for row in rows[1:]:
            row.like, row.in_full = first, False
        add(rows[1:])
        Reading.objects.bulk_create(_readings(rows, typed, diameters or {}, gauge, indicator, by, when))
        if passed:
            move(pieces=pieces, to="released", by=by, done_at=when, result="ground")
            _remember_diameters(pieces, rows)
        else:
            move(pieces=pieces, to="to_grind", by=by, done_at=when, reason=sent_back)
    return rows


def _row(piece: Piece, seen: dict[int, int], grinds: dict[int, Grind], plans: dict[int, Plan], gauge: Gauge | None,
         common: dict[str, Any], typed: dict[str, Typed], own: Typed | None) -> FinalCheck:
    columns = {COLUMNS[name]: value.nm for name, value in typed.items() if name in COLUMNS}
    if own is not None:
        columns["diameter_nm"] = own.nm
    findings = find(piece.line, plans.get(piece.pk), columns.get("diameter_nm"), columns.get("usable_nm"), gauge)
    return FinalCheck(piece=piece, revision=seen.get(piece.pk, 0) + 1, grind=grinds.get(piece.pk),
                      findings=canonical(findings), **columns, **common)


def _readings(rows: Sequence[FinalCheck], typed: dict[str, Typed], diameters: dict[int, Typed], gauge: Gauge | None,
              indicator: Gauge | None, by: Person, when: datetime) -> list[Reading]:
    first = rows[0]
    found = [reading(first, name, value, gauge if name in ("diameter", "back_diameter") else indicator, by, when)
             for name, value in typed.items()]
    return found + [reading(row, "diameter", diameters[row.piece_id], gauge, by, when)
                    for row in rows[1:] if row.piece_id in diameters]


def _refuse_untrue(piece: Piece, grind: Grind | None, corner: str, coating: str) -> None:
    """A radius whose sides were ground is no longer its radius, and a ground flank no longer has its coating."""
    family, sides = piece.line.family, grind is not None and "sides" in grind.grinds.split()
    if sides and family.kind in ("radius", "ball") and corner == "as it was":
        raise Refusal("The sides were ground: the corner is no longer the radius it was. Say what it is now.")
    if sides and family.coating and coating.strip().lower() == family.coating.lower() and not _recoated(piece):
        raise Refusal(f"The flank was ground: nothing still says {family.coating} unless it was recoated.")


def _recoated(piece: Piece) -> bool:
    return piece.steps.filter(pair="away>ground").exists()


def _remember_diameters(pieces: Sequence[Piece], rows: Sequence[FinalCheck]) -> None:
    """A followed tool keeps the diameter it left with, to be recognised by."""
    for piece, row in zip(pieces, rows, strict=True):
        if piece.tool_id and row.diameter_nm:
            Tool.objects.filter(pk=piece.tool_id).update(last_diameter_nm=row.diameter_nm)
