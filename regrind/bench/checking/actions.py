"""Recording the final check and releasing pieces: the only writer of final checks."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, TypedDict, Unpack

from regrind.geometry.errors import Refused
from regrind.geometry.units import Typed
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Piece, Tool
from regrind.record.moves import move
from regrind.shop.events import Refusal, event
from regrind.shop.models import Event, Gauge, Person

from ..inspecting.actions import inspect
from ..models import FinalCheck, Inspection, Reading
from ..readings import BY_MICROMETER, Angle, Entry, list_entries, make_reading
from ..revisions import (
    GrindSummary,
    add_revisions,
    canonical,
    revisions,
    summarize_grinds,
)
from . import corner_and_coating, findings, relief
from .bounds import Bounds, find_bounds
from .release import refuse_release
from .relief import Relief


@dataclass(frozen=True)
class Again:
    """What is still wrong on pieces that go back for a new plan: the damage that is left, and lengths measured now.

    indicator: the gauge that its depth was read off.
    """

    damage: str = "nothing"
    typed: dict[str, Typed] = field(default_factory=dict)  # damage_depth, reach, flute_length
    indicator: Gauge | None = None


class SharedFields(TypedDict, total=False):
    """What is recorded of all pieces of a check: corner and coating as they are now, a note, why released."""

    corner: str
    coating: str
    note: str
    released_because: str


class FirstFields(TypedDict, total=False):
    """What was read on the first piece alone, besides lengths and angles."""

    method: str
    witness: str
    drop_way: str


class CheckFields(SharedFields, FirstFields, total=False):
    """All that is recorded of a check besides its readings and what becomes of the pieces."""


@dataclass(frozen=True)
class Readings:
    """What was read: lengths and angles of the first piece by name, diameters of others by piece id, and the gauges."""

    typed: Mapping[str, Typed]
    angles: Mapping[str, Angle]
    diameters: Mapping[int, Typed]
    gauge: Gauge | None
    indicator: Gauge | None
    drop_way: str

    def entries(self, piece_id: int, *, first: bool) -> list[Entry]:
        """The entries of one piece."""
        diameter = {"diameter": self.diameters[piece_id]} if piece_id in self.diameters else {}
        return list_entries({**self.typed, **diameter}, self.angles) if first else list_entries(diameter, {})

    def find_relief(self) -> Relief | None:
        """The relief that the first piece's drop comes to; None where no drop, distance or diameter was read."""
        drop, over, diameter = (self.typed.get(name) for name in ("drop", "drop_over", "diameter"))
        if not (drop and over and diameter):
            return None
        if not self.drop_way:
            raise Refusal("Say how the distance of the drop was taken: the ways differ by 3 to 4° on a tool of 6 mm.")
        try:
            return relief.find(drop.nm, over.nm, self.drop_way, diameter.nm, self.indicator, self.gauge)
        except Refused as refused:
            raise Refusal(f"Drop and distance fit no relief: {refused.message}.") from refused


def check(
    *,
    by: Person,
    pieces: Sequence[Piece],
    expected: dict[int, int],
    typed: Mapping[str, Typed],
    angles: Mapping[str, Angle] | None = None,
    diameters: Mapping[int, Typed] | None = None,
    gauge: Gauge | None = None,
    indicator: Gauge | None = None,
    passed: bool = True,
    sent_back: str = "",
    exceptions: dict[int, str] | None = None,
    again: Again | None = None,
    done_at: datetime | None = None,
    **fields: Unpack[CheckFields],
) -> list[FinalCheck]:
    """Check pieces at once: the first in full, the diameter of those in `diameters`, the rest as the first.

    typed, angles: read on the first piece; a drop there gives its relief, by the way of its distance. diameters: piece
    id -> its own. passed: released with the result ground; else sent back to grind, with the reason. exceptions: piece
    id -> why that one goes back though the others pass. again: those that go back start from a new plan.
    fields: see `CheckFields`; `released_because` is a person's reason to release measured pieces outside a limit, and
    stays with those alone that are outside.
    Refusal where corner or coating cannot be what they are called, a finding stands in the way of a release without
    that reason, a piece not measured would be released for it, or one goes back without a reason. Conflict on a clash.
    """
    _refuse_incomplete(pieces, passed, sent_back)
    ground = summarize_grinds(pieces)
    _refuse_untrue(pieces, ground, fields.get("corner", ""), fields.get("coating", ""))
    read = Readings(typed, angles or {}, diameters or {}, gauge, indicator, fields.get("drop_way", ""))
    with event(by, "checked", why=sent_back, done_at=done_at) as checking:
        rows = _make_rows(checking, pieces, expected, ground, fields)
        _decide(rows, passed, sent_back, exceptions or {})
        _compare(rows, find_bounds(pieces[0].line, pieces, ground.parts), read)
        refuse_release(rows, fields.get("released_because", "").strip())
        _store(rows)
        _send_on(rows, pieces, by, again)
    return rows


def _refuse_incomplete(pieces: Sequence[Piece], passed: bool, sent_back: str) -> None:
    if not pieces:
        raise Refusal("Tick the pieces that are checked.")
    if not passed and not sent_back:
        raise Refusal("Say why they go back to grinding.")


def _make_rows(
    checking: Event, pieces: Sequence[Piece], expected: dict[int, int], ground: GrindSummary, fields: CheckFields
) -> list[FinalCheck]:
    """A row for each piece, not stored yet: what was read on the first piece alone stands with the first."""
    first_only = FirstFields.__annotations__.keys()
    shared: dict[str, Any] = {name: value for name, value in fields.items() if name not in first_only}
    return [
        FinalCheck(
            event=checking,
            piece=piece,
            revision=expected.get(piece.pk, 0) + 1,
            grind=ground.newest.get(piece.pk),
            **(shared if number else fields),
        )
        for number, piece in enumerate(pieces)
    ]


def _decide(rows: Sequence[FinalCheck], passed: bool, sent_back: str, exceptions: dict[int, str]) -> None:
    """What becomes of each piece: as the others, or back for a reason of its own."""
    for row in rows:
        row.passed, row.sent_back = passed, sent_back
        if passed and row.piece_id in exceptions:
            row.passed, row.sent_back = False, exceptions[row.piece_id]
        if not row.passed:
            row.released_because = ""


def _compare(rows: Sequence[FinalCheck], bounds: Bounds, read: Readings) -> None:
    """Give each row its readings and write its findings; the spread of a matched set stands with the first."""
    for number, row in enumerate(rows):
        _read(row, read, first=not number)
        lengths = {name: reading.nm for name, reading in row.readings.items()}
        limits = bounds.limits(row.piece_id, row.diameter_nm)
        by_drop = None if number else read.find_relief()
        row.relief_cdeg = by_drop.cdeg if by_drop else None
        row.findings = canonical(findings.list_findings(limits, lengths, by_drop, read.gauge, read.indicator))
    measured = [row.diameter_nm for row in rows if row.diameter_nm is not None]
    spread = findings.find_spread(bounds.line, measured, read.gauge)
    rows[0].findings = canonical([*json.loads(rows[0].findings), *spread])


def _read(row: FinalCheck, read: Readings, *, first: bool) -> None:
    """Give a row its readings, to be stored with it."""
    entries = read.entries(row.piece_id, first=first)
    made = (
        make_reading(row, entry, read.gauge if entry.quantity in BY_MICROMETER else read.indicator) for entry in entries
    )
    row.readings = {reading.field: reading for reading in made}


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
    """Released, or back: to grinding by the plan it has, or inspected again for another plan."""
    good = [(piece, row) for piece, row in zip(pieces, rows, strict=True) if row.passed]
    move(pieces=[piece for piece, _ in good], to="released", by=by, result="ground")
    _remember_diameters(good)
    reasons: dict[str, list[Piece]] = {}
    for piece, row in zip(pieces, rows, strict=True):
        if not row.passed:
            reasons.setdefault(row.sent_back, []).append(piece)
    if again is not None and not rows[0].passed:
        _inspect_again(rows, again, by)
        return
    for reason, back in reasons.items():
        move(pieces=back, to="ready_to_grind", by=by, reason=reason)


def _inspect_again(rows: Sequence[FinalCheck], again: Again, by: Person) -> None:
    """Inspect pieces again with the diameters that the check read; a piece that has its own stands by itself."""
    if rows[0].diameter_nm is None:
        raise Refusal("A new plan starts from the diameter as it is now: measure it.")
    expected = revisions(Inspection, [row.piece_id for row in rows])
    alike = [row.piece for row in rows if row is rows[0] or not row.readings]
    for row, pieces in [(rows[0], alike), *((row, [row.piece]) for row in rows[1:] if row.readings)]:
        reading = row.readings["diameter"]
        diameter = Typed(reading.nm or 0, reading.text, reading.unit)
        inspect(
            by=by,
            pieces=pieces,
            expected=expected,
            typed={"diameter": diameter, **again.typed},
            damage=again.damage,
            method=rows[0].method,
            gauge=reading.gauge,
            indicator=again.indicator,
            note=f"from the check: {row.sent_back}"[:500],
        )


def _refuse_untrue(pieces: Sequence[Piece], ground: GrindSummary, corner: str, coating: str) -> None:
    """A radius whose sides were ground is no longer its radius, and a ground flank no longer has its coating."""
    tool = tool_of(pieces[0].line)
    recoated = corner_and_coating.recoated(pieces, ground.newest) if tool.coating else {}
    for piece in pieces:
        parts = ground.parts.get(piece.pk, ())
        wrong = corner_and_coating.wrong_corner(tool, parts, corner) or corner_and_coating.wrong_coating(
            tool, parts, coating, piece.pk in recoated
        )
        if wrong:
            raise Refusal(wrong)


def _remember_diameters(good: Sequence[tuple[Piece, FinalCheck]]) -> None:
    """A followed tool keeps the diameter it left with, to be recognised by."""
    for piece, row in good:
        if piece.tool_id and row.diameter_nm:
            Tool.objects.filter(pk=piece.tool_id).update(last_diameter_nm=row.diameter_nm)
