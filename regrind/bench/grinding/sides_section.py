"""The sides on the setup card: figures and steps for grinding them on the stylus."""

import math

from regrind.geometry.units import show_with_unit, to_nm
from regrind.paper import cautions

from .card import DISTANCE_U_MM, TIP_U_MM, Card
from .card_section import (
    Figure,
    Section,
    advise_passes,
    as_nm,
    infeed_figures,
    rest_of_stock,
    say_degrees,
    say_expanded,
    say_length,
    say_shape,
)

TRAVEL_STOP = "Travel stop, from the end before it is ground"
DECIDED_BY = {
    "tip_height": "the stylus’ height",
    "lag_distance": "the stylus’ distance",
    "radius": "the diameter",
    "helix": "the helix",
}


def sides_section(card: Card) -> Section:
    return Section("sides", "Sides", _side_figures(card), _side_steps(card), cautions.REVERSED)


def _side_figures(card: Card) -> tuple[Figure, ...]:
    plan = card.plan
    return (
        Figure("Grind to", plan.diameter_nm if plan else None, first=True),
        Figure(TRAVEL_STOP, as_nm(card.travel_mm), first=True),
        Figure(f"Stylus tip, {tip_side(card)} the tool’s centre", as_nm(card.tip_mm)),
        Figure(distance_label(card), card.machine.distance_nm if card.stylus else None),
        Figure("Hand", text=f"{card.hand_of_cut}-hand cut, {card.hand_of_helix}-hand helix"),
        Figure("Helix at that diameter", text=say_degrees(card.helix_rad), assumed="helix_deg" in card.assumed),
        Figure(
            "Primary relief",
            text=say_degrees(card.relief_rad),
            note=say_expanded(card),
            assumed="primary_relief_deg" in card.assumed,
        ),
        Figure(
            "Secondary relief",
            text=say_shape(card, "secondary_relief_deg"),
            note="" if card.option.get("secondary_needed") else "not ground in this plan",
            assumed="secondary_relief_deg" in card.assumed,
        ),
        _drop(card),
        *infeed_figures(card.passes, "on the radius", card.unit),
        Figure("Off the highest tooth in all", card.aim.infeed_nm),
    )


def distance_label(card: Card) -> str:
    """Between which corners the stylus' distance is measured: it depends on the hands."""
    if card.agree:
        return "Stylus, from the wheel corner nearest the shank to the stylus corner nearest the wheel"
    return "Stylus, from the wheel corner nearest the end to the stylus corner farthest from the wheel"


def tip_side(card: Card) -> str:
    """Whether the stylus' tip stands above or below the tool's centre."""
    return "above" if card.stylus and card.stylus.tip_below_mm < 0 else "below"


def _drop(card: Card) -> Figure:
    if card.drop is None:
        return Figure("Drop to aim for, along the tangent")
    over, least, most = (say_length(mm, card.unit) for mm in (card.drop_over_mm, card.drop.least_mm, card.drop.most_mm))
    return Figure(
        f"Drop to aim for, {over} along the tangent", as_nm(card.drop.drop_mm), note=f"{least} to {most} for ± 1°"
    )


def _side_steps(card: Card) -> tuple[str, ...]:
    steps = [
        "Left-hand cut: the mirrored set-up. Unmirrored the stylus could not carry the tooth." if card.mirrored else "",
        "" if card.agree else "Cut and helix are of different hands: look that they are before the stylus is set.",
        f"Tooth face down on the stylus. {_lag(card)}" if card.stylus else "",
        f"No stylus height: the distance {card.stylus_refused}." if card.stylus_refused else "",
        _uncertainty(card),
        f"Infeed: {card.passes_refused}." if card.passes_refused else "",
        rest_of_stock(card.passes, card.unit),
        advise_passes(card.passes),
        "Roughing: the wheel turns down onto the stylus and presses the edge on it.",
        "Finishing, only where spindle, flanges and nut are made for both directions: reversed, into the edge, "
        f"light cuts{_pull_off(card)}. Elsewhere: as in roughing.",
        _stop(card),
    ]
    return tuple(step for step in steps if step)


def _lag(card: Card) -> str:
    """What the turn of the edge along the stylus' distance does to the relief; '' without a helix."""
    stylus = card.stylus
    if stylus is None or not stylus.lag_rad:
        return ""
    step_mm = 0.254 if card.unit == "in" else 0.25
    worth = abs(math.degrees(stylus.relief_per_distance_rad_mm)) * step_mm
    return (
        f"The edge turns {say_degrees(stylus.lag_rad)} along the distance: a tip set without that would grind "
        f"{say_degrees(stylus.relief_ignoring_lag_rad)} instead of {say_degrees(card.relief_rad)}. "
        f"Every {show_with_unit(to_nm(step_mm), card.unit, places=3 if card.unit == 'in' else 2)} of that distance "
        f"is worth {worth:.1f}°."
    )


def _uncertainty(card: Card) -> str:
    """What the relief's ± takes in, and which input decides it."""
    if card.uncertainty is None:
        return ""
    inputs = [f"the distance as set within {DISTANCE_U_MM:g} mm", f"the height within {TIP_U_MM:g} mm"]
    if card.uncertainty.by_helix_rad:
        inputs.append("the helix as assumed")
    if card.uncertainty.by_radius_rad:
        inputs.append("the diameter as measured")
    decides = DECIDED_BY.get(card.uncertainty.decided_by or "", "")
    most = f" Most of it comes from {decides}." if decides else ""
    taken = f"{', '.join(inputs[:-1])} and {inputs[-1]}"
    return f"{say_expanded(card)} (k = 2) takes {taken}, one standard uncertainty each.{most}"


def _pull_off(card: Card) -> str:
    if not card.pull_off:
        return ""
    share = f"{card.pull_off:.2f} of the force it presses with"
    return f"; the tool lifts off its stylus once the wheel drags with more than {share}"


def _stop(card: Card) -> str:
    if card.travel_new_mm is None:
        return ""
    if not card.aim.end_nm:
        return "The end is not ground: the travel stop counts from the end as it was received."
    after = say_length(card.travel_new_mm, card.unit)
    return (
        "Grind the sides before the end: the travel stop counts from the end before it is ground. "
        f"From the end after it is ground the same place is at {after}."
    )
