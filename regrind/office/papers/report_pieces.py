"""A piece in the report's table: before and after, as far as each was measured."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from regrind.bench.models import FinalCheck, Inspection
from regrind.paper import values
from regrind.record.models import Piece

from .common import Rows, clearance, coating_now, corner_now, exact, length, resolution_of, spans, style, times_reground

RESULTS = {"ground": "ground", "returned_unground": "as it came", "scrap": "scrap", "missing": "missing"}


MOST_TOGETHER = 48  # pieces that a row stands for: a row is never taller than a page


def report_pieces(same: Sequence[Piece], rows: Rows, tell_left: bool) -> tuple[values.ReportPiece, ...]:
    """The rows of a line in order: a piece that was measured or is followed has its own, others alike share one."""
    groups: dict[Any, list[Piece]] = {}
    for piece in same:
        row = report_piece(piece, rows, tell_left)
        key = row if row.tag or _measured(row) else replace(row, number="")
        groups.setdefault(key, []).append(piece)
    return tuple(
        replace(row, number=spans(some), count=len(some))
        for row, alike in groups.items()
        for some in (alike[at : at + MOST_TOGETHER] for at in range(0, len(alike), MOST_TOGETHER))
    )


def _measured(row: values.ReportPiece) -> bool:
    """Whether anything was read on this piece: lengths and angles of its states, or the shank's runout."""
    read = [
        getattr(state, name)
        for state in (row.before, row.after)
        for name in ("diameter", "overall_length", "usable_length", "runout", "clearance", "point")
    ]
    return any(one is not None for one in (*read, row.removed_radial, row.shank_runout))


def report_piece(piece: Piece, rows: Rows, tell_left: bool) -> values.ReportPiece:
    """One piece's row. What was read on another piece is not repeated here: a dash stands for it."""
    plan = rows.plans.get(piece.pk)
    ground = piece.result == "ground"
    left = plan.regrinds_left if tell_left and ground and plan else None
    here = "at the coater" if piece.status == "at_coater" else "on hand"
    seen = rows.came.get(piece.pk)
    return values.ReportPiece(
        piece.short,
        RESULTS.get(piece.result, here),
        _before(piece, rows),
        _after(piece, rows) if ground else values.State(),
        removed_radial=removed(piece, rows) if ground else None,
        cut_back=_cut_back(piece, rows) if ground else None,
        why=_why(piece),
        done=" and ".join(rows.ground.get(piece.pk, ())) if ground else "",
        tag=piece.tool.tag if piece.tool else "",
        times_reground=times_reground(piece),
        regrinds_left=left,
        shank_runout=_entry(rows, seen, "shank_tir"),
    )


def _cut_back(piece: Piece, rows: Rows) -> values.Length | None:
    """What the plan took off the end; None where it was to take some and only the sides were ground."""
    plan = rows.plans.get(piece.pk)
    if plan is None or (plan.cut_back_nm and rows.ground.get(piece.pk) == ("sides",)):
        return None
    return exact(plan.cut_back_nm)


def _why(piece: Piece) -> str:
    complaint = f"complaint of {piece.complaint_of}: {piece.complaint}" if piece.complaint_of else ""
    return "; ".join(part for part in (complaint, piece.reason) if part)


def _before(piece: Piece, rows: Rows) -> values.State:
    """As it came: what was read on this very piece, or read off its mark."""
    seen, family = rows.came.get(piece.pk), piece.line.family
    new = not (piece.before_here or piece.before_elsewhere)
    told: dict[str, Any] = {"coating": family.coating if new else ""}
    if seen is None or seen.copied_from_id:
        return values.State(**told)
    if seen.diameter_nm is not None:
        told |= _diameter(piece, seen.diameter_nm, resolution_of(seen, "diameter"), seen.diameter_source == "marked")
    return values.State(
        **told,
        overall_length=_entry(rows, seen, "overall"),
        usable_length=_entry(rows, seen, "flute_length"),
        runout=_entry(rows, seen, "tir"),
    )


def _entry(rows: Rows, seen: Inspection | None, what: str) -> values.Length | None:
    """A length that was entered with the inspection of this very piece."""
    if seen is None or seen.copied_from_id:
        return None
    read = seen.readings.get(what)
    return length(read.nm if read else None, resolution_of(seen, what))


def _after(piece: Piece, rows: Rows) -> values.State:
    """As it is now: its own diameter where it was measured, the rest where it was checked in full."""
    own = rows.checks.get(piece.pk)
    told: dict[str, Any] = {
        "corner": corner_now(rows.full_check(piece), style(piece.line.batch)),
        "coating": coating_now(rows, piece),
    }
    if own is None:
        return values.State(**told)
    if own.diameter_nm is not None:
        told |= _diameter(piece, own.diameter_nm, resolution_of(own, "diameter"))
    return values.State(**told, **(_in_full(own, rows) if own.in_full else {}))


def _diameter(piece: Piece, nm: int, resolution_nm: int, assumed: bool = False) -> dict[str, Any]:
    """The diameter; where its sides can be ground also the difference from nominal, and the radius at half the
    resolution."""
    family = piece.line.family
    if "sides" not in family.kind_data.grinds:
        return {"diameter": length(nm, resolution_nm, assumed=assumed)}
    nominal_nm = family.nominal_nm
    return {
        "diameter": length(nm, resolution_nm, assumed=assumed),
        "radius": length(nm // 2, resolution_nm // 2, assumed=assumed),
        "difference": length(nm - nominal_nm, resolution_nm, assumed=assumed) if nominal_nm else None,
    }


def _in_full(own: FinalCheck, rows: Rows) -> dict[str, Any]:
    return {
        "overall_length": length(own.overall_nm, resolution_of(own, "overall")),
        "usable_length": length(own.usable_nm, resolution_of(own, "usable")),
        "clearance": clearance(rows, own),
        "runout": length(own.runout_sides_nm, resolution_of(own, "runout_sides")),
        "point": None if own.point_angle_cdeg is None else values.Angle(own.point_angle_cdeg),
    }


def removed(piece: Piece, rows: Rows) -> values.Length | None:
    """Stock off a side: half the difference of two diameters that were both measured on this piece; None where the
    second came out larger, since nothing of the sides can have gone."""
    seen, own, parts = rows.came.get(piece.pk), rows.checks.get(piece.pk), rows.ground.get(piece.pk)
    if parts and "sides" not in parts:
        return None
    if not seen or not own or seen.diameter_source != "measured" or seen.diameter_nm is None or own.diameter_nm is None:
        return None
    if own.diameter_nm > seen.diameter_nm:
        return None
    coarse = max(resolution_of(seen, "diameter"), resolution_of(own, "diameter"))
    return length((seen.diameter_nm - own.diameter_nm) // 2, coarse // 2)
