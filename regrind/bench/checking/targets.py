"""What the plans of the ground pieces ask of the check: which piece is to have which size."""

import json
from collections.abc import Callable, Mapping, Sequence

from regrind.geometry.units import Unit, show_with_unit
from regrind.record.kinds import RADIAL
from regrind.record.models import Line, Piece
from regrind.record.piece_names import spans

from ..grinding.card_section import Figure
from ..grinding.prefill import option_of, root_of
from ..grinding.relief_target import relief_target_cdeg
from ..kinds.registry import kind_of
from ..models import Plan
from .bounds import find_diameter_window
from .corner_limit import find_corner_limit
from .findings import CORNERS, FACED_SOURCE, is_faced, planned_window
from .runout_left import find_runouts_left


def list_planned(line: Line, pieces: Sequence[Piece], plans: Mapping[int, Plan]) -> list[Figure]:
    """The planned diameters with their tolerance, and the usable lengths; the relief stands beside its own field."""
    planned = [piece for piece in pieces if piece.pk in plans and plans[piece.pk].diameter_nm]
    of_kind = _list_own_figures(line, [plans[piece.pk] for piece in pieces if piece.pk in plans])
    if not planned:
        return of_kind
    return [
        *_of_each("Planned diameter", planned, lambda piece: plans[piece.pk].diameter_nm, first=True),
        *_list_bounds(line, planned, plans),
        *of_kind,
        *_of_corners(line, planned, plans),
        *_of_each("Usable length, planned", planned, lambda piece: plans[piece.pk].usable_nm),
    ]


def _list_bounds(line: Line, planned: Sequence[Piece], plans: Mapping[int, Plan]) -> list[Figure]:
    """The tolerance, and what is accepted where another limit cuts it short."""
    unit, first = line.batch.customer.unit, plans[planned[0].pk]
    window = planned_window(line, first) or (0, 0)
    source = FACED_SOURCE if is_faced(first) else ""
    tolerance = Figure("Tolerance", text=f"± {show_with_unit((window[1] - window[0]) // 2, unit)}", note=source)
    by_window: dict[tuple[int, int], list[Piece]] = {}
    for piece in planned:
        whole, accepted = planned_window(line, plans[piece.pk]), find_diameter_window(line, plans[piece.pk])
        if accepted and accepted != whole:
            by_window.setdefault((accepted[0] or 0, accepted[1] or 0), []).append(piece)
    return [tolerance, *(_say_accepted(bounds, alike, unit) for bounds, alike in by_window.items())]


def _say_accepted(bounds: tuple[int, int], alike: Sequence[Piece], unit: Unit) -> Figure:
    least, most = (show_with_unit(nm, unit) for nm in bounds)
    if bounds[0] > bounds[1]:
        return Figure(f"Accepted, {spans(alike)}", text=f"nothing: at least {least} and at most {most}", first=True)
    return Figure(f"Accepted, {spans(alike)}", text=f"{least} to {most}", note="every limit together", first=True)


def _list_own_figures(line: Line, plans: Sequence[Plan]) -> list[Figure]:
    """What a kind with a plan of its own is held to, each figure once."""
    planner, unit = kind_of(line.family).planner, line.batch.customer.unit
    if planner is None:
        return []
    worked_out = [plan for plan in plans if option_of(plan).get("grind")]
    of_kind = [planner.tells(json.loads(root_of(plan).case), option_of(plan), unit) for plan in worked_out]
    return [Figure(label, text=text) for label, text in dict.fromkeys(row for rows in of_kind for row in rows)]


def say_relief_target(plan: Plan) -> str:
    """`12.0° ± 1°`, the relief of the setup card; '' where a plan leaves the sides alone or knows none."""
    target = relief_target_cdeg(plan) if set(RADIAL) & set(plan.grinds.split()) else None
    return "" if target is None else f"{target / 100:.1f}° ± 1°"


def _of_corners(line: Line, pieces: Sequence[Piece], plans: Mapping[int, Plan]) -> list[Figure]:
    """The radius of the corner or the ball, with its tolerance; nothing where none is ground."""
    limits = {piece.pk: limit for piece in pieces if (limit := find_corner_limit(line, plans[piece.pk]))}
    if not limits:
        return []
    one = next(iter(limits.values()))
    label = f"Planned {CORNERS[one.form]}"
    figures = _of_each(label, pieces, lambda piece: limits[piece.pk].planned_nm if piece.pk in limits else None)
    within = show_with_unit(one.within_nm, line.batch.customer.unit)
    return [*figures, Figure(f"{CORNERS[one.form].capitalize()}, tolerance", text=f"± {within}")]


def list_runouts_left(pieces: Sequence[Piece], parts: Mapping[int, Sequence[str]]) -> list[Figure]:
    """The runout that the inspection read, where the sides were left alone: it is still there."""
    runouts = find_runouts_left(pieces, parts)
    by_runout: dict[int, list[Piece]] = {}
    for piece in pieces:
        if piece.pk in runouts:
            by_runout.setdefault(runouts[piece.pk].nm, []).append(piece)
    note = "as inspected: the sides were left alone"
    return [Figure(f"Runout of the teeth, {spans(alike)}", nm, note=note) for nm, alike in sorted(by_runout.items())]


def _of_each(
    label: str, pieces: Sequence[Piece], nm_of: Callable[[Piece], int | None], *, first: bool = False
) -> list[Figure]:
    """A figure for each value, in the order of the pieces, which are named where there is more than one value."""
    by_value: dict[int, list[Piece]] = {}
    for piece in pieces:
        if nm := nm_of(piece):
            by_value.setdefault(nm, []).append(piece)
    return [
        Figure(label if len(by_value) == 1 else f"{label} of {spans(alike)}", nm, first=first)
        for nm, alike in by_value.items()
    ]


def say_targets(line: Line, pieces: Sequence[Piece], plans: Mapping[int, Plan]) -> dict[int, str]:
    """By piece id `1-6: planned .2444 in`, for beside its field; empty where all have the one size."""
    sizes = {piece.pk: nm for piece in pieces if piece.pk in plans and (nm := plans[piece.pk].diameter_nm)}
    if len(set(sizes.values())) < 2:
        return {}
    unit = line.batch.customer.unit
    return {
        piece.pk: f"{piece.short}: planned {show_with_unit(sizes[piece.pk], unit)}"
        for piece in pieces
        if piece.pk in sizes
    }
