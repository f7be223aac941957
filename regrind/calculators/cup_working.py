"""How the height of the stylus tip beside a cup wheel was worked out, step by step."""

import math

from regrind.geometry.lag import StylusSetup, find_drifted_relief
from regrind.geometry.units import Unit

from . import formatting
from .fields import CalculatorForm
from .result import WorkingStep


def list_cup_steps(form: CalculatorForm, setup: StylusSetup, distance: float, agree: bool) -> list[WorkingStep]:
    """The working of a stylus tip's height; setup, distance (mm) and agree as `lag.set_stylus` has them."""
    steps = [
        _explain_distance(form, distance, agree),
        *_explain_tip(form, setup, distance, agree),
        _explain_without_lag(form, setup),
        WorkingStep(
            "∂α/∂e = tan β / r",
            "",
            f"{abs(math.degrees(setup.relief_per_distance_rad_mm)):.1f}° per mm of e",
            "slope of the line above",
        ),
    ]
    if form.mm_if("after"):
        steps.append(_explain_drift(form, setup, agree))
    return [*steps, formatting.budget("tip", form)]


def _explain_distance(form: CalculatorForm, distance: float, agree: bool) -> WorkingStep:
    widths = {"gap": form.mm("gap"), "wheel": form.mm("wheel_width"), "stylus": form.mm("stylus_width")}
    return WorkingStep(
        "e = gap, the hands agree" if agree else "e = gap + wheel + stylus, the hands differ",
        formatting.letters(form.unit, **widths),
        f"e = {formatting.fine_both(distance, form.unit)}",
        "the corner of least relief cuts the edge, the lowest point of the edge bears on the stylus",
    )


def _explain_tip(form: CalculatorForm, setup: StylusSetup, distance: float, agree: bool) -> list[WorkingStep]:
    lag, helix = formatting.degrees(setup.lag_rad), formatting.degrees(form.rad("helix"))
    return [
        WorkingStep(
            "Δθ = e tan β / r",
            formatting.letters(form.unit, e=distance, r=form.mm("diameter") / 2) + f", β = {helix}",
            f"Δθ = {lag}",
            "definition of the helix: its lead stays",
        ),
        WorkingStep(
            f"tip = r sin(α {'−' if agree else '+'} Δθ) below centre",
            f"α = {formatting.degrees(form.rad('relief'))}, Δθ = {lag}",
            f"tip {_height(setup.tip_below_mm, form.unit)}",
            "a helix in space, cut by the wheel’s plane",
        ),
    ]


def _explain_without_lag(form: CalculatorForm, setup: StylusSetup) -> WorkingStep:
    wrong = formatting.degrees(setup.relief_ignoring_lag_rad, 1)
    return WorkingStep(
        "without the lag: tip = r sin α",
        f"α = {formatting.degrees(form.rad('relief'))}",
        f"tip {_height(setup.tip_below_ignoring_lag_mm, form.unit)}, which would grind {wrong}",
        "the same, Δθ = 0",
    )


def _explain_drift(form: CalculatorForm, setup: StylusSetup, agree: bool) -> WorkingStep:
    radius, after, unit = form.mm("diameter") / 2, form.mm("after"), form.unit
    drifted = find_drifted_relief(radius, after / 2, form.rad("relief"), setup.lag_rad, agree=agree)
    return WorkingStep(
        f"α′ = asin(h / x) {'+' if agree else '−'} Δθ, the stylus left where it is",
        formatting.letters(unit, x=after / 2, h=setup.tip_below_mm),
        f"α′ = {formatting.degrees(drifted)} at {formatting.size(after, unit)}",
        "the lead stays, so Δθ stays",
    )


def _height(below_mm: float, unit: Unit) -> str:
    return f"{formatting.fine_both(abs(below_mm), unit)} {'below' if below_mm >= 0 else 'above'} centre"
