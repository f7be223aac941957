"""Recording the final check and releasing pieces: the only writer of final checks."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import TypedDict, Unpack

from regrind.geometry.units import Typed
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Piece, Tool
from regrind.record.moves import move
from regrind.shop.events import Refusal, event
from regrind.shop.models import Event, Gauge, Person

from ..inspecting.actions import inspect
from ..models import FinalCheck, Inspection, Reading
from ..readings import BY_MICROMETER, Angle, make_reading
from ..revisions import (
    GrindSummary,
    add_revisions,
    canonical,
    revisions,
    summarize_grinds,
)
from . import corner_and_coating, findings
from .bounds import Bounds, find_bounds
from .release import refuse_release
from .sizes import FirstRead, Readings, Size, list_sizes

FIRST_WORDS = ("corner", "coating", "method", "witness", "drop_way")


@dataclass(frozen=True)
class Again:
    """What is still wrong on pieces that go back for a new plan: the damage that is left, and lengths measured now.

    indicator: the gauge that its depth was read off.
    """

    damage: str = "nothing"
    typed: dict[str, Typed] = field(default_factory=dict)  # damage_depth, reach, flute_length
    indicator: Gauge | None = None


class SharedFields(TypedDict, total=False):
    """What is recorded of all pieces of a check: a note, why released."""

    note: str
    released_because: str


class CheckFields(SharedFields, total=False):
    """All that is recorded of a check besides its readings and what becomes of the pieces; see `FirstRead`."""

    corner: str
    coating: str
    method: str
    witness: str
    drop_way: str


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
    others: Mapping[int, FirstRead] | None = None,
    **fields: Unpack[CheckFields],
) -> list[FinalCheck]:
    """Check pieces at once: of each planned size the first in full, the others by their diameter or by the first.

    others: planned diameter in nm -> what was read on the first piece of a size that is not the first piece's.
    typed, angles: read on the first piece; a drop there gives its relief, by the way of its distance. diameters: piece
    id -> its own. passed: released with the result ground; else sent back to grind, with the reason. exceptions: piece
    id -> why that one goes back though the others pass. again: those that go back are planned anew.
    Refusal where corner or coating cannot be so, a finding or a missing reading bars the release. Conflict on a clash.
    """
    _refuse_incomplete(pieces, passed, sent_back)
    ground = summarize_grinds(pieces)
    bounds = find_bounds(pieces[0].line, pieces, ground.parts)
    first = FirstRead(typed, angles or {}, **{name: str(fields.get(name, "")) for name in FIRST_WORDS})
    sizes = list_sizes(pieces, bounds.plans, first, others or {}, released=passed)
    _refuse_untrue(sizes, ground)
    with event(by, "checked", why=sent_back, done_at=done_at) as checking:
        groups = [_make_rows(checking, size, expected, ground, fields) for size in sizes]
        _decide(_flat(groups), passed, sent_back, exceptions or {})
        _compare_all(groups, bounds, [Readings(size.read, diameters or {}, gauge, indicator) for size in sizes])
        refuse_release(_flat(groups), fields.get("released_because", "").strip())
        _store(groups)
        _send_on(groups, by, again)
    return _flat(groups)


def _flat(groups: Sequence[Sequence[FinalCheck]]) -> list[FinalCheck]:
    """The rows of all sizes."""
    return [row for group in groups for row in group]


def _refuse_incomplete(pieces: Sequence[Piece], passed: bool, sent_back: str) -> None:
    if not pieces:
        raise Refusal("Tick the pieces that are checked.")
    if not passed and not sent_back:
        raise Refusal("Say why they go back to grinding.")


def _make_rows(
    checking: Event, size: Size, expected: dict[int, int], ground: GrindSummary, fields: CheckFields
) -> list[FinalCheck]:
    """A row for each piece of a size, not stored yet: what was read on its first piece alone stands with that one."""
    read = size.read
    shared = {name: fields.get(name, "") for name in SharedFields.__annotations__}
    first_only = {"method": read.method, "witness": read.witness, "drop_way": read.drop_way}
    return [
        FinalCheck(
            event=checking,
            piece=piece,
            revision=expected.get(piece.pk, 0) + 1,
            grind=ground.newest.get(piece.pk),
            corner=read.corner,
            coating=read.coating,
            **shared,
            **({} if number else first_only),
        )
        for number, piece in enumerate(size.pieces)
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
    """Give each row of a size its readings and write its findings."""
    for number, row in enumerate(rows):
        _read(row, read, first=not number)
        lengths = {name: reading.cdeg if reading.nm is None else reading.nm for name, reading in row.readings.items()}
        limits = bounds.limits(row.piece_id, row.diameter_nm)
        by_drop = None if number else read.find_relief()
        row.relief_cdeg = by_drop.cdeg if by_drop else None
        row.findings = canonical(findings.list_findings(limits, lengths, by_drop, read.gauge, read.indicator))


def _compare_all(groups: Sequence[list[FinalCheck]], bounds: Bounds, reads: Sequence[Readings]) -> None:
    """Compare each size by itself; the spread of a matched set stands with the first piece of all."""
    for rows, read in zip(groups, reads, strict=True):
        _compare(rows, bounds, read)
    first, measured = groups[0][0], [row.diameter_nm for rows in groups for row in rows if row.diameter_nm is not None]
    spread = findings.find_spread(bounds.line, measured, reads[0].gauge)
    first.findings = canonical([*json.loads(first.findings), *spread])


def _read(row: FinalCheck, read: Readings, *, first: bool) -> None:
    """Give a row its readings, to be stored with it."""
    entries = read.entries(row.piece_id, first=first)
    made = (
        make_reading(row, entry, read.gauge if entry.quantity in BY_MICROMETER else read.indicator) for entry in entries
    )
    row.readings = {reading.field: reading for reading in made}


def _store(groups: Sequence[Sequence[FinalCheck]]) -> None:
    """Of each size the first row, then the others, which follow it unless they go back for a reason of their own."""
    for first, *others in groups:
        for row in others:
            row.in_full = False
            row.copied_from = first if row.passed == first.passed else None
            if row.copied_from is None:
                row.corner, row.coating = "", ""
    rows = _flat(groups)
    add_revisions(rows)
    Reading.every.bulk_create([reading for row in rows for reading in row.readings.values()])


def _send_on(groups: Sequence[Sequence[FinalCheck]], by: Person, again: Again | None) -> None:
    """Released, or back: to grinding by the plan it has, or inspected again for another plan."""
    rows = _flat(groups)
    good = [(row.piece, row) for row in rows if row.passed]
    move(pieces=[piece for piece, _ in good], to="released", by=by, result="ground")
    _remember_diameters(good)
    if again is not None and not rows[0].passed:
        for group in groups:
            _inspect_again(group, again, by)
        return
    reasons: dict[str, list[Piece]] = {}
    for row in rows:
        if not row.passed:
            reasons.setdefault(row.sent_back, []).append(row.piece)
    for reason, back in reasons.items():
        move(pieces=back, to="ready_to_grind", by=by, reason=reason)


def _inspect_again(rows: Sequence[FinalCheck], again: Again, by: Person) -> None:
    """Inspect pieces of a size again with the diameters that the check read; one that has its own stands by itself."""
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


def _refuse_untrue(sizes: Sequence[Size], ground: GrindSummary) -> None:
    """A radius whose sides were ground is no longer its radius, and a ground flank no longer has its coating."""
    pieces = [piece for size in sizes for piece in size.pieces]
    tool = tool_of(pieces[0].line)
    recoated = corner_and_coating.recoated(pieces, ground.newest) if tool.coating else {}
    for size in sizes:
        for piece in size.pieces:
            parts = ground.parts.get(piece.pk, ())
            wrong = corner_and_coating.wrong_corner(tool, parts, size.read.corner)
            wrong = wrong or corner_and_coating.wrong_coating(tool, parts, size.read.coating, piece.pk in recoated)
            if wrong:
                raise Refusal(wrong)


def _remember_diameters(good: Sequence[tuple[Piece, FinalCheck]]) -> None:
    """A followed tool keeps the diameter it left with, to be recognised by."""
    for piece, row in good:
        if piece.tool_id and row.diameter_nm:
            Tool.objects.filter(pk=piece.tool_id).update(last_diameter_nm=row.diameter_nm)
