"""Labels: one for each tube of like pieces that are done, one for what is not ground, a tag for what arrived."""
from collections.abc import Iterator, Sequence
from datetime import date
from itertools import groupby
from typing import Any

from regrind.paper import values
from regrind.record.models import Line, Piece
from regrind.shop.letterhead import letterhead

from .common import Rows, clearance, exact, gather, length, style, times_reground, tool_name

DRILLS = ("drill", "stepdrill")


def return_labels(line: Line, pieces: Sequence[Piece], dated: date, *, each: bool = False) -> list[values.Label]:
    """Labels of a line's released or sent pieces: ground ones by the size they were ground to, then the others.

    each: one label a piece instead of one a tube.
    """
    done = [p for p in pieces if p.whereabouts in ("released", "left")]
    rows = gather(list(done))
    ground = sorted((p for p in done if p.result == "ground"), key=lambda p: (_size(rows, p), p.born_line, p.number))
    labels: list[values.Label] = []
    for _, tube in groupby(ground, key=(lambda p: p.pk) if each else (lambda p: _size(rows, p))):
        labels.append(_ground(line, list(tube), rows, dated))
    return labels + list(_not_ground(line, [p for p in done if p.result != "ground"], dated))


def _size(rows: Rows, piece: Piece) -> int:
    plan = rows.plans.get(piece.pk)
    return plan.diameter_nm or 0 if plan else 0


def _common(line: Line, tube: Sequence[Piece], dated: date) -> dict[str, Any]:
    number = str(tube[0]) if len(tube) == 1 else str(line)
    return {"number": number, "dated": dated, "shop": letterhead().name, "their_number": line.customer_tool_number,
            "customer": line.batch.customer.name, "what": tool_name(line), "pieces": len(tube),
            "style": style(line.batch)}


def _ground(line: Line, tube: list[Piece], rows: Rows, dated: date) -> values.Label:
    """A tube's label. A diameter stands on it only where one was measured on a piece of the tube."""
    measured = [(c.diameter_nm, rows.resolution(c, "diameter")) for p in tube
                if (c := rows.checks.get(p.pk)) and c.diameter_nm is not None]
    check = rows.check_of(tube[0])[1]
    family, common = line.family, _common(line, tube, dated)
    times = times_reground(tube[0]) if len({times_reground(p) for p in tube}) == 1 else None
    shared: dict[str, Any] = {"coating": check.coating if check else "", "times_reground": times,
                              "overall_length": length(check.overall_nm) if check else None}
    low = min(measured, default=(None, 1_000))
    high = max(measured, default=(None, 1_000))
    if family.kind in DRILLS:
        angle = check.point_angle_cdeg if check else None
        return values.DrillLabel(**common, **shared, diameter=exact(family.nominal_nm),
                                 point=None if angle is None else values.Angle(angle))
    differs = low[0] is not None and high[0] is not None and high[0] - low[0] > line.tolerance_nm
    off = low[0] - family.nominal_nm if low[0] is not None and family.nominal_nm else None
    return values.ReturnLabel(
        **common, **shared, nominal=exact(family.nominal_nm), diameter=length(*low),
        diameter_to=length(*high) if differs else None, difference=length(off, low[1]),
        clearance=clearance(rows, check), teeth=family.teeth, corner=check.get_corner_display() if check else "",
        runout=length(check.runout_sides_nm, rows.resolution(check, "runout_sides")) if check else None,
        usable_length=length(check.usable_nm) if check else None)


def _not_ground(line: Line, pieces: Sequence[Piece], dated: date) -> Iterator[values.Label]:
    key = lambda p: (p.result, p.reason)        # noqa: E731
    for (result, reason), same in groupby(sorted(pieces, key=key), key=key):
        words = {"scrap": "Scrap", "as_it_came": "As it came"}.get(result, "Not ground")
        yield values.NotGroundLabel(**_common(line, list(same), dated), why=reason, result=words)


def arrival_tags(line: Line, pieces: Sequence[Piece], dated: date) -> list[values.Label]:
    """The tag on the tray of a line when its box was logged."""
    batch = line.batch
    common = _common(line, list(pieces), dated) | {"number": str(line)}
    return [values.ArrivalTag(**common, their_order=batch.order_number, due=batch.due, rush=batch.rush, note=line.note)]
