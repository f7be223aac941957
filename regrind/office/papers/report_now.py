"""What the report's first page answers for every piece: size, length, corner and coating now, and each limit."""

import json
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from regrind.bench.checking.findings import RUNOUT, SHORTEST, SMALLEST, objects
from regrind.bench.models import FinalCheck
from regrind.paper import values
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Line, Piece
from regrind.record.piece_names import spans

from .common import Rows, coating_now, corner_now, length, resolution_of, style, words_of
from .report_pieces import MOST_TOGETHER, RESULTS

TELLS_ELSEWHERE = ("returned_unground", "scrap", "missing")  # each has its row in "Not reground, with reason"
ASKED = {SMALLEST: "diameter", SHORTEST: "usable length", RUNOUT["runout_sides"]: "runout"}


def pieces_now(same: Sequence[Piece], rows: Rows) -> tuple[values.PieceNow, ...]:
    """A line's pieces that have no row elsewhere, like ones together, in the line's order."""
    groups: dict[values.PieceNow, list[Piece]] = {}
    for piece in same:
        if piece.result not in TELLS_ELSEWHERE:
            groups.setdefault(_piece_now(piece, rows), []).append(piece)
    return tuple(
        replace(row, number=spans(some), count=len(some))
        for row, alike in groups.items()
        for some in (alike[start : start + MOST_TOGETHER] for start in range(0, len(alike), MOST_TOGETHER))
    )


def _piece_now(piece: Piece, rows: Rows) -> values.PieceNow:
    """One piece as it is now, without its number; what was read on another piece names that piece."""
    if piece.result != "ground":
        here = "at the coater" if piece.status == "at_coater" else "on hand"
        return values.PieceNow("", RESULTS.get(piece.result, here))
    itself, full = rows.checks.get(piece.pk), rows.full_check(piece)
    sized = itself if itself and itself.diameter_nm is not None else full
    return values.PieceNow(
        "",
        "ground",
        diameter=length(sized.diameter_nm, resolution_of(sized, "diameter")) if sized else None,
        diameter_of=_other(sized, piece),
        overall_length=length(full.overall_nm, resolution_of(full, "overall")) if full else None,
        usable_length=length(full.usable_nm, resolution_of(full, "usable")) if full else None,
        lengths_of=_other(full, piece),
        corner=_corner(piece, full) if "corner" in piece.line.family.kind_data.label else "",
        other=_other_sizes(piece, full),
        coating=coating_now(rows, piece),
        limits=_limits(piece.line, itself, full),
    )


def _other(check: FinalCheck | None, piece: Piece) -> str:
    """The piece that a check was made on, where it is another one; else ''."""
    return check.piece.short if check and check.piece_id != piece.pk else ""


def _corner(piece: Piece, check: FinalCheck | None) -> str:
    """The corner as it was left; a radius that it had and has no more is named as gone."""
    how, form = style(piece.line.batch), piece.line.family.kind_data.corner
    now, had_nm = corner_now(check, how, form), tool_of(piece.line, with_assumed=False).corner_radius_nm
    gone = had_nm and check and check.corner in ("sharp", "clipped", "now square")
    return f"{now}; its radius of {words_of(had_nm, how)} is gone" if gone else now or "not recorded"


def _other_sizes(piece: Piece, check: FinalCheck | None) -> tuple[str, ...]:
    """Width, chamfer and the angle of the point, where they were read; the piece that they were read on, if another."""
    if check is None:
        return ()
    how, kind = style(piece.line.batch), piece.line.family.kind_data
    sizes = [("width", words_of(check.width_nm, how)), ("chamfer", words_of(check.chamfer_length_nm, how))]
    angle = check.point_angle_cdeg
    sizes += [(kind.angle or "point angle", f"{angle / 100:.1f}°")] if angle is not None else []
    hole = piece.line.hole_words()
    model = f", as {_other(check, piece)}" if _other(check, piece) else ""
    reams = (f"reams {hole}",) if hole else ()
    return reams + tuple(f"{name} {words}{model}" for name, words in sizes if words)


def _limits(line: Line, itself: FinalCheck | None, full: FinalCheck | None) -> tuple[str, ...]:
    """Each limit of the customer in words, passed, missed or not measured, and whatever else was released outside."""
    findings = [(check, finding) for check in _each(itself, full) for finding in json.loads(check.findings)]
    read = {finding["what"]: (check, finding) for check, finding in reversed(findings)}
    kind = line.family.kind_data
    agreed = {
        SMALLEST: line.smallest_diameter_nm() if "diameter" in kind.checked else None,
        SHORTEST: line.shortest_usable_nm() if "shortest" in kind.limits else None,
        RUNOUT["runout_sides"]: line.most_runout_nm() if "runout_limit" in kind.limits else None,
    }
    judged = [_judged(line, *one) for one in read.values() if one[1].get("agreed") or objects(one[1])]
    unread = [name for name, nm in agreed.items() if nm is not None and name not in read]
    missing = [f"your {_limit_words(line, name, agreed[name])}: {ASKED[name]} not measured" for name in unread]
    return (*judged, *missing) or ("no limit agreed",)


def _each(itself: FinalCheck | None, full: FinalCheck | None) -> list[FinalCheck]:
    """A piece's own check and the one that it follows, each once; its own findings come before the other's."""
    return list({check.pk: check for check in (itself, full) if check}.values())


def _limit_words(line: Line, name: str, nm: int | None) -> str:
    bound = "at most" if name in RUNOUT.values() else "at least"
    return f"{name} {bound} {words_of(nm, style(line.batch))}"


def _judged(line: Line, check: FinalCheck, finding: dict[str, Any]) -> str:
    """A comparison: `left at .4799 in, your limit .4800 in or more; released: agreed by phone`."""
    how, whose = style(line.batch), "your limit" if finding.get("agreed") else "planned"
    if "cdeg" in finding:
        value, bounds = (
            f"{finding['cdeg'] / 100:.1f}°",
            f"{finding['least_cdeg'] / 100:.1f}° to {finding['most_cdeg'] / 100:.1f}°",
        )
    else:
        value, bounds = words_of(finding["nm"], how), _bounds(finding, how)
    if not objects(finding):
        return f"{finding['what']}: inside {whose}, {bounds}"
    because = check.released_because or "reason not recorded"
    close = ", too close to call" if finding["state"] == "too_close" else ""
    return f"{finding['what']}: left at {value}, {whose} {bounds}{close}; released: {because}"


def _bounds(finding: dict[str, Any], how: values.Style) -> str:
    least, most = words_of(finding["least_nm"], how), words_of(finding["most_nm"], how)
    return f"{least} to {most}" if least and most else f"{least} or more" if least else f"{most} or less"
