"""Labels: one for each tube of like pieces that are done, one for what is not ground, a tag for what arrived."""

from collections.abc import Sequence
from datetime import date
from itertools import groupby
from typing import Any, NamedTuple, TypeVar

from regrind.bench.models import FinalCheck
from regrind.paper import values
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Line, Piece
from regrind.record.piece_names import spans
from regrind.shop.owner.settings import shop_settings

from ..tool_page.codes import address_of
from .common import (
    Rows,
    clearance,
    coating_now,
    corner_now,
    exact,
    gather,
    length,
    part_number,
    resolution_of,
    style,
    times_reground,
    tool_name,
    tool_name_now,
    tool_name_of,
)

Agreed = TypeVar("Agreed")
DONE = ("released", "left")
ANGLES = {"included angle": "Included angle"}  # of a kind whose angle is not that of a point
MOST_NAMED = 20  # signs that the pieces of a tube are named in: more of them would make the number small


class Stamp(NamedTuple):
    """The shop's name and the day, as they stand on every label of one printing, and of how many pieces: only a tube
    with all of them carries the line's own code. linked: whether a followed tool's code opens its own page."""

    shop: str
    dated: date
    together: int = 0
    linked: bool = False


def return_labels(line: Line, pieces: Sequence[Piece], dated: date, *, each: bool = False) -> list[values.Label]:
    """Labels of a line's released or sent pieces: a tube for each size, corner and coating, then those not ground.

    each: one label a piece instead of one a tube.
    """
    done = sorted((p for p in pieces if p.status in DONE), key=lambda p: (p.original_line, p.number))
    stamp = Stamp(shop_settings().name, dated, len(pieces), linked=True)
    rows = gather(done)

    def tube_of(piece: Piece) -> tuple[Any, ...]:
        return (
            _size(rows, piece),
            corner_now(rows.full_check(piece), style(line.batch), line.family.kind_data.corner),
            coating_now(rows, piece),
            piece.pk if each else 0,
        )

    labels: list[values.Label] = []
    for _, tube in groupby(sorted((p for p in done if p.result == "ground"), key=tube_of), key=tube_of):
        labels.append(_ground(line, list(tube), rows, stamp))
    return labels + _not_ground(line, [p for p in done if p.result != "ground"], rows, stamp, each)


def _size(rows: Rows, piece: Piece) -> int:
    plan = rows.plans.get(piece.pk)
    return -(plan.diameter_nm or 0) if plan else 0  # the largest size first


def _common(line: Line, tube: Sequence[Piece], stamp: Stamp, description: str) -> dict[str, Any]:
    single = tube[0] if len(tube) == 1 else None
    tag = f"tag {single.tool.tag}, " if single and single.tool else ""
    named = _which(tube, stamp)
    return {
        "number": str(single or (tube[0] if named else line)),
        "named": named,
        "dated": stamp.dated,
        "shop": stamp.shop,
        "description": tag + description,
        "part_number": part_number(line, tube),
        "customer": line.batch.customer.name,
        "pieces": len(tube),
        "link": address_of(single.tool) if stamp.linked and single and single.tool else "",
        "style": style(line.batch),
    }


def _which(tube: Sequence[Piece], stamp: Stamp) -> str:
    """`417-1-2 to 1-4`: which pieces of the line this tube holds, where others are in another; else ''."""
    if not 1 < len(tube) < stamp.together:
        return ""
    names = spans(tube)
    short = names if len(names) <= MOST_NAMED else f"{tube[0].short} and {len(tube) - 1} more"
    return f"{tube[0].batch.number}-{short}"


def _ground(line: Line, tube: list[Piece], rows: Rows, stamp: Stamp) -> values.Label:
    """A tube's label. A figure stands on it only where it was measured on a piece of the tube; a diameter that was
    measured on another of the same setup is marked as assumed, and that other is named; so are the pieces that were
    read, where they are not all of the tube."""
    inside = {piece.pk for piece in tube}
    checks = [c for p in tube if (c := rows.full_check(p)) and c.piece_id in inside]
    full = {check.pk: check for check in checks if check.in_full}
    fields = _common(line, tube, stamp, tool_name_now(line)) | {
        "coating": coating_now(rows, tube[0]),
        "overall_length": _same(rows, full, "overall"),
        "times_reground": _agreed([times_reground(p) for p in tube]),
        "read_on": _say_read(tube, full),
    }
    return (
        _pointed(line, tube, rows, full, fields)
        if "angle" in line.family.kind_data.label
        else _cutter(line, tube, rows, full, fields)
    )


def _cutter(
    line: Line, tube: list[Piece], rows: Rows, full: dict[int, FinalCheck], fields: dict[str, Any]
) -> values.ReturnLabel:
    low, high = _diameters(tube, rows)
    other = None if low else rows.full_check(tube[0])
    if other is not None and other.diameter_nm is not None:
        low = other.diameter_nm, resolution_of(other, "diameter")
    nominal, runouts = line.family.nominal_nm, [c for c in full.values() if c.runout_sides_nm is not None]
    worst = max(runouts, key=lambda c: c.runout_sides_nm or 0, default=None)
    off = (low[0] - nominal, low[1]) if low and nominal else (None,)
    return values.ReturnLabel(
        **fields,
        nominal=exact(nominal),
        diameter=length(*low, assumed=other is not None) if low else None,
        measured_on=f"{line.batch.number}-{other.piece.short}" if low and other else "",
        diameter_to=length(*high) if low and high and high[0] > low[0] else None,
        difference=length(*off),
        clearance=_agreed([clearance(rows, check) for check in full.values()]),
        runout=length(worst.runout_sides_nm, resolution_of(worst, "runout_sides")) if worst else None,
        usable_length=_same(rows, full, "usable"),
        teeth=_teeth(line, tube, rows),
        width=_same(rows, full, "width"),
        chamfer=_same(rows, full, "chamfer_length"),
        hole=line.hole_words(),
        corner=_say_corner(line, tube[0], rows),
    )


def _say_corner(line: Line, piece: Piece, rows: Rows) -> str:
    """As it is now; nothing of a kind whose label does not tell of corners."""
    if "corner" not in line.family.kind_data.label:
        return ""
    return corner_now(rows.full_check(piece), style(line.batch), line.family.kind_data.corner) or "not recorded"


def _say_read(tube: Sequence[Piece], full: dict[int, FinalCheck]) -> str:
    """Which pieces of the tube were measured in full, `1-1` or `3 of them`; '' where all were, or none."""
    read = [piece for piece in tube if piece.pk in {check.piece_id for check in full.values()}]
    if not 0 < len(read) < len(tube):
        return ""
    names = spans(read)
    return names if len(names) <= MOST_NAMED else f"{len(read)} of them"


def _teeth(line: Line, tube: list[Piece], rows: Rows) -> int | None:
    """As they were counted on a piece of the tube, where the tool's name does not say the same; never as assumed."""
    counted = (inspection.teeth for piece in tube if (inspection := rows.inspection_of(piece)))
    teeth = next((teeth for teeth in counted if teeth), None)
    return None if teeth == tool_of(line, with_assumed=False).teeth else teeth


def _pointed(
    line: Line, tube: list[Piece], rows: Rows, full: dict[int, FinalCheck], fields: dict[str, Any]
) -> values.DrillLabel:
    low, _ = _diameters(tube, rows)
    angles = {check.point_angle_cdeg for check in full.values()} - {None}
    point = angles.pop() if len(angles) == 1 else None
    return values.DrillLabel(
        **fields,
        diameter=length(*low) if low else exact(line.family.nominal_nm),
        point=None if point is None else values.Angle(point),
        angle_name=ANGLES.get(line.family.kind_data.angle, "Point"),
        flute_length=_same(rows, full, "usable"),
        lip_height_difference=_same(rows, full, "lip_height"),
    )


def _diameters(tube: list[Piece], rows: Rows) -> tuple[tuple[int, int] | None, tuple[int, int] | None]:
    """The smallest and the largest diameter measured in the tube, each with its gauge's resolution, nm."""
    measured = [
        (check.diameter_nm, resolution_of(check, "diameter"))
        for p in tube
        if (check := rows.checks.get(p.pk)) and check.diameter_nm is not None
    ]
    return min(measured, default=None), max(measured, default=None)


def _same(rows: Rows, full: dict[int, FinalCheck], quantity: str) -> values.Length | None:
    """A length on which all full checks of the tube agree; None where they do not, or nobody read it."""
    return _agreed(
        [length(getattr(check, f"{quantity}_nm"), resolution_of(check, quantity)) for check in full.values()]
    )


def _agreed(values_read: Sequence[Agreed | None]) -> Agreed | None:
    return values_read[0] if values_read and all(one == values_read[0] for one in values_read) else None


def _not_ground(line: Line, pieces: Sequence[Piece], rows: Rows, stamp: Stamp, each: bool) -> list[values.Label]:
    def key(piece: Piece) -> tuple[Any, ...]:
        return piece.result, piece.reason, piece.pk if each else 0

    labels: list[values.Label] = []
    for (result, reason, _), same in groupby(sorted(pieces, key=key), key=key):
        tube = list(same)
        inspection = rows.inspections.get(tube[0].pk) if len(tube) == 1 else None
        size = (
            length(
                inspection.diameter_nm,
                resolution_of(inspection, "diameter"),
                assumed=inspection.diameter_source == "marked",
            )
            if inspection
            else None
        )
        fields = _common(line, tube, stamp, tool_name_of(line, tube))
        labels.append(
            values.NotGroundLabel(
                **fields,
                why=reason or f"piece {spans(tube)}",
                diameter=size,
                result="Scrap" if result == "scrap" else "Returned unground",
            )
        )
    return labels


def arrival_tags(line: Line, pieces: Sequence[Piece], dated: date, *, each: bool = False) -> list[values.Label]:
    """The tag on the tray of a line when its box was logged; each: one for every piece. Missing ones have none."""
    stamp, batch = Stamp(shop_settings().name, dated), line.batch
    here = [p for p in pieces if p.status != "missing"]
    more: dict[str, Any] = {"order_number": batch.order_number, "due": batch.due, "rush": batch.rush, "note": line.note}
    trays = [[piece] for piece in here] if each else [here] if here else []
    tags: list[values.Label] = []
    for tray in trays:
        fields = _common(line, tray, stamp, tool_name(line))
        if not each and len(pieces) != 1:
            fields["number"] = str(line)
        tags.append(values.ArrivalTag(**fields, **more))
    return tags
