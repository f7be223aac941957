"""A piece in the report's table: before and after, as far as each was measured."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from regrind.bench.models import FinalCheck, Inspection
from regrind.paper import values
from regrind.record.kinds import RADIAL, name_part
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Piece
from regrind.record.piece_names import spans

from .common import Rows, clearance, coating_now, corner_now, exact, length, resolution_of, style, times_reground

RESULTS = {"ground": "ground", "returned_unground": "returned unground", "scrap": "scrap", "missing": "missing"}


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
        for some in (alike[start : start + MOST_TOGETHER] for start in range(0, len(alike), MOST_TOGETHER))
    )


def _measured(row: values.ReportPiece) -> bool:
    """Whether anything was read on this piece: lengths and angles of its states, or the shank's runout."""
    read = [
        getattr(state, name)
        for state in (row.before, row.after)
        for name in ("diameter", "overall_length", "usable_length", "runout", "clearance", "point", "width", "chamfer")
    ]
    return any(one is not None for one in (*read, row.removed_radial, row.shank_runout))


def report_piece(piece: Piece, rows: Rows, tell_left: bool) -> values.ReportPiece:
    """One piece's row. What was read on another piece is not repeated here: a dash stands for it."""
    plan = rows.plans.get(piece.pk)
    ground = piece.result == "ground"
    regrinds_left = plan.regrinds_left if tell_left and ground and plan else None
    here = "at the coater" if piece.status == "at_coater" else "on hand"
    inspection = rows.first_inspections.get(piece.pk)
    return values.ReportPiece(
        piece.short,
        RESULTS.get(piece.result, here),
        _before(piece, rows),
        _after(piece, rows) if ground else values.State(),
        removed_radial=removed(piece, rows) if ground else None,
        cut_back=_cut_back(piece, rows) if ground else None,
        why=_why(piece),
        done=" and ".join(name_part(part) for part in rows.ground.get(piece.pk, ())) if ground else "",
        tag=piece.tool.tag if piece.tool else "",
        times_reground=times_reground(piece),
        regrinds_left=regrinds_left,
        shank_runout=_entry(rows, inspection, "shank_tir"),
    )


def _cut_back(piece: Piece, rows: Rows) -> values.Length | None:
    """What the plan took off the end; None where it was to take some and only the sides were ground."""
    plan = rows.plans.get(piece.pk)
    if plan is None or (plan.cut_back_nm and rows.ground.get(piece.pk) == ("sides",)):
        return None
    return exact(plan.cut_back_nm)


def _why(piece: Piece) -> str:
    complaint = f"complaint about {piece.complaint_of}: {piece.complaint}" if piece.complaint_of else ""
    return "; ".join(part for part in (complaint, piece.reason) if part)


def _before(piece: Piece, rows: Rows) -> values.State:
    """As received: what was measured on this very piece, or read off its mark."""
    inspection, tool = rows.first_inspections.get(piece.pk), tool_of(piece.line, with_assumed=False)
    new = not (piece.before_here or piece.before_elsewhere)
    state: dict[str, Any] = {"coating": tool.coating if new else ""}
    if inspection is None or inspection.copied_from_id:
        return values.State(**state)
    if inspection.diameter_nm is not None:
        state |= _diameter(
            piece, inspection.diameter_nm, resolution_of(inspection, "diameter"), inspection.diameter_source == "marked"
        )
    return values.State(
        **state,
        overall_length=_entry(rows, inspection, "overall"),
        usable_length=_entry(rows, inspection, "flute_length"),
        runout=_entry(rows, inspection, "tir"),
        width=_entry(rows, inspection, "width"),
        chamfer=_entry(rows, inspection, "chamfer_length"),
    )


def _entry(rows: Rows, inspection: Inspection | None, quantity: str) -> values.Length | None:
    """A length that was entered with the inspection of this very piece."""
    if inspection is None or inspection.copied_from_id:
        return None
    read = inspection.readings.get(quantity)
    return length(read.nm if read else None, resolution_of(inspection, quantity))


def _after(piece: Piece, rows: Rows) -> values.State:
    """As it is now: its own diameter where it was measured, the rest where it was checked in full."""
    check = rows.checks.get(piece.pk)
    state: dict[str, Any] = {
        "corner": corner_now(rows.full_check(piece), style(piece.line.batch), piece.line.family.kind_data.corner),
        "coating": coating_now(rows, piece),
    }
    if check is None:
        return values.State(**state)
    if check.diameter_nm is not None:
        state |= _diameter(piece, check.diameter_nm, resolution_of(check, "diameter"))
    return values.State(**state, **(_in_full(check, rows) if check.in_full else {}))


def _diameter(piece: Piece, nm: int, resolution_nm: int, assumed: bool = False) -> dict[str, Any]:
    """The diameter; where its sides can be ground also the difference from nominal."""
    family = piece.line.family
    if set(RADIAL).isdisjoint(family.kind_data.grinds):
        return {"diameter": length(nm, resolution_nm, assumed=assumed)}
    nominal_nm = family.nominal_nm
    return {
        "diameter": length(nm, resolution_nm, assumed=assumed),
        "difference": length(nm - nominal_nm, resolution_nm, assumed=assumed) if nominal_nm else None,
    }


def _in_full(check: FinalCheck, rows: Rows) -> dict[str, Any]:
    return {
        "overall_length": length(check.overall_nm, resolution_of(check, "overall")),
        "usable_length": length(check.usable_nm, resolution_of(check, "usable")),
        "clearance": clearance(rows, check),
        "runout": length(check.runout_sides_nm, resolution_of(check, "runout_sides")),
        "width": length(check.width_nm, resolution_of(check, "width")),
        "chamfer": length(check.chamfer_length_nm, resolution_of(check, "chamfer_length")),
        "point": None if check.point_angle_cdeg is None else values.Angle(check.point_angle_cdeg),
    }


def removed(piece: Piece, rows: Rows) -> values.Length | None:
    """Stock off a side: half the difference of two diameters that were both measured on this piece; None where the
    second came out larger, since nothing of the sides can have gone."""
    inspection, check, parts = (
        rows.first_inspections.get(piece.pk),
        rows.checks.get(piece.pk),
        rows.ground.get(piece.pk),
    )
    if parts and set(RADIAL).isdisjoint(parts):
        return None
    if (
        not inspection
        or not check
        or inspection.diameter_source != "measured"
        or inspection.diameter_nm is None
        or check.diameter_nm is None
    ):
        return None
    if check.diameter_nm > inspection.diameter_nm:
        return None
    coarse = max(resolution_of(inspection, "diameter"), resolution_of(check, "diameter"))
    return length((inspection.diameter_nm - check.diameter_nm) // 2, coarse // 2)
