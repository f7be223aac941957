"""What a damaged ball or corner radius needs: how far it goes back to be ground clean with the radius that it has."""

import math

from regrind.geometry.errors import Refused
from regrind.geometry.profile import Shape, Spot, find_largest_need

from . import formatting
from .draw_arc import draw_arc
from .fields import CalculatorForm, angle, digit, length
from .result import CalculatorResult, Figure, WorkingStep, find_expanded

FIELDS = {"radius_mm": "radius", "depth_mm": "depth", "angle_rad": "turn"}
LEAST_SINE = 0.02  # nearer the tip a depth across the axis means nothing
_NOTES = [
    "The end of the damage that is nearest the side decides: the same depth costs more there than at the tip.",
    "A depth that is read across the axis is too large near the tip: by one over the sine of the angle.",
    "The sides are taken as they are. Where they are ground too, the plan of the tool works it out.",
]


class ArcForm(CalculatorForm):
    radius = length("Radius of the ball or of the corner", mm="6.350", inch=".2500", least_mm=0.05)
    depth = length("Depth, square to the edge", mm="0.150", inch=".0060", most_nm=50_000_000)
    turn = angle("Angle from the axis where the damage ends", "60", most=90)
    finish = length("Finish allowance", mm="0.050", inch=".0020", least_mm=0, most_nm=2_000_000, needed=False)
    radius_digit = digit("Radius read to", mm="0.01", inch=".0005")
    depth_digit = digit("Depth read to", mm="0.01", inch=".0005")
    turn_digit = angle("Angle read to", "1", most=10, needed=False)


def find_need(radius_mm: float, depth_mm: float, angle_rad: float) -> float:
    """How far the arc goes back in mm, finish not included. Refused where the depth reaches the arc's centre."""
    if depth_mm >= radius_mm:
        raise Refused("depth_mm", f"must be below the radius, {radius_mm:.6g} mm")
    spot = Spot(radius_mm, depth_mm, arc_mm=radius_mm, to_rad=angle_rad)
    return find_largest_need(Shape("ball"), radius_mm, spot)


def work_back(form: ArcForm) -> CalculatorResult:
    """The cut-back, what of it is finish, where the damage ends as a height, and the depth read across the axis."""
    values = {"radius_mm": form.mm("radius"), "depth_mm": form.mm("depth"), "angle_rad": form.rad("turn")}
    need = find_need(**values)
    digits = {"radius_mm": form.mm("radius_digit"), "depth_mm": form.mm("depth_digit")}
    digits["angle_rad"] = form.rad("turn_digit")
    expanded = find_expanded(find_need, values, digits)
    radius, depth, turn, unit = *values.values(), form.unit
    height = find_height(radius, turn)
    figures = [formatting.length_figure("Goes back by", need + form.mm("finish"), unit, expanded)]
    figures += [formatting.length_figure("Without the finish", need, unit, expanded)] if form.mm("finish") else []
    figures += _add_readings(form, depth, turn, digits)
    return CalculatorResult(
        figures,
        draw_arc(radius, depth, turn, need, unit),
        [
            WorkingStep(
                "c = √(ρ² − (ρ − d)² sin² θ) − (ρ − d) cos θ",
                f"{formatting.letters(unit, ρ=radius, d=depth)}, θ = {formatting.degrees(turn)}",
                f"c = {formatting.fine_both(need, unit)}",
                "the old arc, moved back along the axis, runs through the deepest point",
            ),
            WorkingStep(
                "z = ρ (1 − cos θ)",
                f"{formatting.letters(unit, ρ=radius)}, θ = {formatting.degrees(turn)}",
                f"z = {formatting.fine_both(height, unit)}",
                "right triangle at the middle of the arc",
            ),
            formatting.budget("c", form),
        ],
        [
            ("ρ", "radius of the ball or of the corner"),
            ("d", "depth of the damage, square to the edge"),
            ("θ", "angle from the axis where the damage ends, 0 at the tip and 90° at the side"),
            ("c", "how far the arc goes back"),
        ],
        _NOTES,
    )


def find_height(radius_mm: float, angle_rad: float) -> float:
    """How far from the end a place on the arc lies, in mm."""
    return radius_mm * (1 - math.cos(angle_rad))


def _add_readings(form: ArcForm, depth: float, turn: float, digits: dict[str, float]) -> list[Figure]:
    """The same damage read in other ways: its end as a height, its depth across the axis where it is not the tip."""
    place = {"radius_mm": form.mm("radius"), "angle_rad": turn}
    sure = find_expanded(find_height, place, {name: digits[name] for name in place})
    height = formatting.length_figure("The damage ends this far from the end", find_height(**place), form.unit, sure)
    if math.sin(turn) < LEAST_SINE:
        return [height]

    def find_across(depth_mm: float, angle_rad: float) -> float:
        return depth_mm / max(math.sin(angle_rad), LEAST_SINE / 2)

    across = {"depth_mm": depth, "angle_rad": turn}
    sure = find_expanded(find_across, across, {name: digits[name] for name in across})
    return [height, formatting.length_figure("Read across the axis it is", find_across(**across), form.unit, sure)]
