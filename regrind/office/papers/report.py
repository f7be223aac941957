"""The returned-tool report of a batch: what came, what was done, what was not ground and why."""
import json
from datetime import date
from typing import Any

from regrind.bench.models import FinalCheck
from regrind.paper import values
from regrind.record.models import Batch, Line, Piece

from .common import Rows, clearance, exact, gather, heading, length, pieces_of, times_reground, tool_name

RESULTS = {"ground": "ground", "as_it_came": "as it came", "scrap": "scrap", "missing": "missing"}


def report(batch: Batch, revision: int, dated: date) -> values.Report:
    """The report as the record stands today; it may be issued again when more has left."""
    pieces = pieces_of(batch)
    rows = gather(pieces)
    by_line: dict[int, list[Piece]] = {}
    for piece in pieces:
        by_line.setdefault(piece.line_id, []).append(piece)
    lines = tuple(_line(same[0].line, same, rows, batch.customer.regrinds_left_on_report) for same in by_line.values())
    return values.Report(
        heading(batch, str(batch.number), revision, dated), lines, not_ground=tuple(_not_ground(by_line)),
        instruments=_instruments(rows), assumed=_assumed(by_line, rows), life=tuple(_lives(pieces)),
        measured_by=_signed({(r.by.name, r.done_at.date()) for r in rows.inspections.values()}),
        released_by=_signed({(r.by.name, r.done_at.date()) for r in rows.checks.values() if r.passed}))


def _signed(found: set[tuple[str, date]]) -> tuple[values.Signed, ...]:
    return tuple(values.Signed(who, on) for who, on in sorted(found))


def _line(line: Line, same: list[Piece], rows: Rows, tell_left: bool) -> values.ReportLine:
    measured = [c.diameter_nm for p in same if (c := rows.checks.get(p.pk)) and c.passed and c.diameter_nm]
    low, high = (min(measured), max(measured)) if measured else (None, None)
    nominal = line.family.nominal_nm
    left = sorted({p.regrinds_left for p in rows.plans.values() if p.piece_id in {x.pk for x in same}
                   and p.regrinds_left is not None})
    words = "" if not left or not tell_left else f"about {left[0]}" if len(left) == 1 else f"about {left[0]} to {left[-1]}"
    done = sorted({" and ".join(rows.grinds[p.pk].grinds.split()) for p in same if p.pk in rows.grinds})
    return values.ReportLine(
        str(line.number), tool_name(line), came=len(same), ground=sum(p.result == "ground" for p in same),
        pieces=tuple(_piece(p, rows, tell_left) for p in same), their_number=line.customer_tool_number,
        nominal=exact(nominal), diameter_from=length(low), diameter_to=length(high) if high != low else None,
        difference=length(low - nominal) if low and nominal else None, done=", ".join(done), regrinds_left=words)


def _piece(piece: Piece, rows: Rows, tell_left: bool) -> values.ReportPiece:
    own, full = rows.check_of(piece)
    plan, grind = rows.plans.get(piece.pk), rows.grinds.get(piece.pk)
    result = RESULTS.get(piece.result, "away" if piece.whereabouts == "away" else "on hand")
    before, after = _before(piece, rows), _after(piece, rows, own, full)
    off = None
    seen = rows.inspections.get(piece.pk)
    if seen and seen.diameter_nm and seen.diameter_how == "measured" and own and own.diameter_nm:
        off = length((seen.diameter_nm - own.diameter_nm) // 2)
    ground = piece.result == "ground"
    return values.ReportPiece(
        piece.short, result, before, after if ground else values.State(), removed_radial=off if ground else None,
        cut_back=exact(plan.cut_back_nm) if ground and plan else None, why=piece.reason,
        done=grind.grinds if grind else "", tag=piece.tool.tag if piece.tool else "",
        times_reground=times_reground(piece), regrinds_left=plan.regrinds_left if tell_left and plan else None)


def _before(piece: Piece, rows: Rows) -> values.State:
    """As it came: a diameter only where this piece was measured, or its mark was read."""
    seen = rows.inspections.get(piece.pk)
    if seen is None or seen.diameter_nm is None:
        return values.State()
    return values.State(diameter=length(seen.diameter_nm, assumed=seen.diameter_how == "marked"))


def _after(piece: Piece, rows: Rows, own: FinalCheck | None, full: FinalCheck | None) -> values.State:
    if own is None:
        return values.State()
    resolution, nominal = rows.resolution(own, "diameter"), piece.line.family.nominal_nm
    told: dict[str, Any] = {}
    if own.diameter_nm is not None:
        told = {"diameter": length(own.diameter_nm, resolution), "radius": length(own.diameter_nm // 2, resolution),
                "difference": length(own.diameter_nm - nominal, resolution) if nominal else None}
    if own.pk == (full.pk if full else None):
        told |= {"overall_length": length(own.overall_nm), "usable_length": length(own.usable_nm),
                 "clearance": clearance(rows, own), "runout": length(own.runout_sides_nm)}
        if own.point_angle_cdeg is not None:
            told["point"] = values.Angle(own.point_angle_cdeg)
    return values.State(**told, corner=own.get_corner_display() if own.corner else "", coating=own.coating)


def _not_ground(by_line: dict[int, list[Piece]]) -> list[values.NotGround]:
    """Every piece not ground has a row: like ones together, by line, result and reason."""
    groups: dict[tuple, list[Piece]] = {}
    for same in by_line.values():
        for piece in same:
            if piece.result in ("as_it_came", "scrap", "missing"):
                groups.setdefault((piece.line_id, piece.result, piece.reason), []).append(piece)
    return [values.NotGround(str(found[0].line.number), tool_name(found[0].line), len(found), RESULTS[result], reason,
                             their_number=found[0].line.customer_tool_number)
            for (_, result, reason), found in groups.items()]


def _instruments(rows: Rows) -> tuple[values.Instrument, ...]:
    used: dict[tuple, set[str]] = {}
    for row in rows.readings:
        if row.gauge_name:
            used.setdefault((row.gauge_name, row.resolution_nm, row.calibration), set()).add(row.what.split("_")[0])
    return tuple(values.Instrument(name, resolution=length(resolution, resolution), state=state,
                                   used_for=", ".join(sorted(what)))
                 for (name, resolution, state), what in sorted(used.items(), key=lambda item: str(item[0])))


def _assumed(by_line: dict[int, list[Piece]], rows: Rows) -> tuple[str, ...]:
    """In words, what was assumed rather than measured."""
    told: list[str] = []
    for same in by_line.values():
        plans = [rows.plans[p.pk] for p in same if p.pk in rows.plans]
        answers = [json.loads(plan.answer) for plan in plans if plan.answer]
        fields = sorted({d["field"].removesuffix("_deg").replace("_", " ") for a in answers for d in a["defaults"]})
        if fields:
            told.append(f"Line {same[0].line.number}: {', '.join(fields)}, from published tables.")
        followed = sum(1 for p in same if (c := rows.checks.get(p.pk)) and c.like_id and c.diameter_nm is None)
        if followed:
            told.append(f"Line {same[0].line.number}: {followed} pieces were ground in the same setup as the first "
                        "and not measured one by one.")
    return tuple(told)


def _lives(pieces: list[Piece]) -> list[values.LifeChart]:
    """The life of each followed tool of this batch, from what it measured on each visit."""
    followed = {p.tool_id: p for p in pieces if p.tool_id}
    checks = (FinalCheck.objects.filter(piece__tool__in=followed, diameter_nm__isnull=False, passed=True)
              .select_related("piece").order_by("done_at"))
    points: dict[int, list[values.LifePoint]] = {}
    for check in checks:
        if check.diameter_nm is not None and check.piece.tool_id:
            at = values.LifePoint(check.done_at.date(), values.Length(check.diameter_nm))
            points.setdefault(check.piece.tool_id, []).append(at)
    charts = []
    for key, found in points.items():
        piece = followed[key]
        limit = piece.line.smallest_diameter_nm()
        if piece.tool and len(found) > 1:
            charts.append(values.LifeChart(piece.tool.tag, tuple(found), exact(piece.line.family.nominal_nm),
                                           exact(limit), tool_name(piece.line), piece.tool.customer_number))
    return charts
