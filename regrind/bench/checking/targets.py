"""What the plans of the ground pieces ask of the check: which piece is to have which size."""

from collections.abc import Callable, Mapping, Sequence

from regrind.geometry.units import show_with_unit
from regrind.record.kinds import RADIAL
from regrind.record.models import Line, Piece
from regrind.record.piece_names import spans

from ..grinding.card_section import Figure
from ..grinding.relief_target import relief_target_cdeg
from ..models import Plan
from .corner_limit import find_corner_limit
from .findings import CORNERS
from .runout_left import find_runouts_left


def list_planned(line: Line, pieces: Sequence[Piece], plans: Mapping[int, Plan]) -> list[Figure]:
    """The planned diameters with their tolerance, and the usable lengths; the relief stands beside its own field."""
    planned = [piece for piece in pieces if piece.pk in plans and plans[piece.pk].diameter_nm]
    if not planned:
        return []
    unit = line.batch.customer.unit
    return [
        *_of_each("Planned diameter", planned, lambda piece: plans[piece.pk].diameter_nm, first=True),
        Figure("Tolerance", text=f"± {show_with_unit(line.tolerance_nm, unit)}"),
        *_of_corners(line, planned, plans),
        *_of_each("Usable length, planned", planned, lambda piece: plans[piece.pk].usable_nm),
    ]


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
