"""The secondary relief on the setup card: its own stylus height, and the primary land that it leaves."""

import math

from regrind.geometry.lag import set_stylus
from regrind.paper import cautions

from .card import Card, land_mm
from .card_section import Figure, Section, as_nm, say_shape
from .wheel import attempt


def needs_secondary(card: Card) -> bool:
    """Whether the plan widens the land so far that the secondary relief is ground again."""
    return bool("sides" in card.parts and card.option.get("secondary_needed"))


def secondary_section(card: Card) -> Section:
    """The wheel's plane is turned by the secondary angle about the same edge, so the height follows as for the primary.

    Raises nothing: where no height can be had the figure is left to write in, with the reason among the steps.
    """
    degrees, plan = card.shape.get("secondary_relief_deg"), card.plan
    stylus, refused = None, ""
    if degrees is not None and card.helix_rad is not None and plan and plan.diameter_nm:
        radius, relief, helix = plan.diameter_nm / 2e6, math.radians(degrees), card.helix_rad
        stylus, refused = attempt(lambda: set_stylus(radius, relief, helix, card.machine.distance_mm, agree=card.agree))
    side = "above" if stylus and stylus.tip_below_mm < 0 else "below"
    figures = (
        Figure(
            f"Stylus tip for the secondary, {side} the tool’s centre",
            as_nm(abs(stylus.tip_below_mm)) if stylus else None,
            first=True,
        ),
        Figure(
            "Secondary relief",
            text=say_shape(card, "secondary_relief_deg"),
            assumed="secondary_relief_deg" in card.assumed,
        ),
        Figure(
            "Primary land to leave",
            as_nm(land_mm(card.shape.get("primary_land"), card.option)),
            assumed="primary_land" in card.assumed,
        ),
    )
    steps = (
        "After the primary, since the land will be wider than usual. Only the tip’s height changes: distance, travel "
        "stop and hand stay as for the sides.",
        f"No stylus height: the distance {refused}." if refused else "",
        "Take the wheel in until the primary land is as wide as above; the diameter stays.",
    )
    return Section("secondary", "Secondary relief", figures, tuple(step for step in steps if step), cautions.REVERSED)
