"""A line on the job sheet: its pieces with the plan's figures, its own limits, the small drawing."""

from collections.abc import Sequence
from typing import Any

from regrind.bench.grinding.wish import say_confirmed
from regrind.bench.kinds.registry import kind_of
from regrind.bench.models import Inspection, Plan
from regrind.bench.planning.words import say_reason
from regrind.geometry import units
from regrind.paper import values
from regrind.record.kinds import RADIAL
from regrind.record.limit_words import say_tooth_limits
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Line, Piece
from regrind.record.piece_names import spans

from .common import Rows, exact, length, resolution_of, style, tool_name_inside, words_of

TODO = {
    "arrived": "inspect",
    "inspected": "plan",
    "waiting": "ask",
    "ready_to_grind": "grind",
    "ground": "check",
    "at_coater": "at the coater",
    "released": "released",
    "left": "returned",
    "recycled": "recycled",
    "missing": "missing",
}
NOT_GROUND = ("returned_unground", "scrap", "missing")
INSPECT = ("⌀ now", "Damage, depth", "Damage, back to")
GRIND = ("⌀ as ground", "Runout", "Length", "By")
POINT = ("Point angle", "Length", "By")
SIZE = "⌀ as ground"
BY_LABEL = {
    "width": (SIZE, "Width", "Runout", "By"),
    "chamfer": (SIZE, "Chamfer", "Length", "By"),
    "angle": (SIZE, "Included angle", "Length", "By"),
}
MOST_TOGETHER = 48  # pieces that a row stands for: a row is never taller than a page


def job_line(line: Line, same: Sequence[Piece], rows: Rows) -> values.JobLine:
    """These pieces of a line: all of them, or those that one setup serves."""
    kind = line.family.kind_data
    cautions = [f"Sides not ground: {kind.no_sides}."] if kind.no_sides else []
    codes = {
        code
        for p in same
        if p.status in ("inspected", "ready_to_grind")
        for code in rows.worked_out(p)[1].get("notes", [])
    }
    by_label = next((names for word, names in BY_LABEL.items() if word in kind.label), GRIND)
    write_ins = POINT if "point" in kind.grinds else by_label if "diameter" in kind.label else by_label[1:]
    inspected = all(p.status != "arrived" for p in same)
    return values.JobLine(
        str(line.number),
        tool_name_inside(line),
        tuple(_alike(same, rows)),
        part_number=line.customer_tool_number,
        section=_drawing(line, same, rows),
        note=_note(line),
        cautions=(*cautions, *(f"{say_reason(code).capitalize()}." for code in sorted(codes))),
        write_ins=write_ins if inspected else (*INSPECT, *write_ins),
    )


def _note(line: Line) -> str:
    """The line's own limits and note."""
    how = style(line.batch)
    named = [
        f"{name} {words_of(nm, how)}"
        for name, nm in (
            ("⌀ not below", line.smallest_diameter_nm() if line.holds_smallest() else None),
            ("usable length not below", line.shortest_usable_nm()),
            ("corners may be clipped up to", line.chamfer_nm),
            ("corner radius may become", line.other_radius_nm),
            ("holes as deep as", line.hole_depth_nm),
            ("holes larger by at most", line.oversize_nm),
            ("Matched within", line.match_tolerance_nm if line.matched else None),
        )
        if nm is not None
    ]
    named += say_tooth_limits(line, line.batch.customer.unit)
    hole = line.hole_words()
    named += [f"hole {hole}"] if hole else []
    named += [f"smaller holes that will do {line.smaller_holes}"] if line.smaller_holes else []
    limits = "; ".join(named)
    return "\n".join(part for part in (f"{limits[:1].upper()}{limits[1:]}." if limits else "", line.note) if part)


def _alike(same: Sequence[Piece], rows: Rows) -> list[values.JobPiece]:
    """Pieces with the same figures share a row, counted; the others have one each."""
    groups: dict[tuple[Any, ...], list[Piece]] = {}
    for piece in same:
        plan, inspection = rows.plans.get(piece.pk), rows.inspection_of(piece)
        figures = (plan.diameter_nm, plan.cut_back_nm, plan.usable_nm) if plan else ()
        key = (
            TODO[piece.status],
            piece.reason,
            piece.complaint,
            figures,
            inspection.pk if inspection else 0,
            piece.pk if piece.tool_id else 0,
        )
        groups.setdefault(key, []).append(piece)
    return [
        _row(pieces[start : start + MOST_TOGETHER], rows)
        for pieces in groups.values()
        for start in range(0, len(pieces), MOST_TOGETHER)
    ]


def _row(pieces: Sequence[Piece], rows: Rows) -> values.JobPiece:
    piece = pieces[0]
    plan, inspection = _planned(piece, rows), rows.inspection_of(piece)
    resolution = resolution_of(inspection, "diameter")
    now = inspection.diameter_nm if inspection else None
    after = plan.diameter_nm if plan and set(RADIAL) & set((plan.grinds or "sides").split()) else None
    off = length((now - after) // 2, resolution // 2) if now and after and now >= after else None
    marked = inspection is not None and inspection.diameter_source == "marked"
    return values.JobPiece(
        spans(pieces),
        TODO[piece.status],
        diameter_now=length(now, resolution, assumed=marked),
        removal_radial=off,
        diameter_after=exact(after),
        cut_back=exact(plan.cut_back_nm) if plan else None,
        usable_after=exact(plan.usable_nm) if plan else None,
        count=len(pieces),
        note=_why(pieces, rows),
        tag=piece.tool.tag if piece.tool else "",
    )


def _planned(piece: Piece, rows: Rows) -> Plan | None:
    """The plan to grind by: what is not ground has none, whatever was worked out before that was decided."""
    return None if piece.result in NOT_GROUND else rows.plans.get(piece.pk)


def _why(pieces: Sequence[Piece], rows: Rows) -> str:
    """The reason, the complaint, and on which piece the diameter was read where the row stands for several."""
    piece, inspection = pieces[0], rows.inspection_of(pieces[0])
    going = _planned(piece, rows) if piece.status == "ready_to_grind" else None
    confirmed = say_confirmed(going, rows.worked_out(piece)[1], piece.line).rstrip(".")
    reasons = [
        *_say_kind(piece, rows),
        confirmed,
        f"Complaint of {piece.complaint_of}: {piece.complaint}" if piece.complaint_of else "",
        "" if confirmed else piece.reason,
        f"⌀ now measured on {rows.names[inspection.piece_id]}"
        if inspection and _is_measured(inspection) and _shared(pieces, inspection)
        else "",
    ]
    return "; ".join(part for part in reasons if part)


def _say_kind(piece: Piece, rows: Rows) -> list[str]:
    """The few figures that a kind with a plan of its own has besides."""
    planner, option = kind_of(piece.line.family).planner, rows.worked_out(piece)[1]
    planned = planner and option.get("grind") and _planned(piece, rows)
    if not (planner and planned):
        return []
    unit = piece.line.batch.customer.unit
    deciding = planner.deciding(rows.case(piece), option, unit)
    return planner.short(option, unit) + [f"{label.lower()}: {text}" for label, text in deciding]


def _is_measured(inspection: Inspection) -> bool:
    """Whether somebody measured its diameter: one as marked was read on no piece."""
    return bool(inspection.diameter_nm) and inspection.diameter_source != "marked"


def _shared(pieces: Sequence[Piece], inspection: Inspection) -> bool:
    """Whether the row stands for a piece that the diameter was not read on."""
    return any(piece.pk != inspection.piece_id for piece in pieces)


def _drawing(line: Line, same: Sequence[Piece], rows: Rows) -> values.Section | values.Sketch | None:
    """The small drawing: of a kind with a plan of its own the first that it draws, else the cross-section."""
    planner = kind_of(line.family).planner
    if planner is None:
        return _section(line, same, rows)
    for piece in same:
        option = rows.worked_out(piece)[1]
        if _planned(piece, rows) and option.get("grind"):
            sketches = planner.sketches(rows.case(piece), option, line.batch.customer.unit)
            return next(iter(sketches.values()), None)
    return None


def _section(line: Line, same: Sequence[Piece], rows: Rows) -> values.Section | None:
    """A small drawing where both diameters are known of one piece of the line."""
    for piece in same:
        inspection, plan = rows.inspections.get(piece.pk), _planned(piece, rows)
        if (
            inspection
            and inspection.diameter_nm
            and plan
            and plan.diameter_nm
            and _teeth(line, piece, rows)
            and "sides" in plan.grinds
        ):
            return _drawn(line, piece, rows, inspection.diameter_nm, plan.diameter_nm)
    return None


def _teeth(line: Line, piece: Piece, rows: Rows) -> int | None:
    """As they were counted at the inspection, else as the line and its family have them."""
    inspection = rows.inspection_of(piece)
    return (inspection.teeth if inspection else None) or tool_of(line).teeth


def _drawn(line: Line, piece: Piece, rows: Rows, before_nm: int, after_nm: int) -> values.Section:
    answer, option = rows.worked_out(piece)
    stated, defaults = rows.case(piece).get("tool", {}), {d["field"]: d["value"] for d in answer.get("defaults", [])}
    core, assumed = stated.get("core_diameter"), defaults.get("core_diameter")
    core_nm = units.parse(core).nm if core else units.to_nm(assumed) if assumed else None
    relief = stated.get("primary_relief_deg", defaults.get("primary_relief_deg"))
    shape = {
        name: float(value)
        for name, value in (("rake_deg", option.get("rake_deg")), ("relief_deg", relief))
        if value is not None
    }
    return values.Section(
        _teeth(line, piece, rows) or 0,
        values.Length(before_nm),
        values.Length(after_nm),
        None if core_nm is None else values.Length(core_nm, assumed=core is None),
        limit=exact(line.smallest_diameter_nm()),
        **shape,
    )
