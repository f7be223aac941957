"""Recording the final check and releasing pieces: the only writer of final checks."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from regrind.geometry.units import Typed
from regrind.record.models import Line, Piece, Tool
from regrind.record.moves import move
from regrind.shop.events import Refusal, event
from regrind.shop.models import Gauge, Person

from ..inspecting.actions import inspect
from ..models import FinalCheck, Inspection, Plan, Reading
from ..readings import BY_MICROMETER, Angle, Entry, list_entries, make_reading
from ..revisions import (
    GrindSummary,
    add_revisions,
    canonical,
    newest,
    newest_with_readings,
    revisions,
    summarize_grinds,
)
from . import corner_and_coating, findings

NAMED = 6


@dataclass(frozen=True)
class Again:
    """What is still wrong on pieces that go back for a new plan: the damage that is left, and lengths measured now.

    indicator: the gauge that its depth was read off.
    """

    damage: str = "nothing"
    typed: dict[str, Typed] = field(default_factory=dict)  # damage_depth, reach, flute_length
    indicator: Gauge | None = None


def check(
    *,
    by: Person,
    pieces: Sequence[Piece],
    expected: dict[int, int],
    typed: Mapping[str, Typed],
    angles: Mapping[str, Angle] | None = None,
    diameters: Mapping[int, Typed] | None = None,
    passed: bool = True,
    sent_back: str = "",
    method: str = "",
    relief_cdeg: int | None = None,
    drop_way: str = "",
    corner: str = "",
    coating: str = "",
    witness: str = "",
    note: str = "",
    gauge: Gauge | None = None,
    indicator: Gauge | None = None,
    exceptions: dict[int, str] | None = None,
    again: Again | None = None,
    told: Sequence[dict[str, Any]] = (),
    sure: bool = True,
    done_at: datetime | None = None,
) -> list[FinalCheck]:
    """Check pieces at once: the first in full, the diameter of those in `diameters`, the rest as the first.

    typed, angles: what was read on the first piece, by name. diameters: piece id -> its own diameter. passed: released
    with the result ground; else sent back to grind, with the reason. exceptions: piece id -> why that one goes back
    though the others pass. again: those that go back start from a new plan, with the first piece's diameter as it
    measures now. told: findings worked out before (the relief with its uncertainty). sure: release whatever the
    findings say. Refusal where the corner is called what it cannot be, the coating what was ground off, a finding
    stands in the way of a release, or something goes back without a reason. Conflict on a clash.
    """
    if not pieces:
        raise Refusal("Tick the pieces that are checked.")
    if not passed and not sent_back:
        raise Refusal("Say why they go back to grinding.")
    line = pieces[0].line
    ground = summarize_grinds(pieces)
    again_coated = corner_and_coating.recoated(pieces, ground.newest) if line.family.coating else {}
    _refuse_untrue(line, pieces, ground, again_coated, corner, coating)
    back = exceptions or {} if passed else {}
    common = {"passed": passed, "sent_back": sent_back, "corner": corner, "coating": coating, "note": note}
    first_only = {"method": method, "witness": witness, "relief_cdeg": relief_cdeg, "drop_way": drop_way}
    rows = [
        FinalCheck(
            piece=piece,
            revision=expected.get(piece.pk, 0) + 1,
            grind=ground.newest.get(piece.pk),
            **common | (first_only if n == 0 else {}),
        )
        for n, piece in enumerate(pieces)
    ]
    with event(by, "checked", why=sent_back, done_at=done_at) as checking:
        for n, row in enumerate(rows):
            row.event = checking
            own = {"diameter": diameters[row.piece_id]} if diameters and row.piece_id in diameters else {}
            _read(
                row, list_entries({**typed, **own}, angles or {}) if n == 0 else list_entries(own, {}), gauge, indicator
            )
        _compare(rows, line, newest(Plan, pieces), gauge, indicator, told)
        _except(rows, back)
        if not sure:
            _refuse_release(rows, line)
        _store(rows)
        _send_on(rows, pieces, by, again)
    return rows


def _read(row: FinalCheck, entries: Sequence[Entry], gauge: Gauge | None, indicator: Gauge | None) -> None:
    """Give a row its readings, to be stored with it."""
    made = (make_reading(row, entry, gauge if entry.quantity in BY_MICROMETER else indicator) for entry in entries)
    row.readings = {reading.field: reading for reading in made}


def _compare(
    rows: Sequence[FinalCheck],
    line: Line,
    plans: dict[int, Plan],
    gauge: Gauge | None,
    indicator: Gauge | None,
    told: Sequence[dict[str, Any]],
) -> None:
    """Write each row's findings; the spread of a matched set and the relief stand with the first."""
    came = _received_diameters(rows) if line.family.kind_data.no_sides else {}
    measured = [row.diameter_nm for row in rows if row.diameter_nm is not None]
    for n, row in enumerate(rows):
        found = findings.find(
            line, plans.get(row.piece_id), row.diameter_nm, row.usable_nm, gauge, indicator, came.get(row.piece_id)
        )
        extra = [*findings.find_spread(line, measured, gauge), *told] if n == 0 else []
        row.findings = canonical([*found, *extra])


def _received_diameters(rows: Sequence[FinalCheck]) -> dict[int, int]:
    """The diameter each piece came with, where it was read on that piece."""
    seen = newest_with_readings(Inspection, [row.piece_id for row in rows])
    return {pk: row.diameter_nm for pk, row in seen.items() if row.diameter_nm}


def _except(rows: Sequence[FinalCheck], back: dict[int, str]) -> None:
    for row in rows:
        if row.piece_id in back:
            row.passed, row.sent_back = False, back[row.piece_id]


def _refuse_release(rows: Sequence[FinalCheck], line: Line) -> None:
    """Name what stands in the way of those that would be released."""
    unit = line.batch.customer.unit
    wrong = [
        f"{row.piece.short}, {findings.say(item, unit)}"
        for row in rows
        if row.passed
        for item in json.loads(row.findings)
        if findings.objects(item)
    ]
    if wrong:
        more = f"; and {len(wrong) - NAMED} more" if len(wrong) > NAMED else ""
        raise Refusal(f"{'; '.join(wrong[:NAMED])}{more}.")


def _store(rows: Sequence[FinalCheck]) -> None:
    """The first row, then the others, which follow it unless they go back for a reason of their own."""
    first = rows[0]
    for row in rows[1:]:
        row.in_full = False
        row.copied_from = first if row.passed == first.passed else None
        if row.copied_from is None:
            row.corner, row.coating = "", ""
    add_revisions(rows)
    Reading.every.bulk_create([reading for row in rows for reading in row.readings.values()])


def _send_on(rows: Sequence[FinalCheck], pieces: Sequence[Piece], by: Person, again: Again | None) -> None:
    """Released, or back: to grinding by the plan it has, or looked at anew for another plan."""
    good = [(piece, row) for piece, row in zip(pieces, rows, strict=True) if row.passed]
    move(pieces=[piece for piece, _ in good], to="released", by=by, result="ground")
    _remember_diameters(good)
    reasons: dict[str, list[Piece]] = {}
    for piece, row in zip(pieces, rows, strict=True):
        if not row.passed:
            reasons.setdefault(row.sent_back, []).append(piece)
    if again is not None and not rows[0].passed:
        _look_again(rows, again, by)
        return
    for reason, back in reasons.items():
        move(pieces=back, to="ready_to_grind", by=by, reason=reason)


def _look_again(rows: Sequence[FinalCheck], again: Again, by: Person) -> None:
    """Look at pieces anew with the diameters that the check read; a piece that has its own is looked at by itself."""
    if rows[0].diameter_nm is None:
        raise Refusal("A new plan starts from the diameter as it is now: measure it.")
    seen = revisions(Inspection, [row.piece_id for row in rows])
    alike = [row.piece for row in rows if row is rows[0] or not row.readings]
    for row, pieces in [(rows[0], alike), *((row, [row.piece]) for row in rows[1:] if row.readings)]:
        found = row.readings["diameter"]
        diameter = Typed(found.nm or 0, found.text, found.unit)
        inspect(
            by=by,
            pieces=pieces,
            expected=seen,
            typed={"diameter": diameter, **again.typed},
            damage=again.damage,
            method=rows[0].method,
            gauge=found.gauge,
            indicator=again.indicator,
            note=f"from the check: {row.sent_back}"[:500],
        )


def _refuse_untrue(
    line: Line, pieces: Sequence[Piece], ground: GrindSummary, again: dict[int, str], corner: str, coating: str
) -> None:
    """A radius whose sides were ground is no longer its radius, and a ground flank no longer has its coating."""
    family = line.family
    for piece in pieces:
        parts = ground.parts.get(piece.pk, ())
        wrong = corner_and_coating.wrong_corner(family, parts, corner) or corner_and_coating.wrong_coating(
            family, parts, coating, piece.pk in again
        )
        if wrong:
            raise Refusal(wrong)


def _remember_diameters(good: Sequence[tuple[Piece, FinalCheck]]) -> None:
    """A followed tool keeps the diameter it left with, to be recognised by."""
    for piece, row in good:
        if piece.tool_id and row.diameter_nm:
            Tool.objects.filter(pk=piece.tool_id).update(last_diameter_nm=row.diameter_nm)
