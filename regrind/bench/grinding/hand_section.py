"""What is ground by hand on the setup card: corner and ball without a plan, and the parts of other kinds."""

from regrind.paper import cautions
from regrind.record.dimension_words import say_assumed
from regrind.record.line_dimensions import tool_of

from .card import Card
from .card_section import Figure, Section


def hand_corner(card: Card) -> Section:
    line = card.aim.piece.line
    radius, assumed = tool_of(line).corner_radius_nm, bool(say_assumed(line, "corner_radius_nm"))
    return Section(
        "corner",
        "Corner, by hand",
        (Figure("Corner radius to form", radius, assumed=assumed), Figure("Relief of the corner")),
        (
            "The corner is formed again after the sides and the end, by hand in the radius fixture.",
            "Its figures are not worked out here: check the radius against a gauge and record it at the final check.",
        ),
        cautions.BY_HAND,
    )


def hand_ball(card: Card) -> Section:
    plan = card.plan
    radius = plan.diameter_nm // 2 if plan and plan.diameter_nm else None
    return Section(
        "ball",
        "Ball, by hand",
        (Figure("Ball radius, half the diameter", radius), Figure("Relief of the ball")),
        (
            "The ball is formed again by hand in the radius fixture, down to the diameter of the sides.",
            "Its figures are not worked out here: check the form and record the radius at the final check.",
        ),
        cautions.BY_HAND,
    )


def hand_section(card: Card, part: str) -> Section:
    """A part whose settings are not worked out: room to write them, and what was planned of its sizes."""
    plan, title = card.plan, f"{part.capitalize()}, by hand"
    figures = [Figure("Relief or rake"), Figure("Infeed")]
    if part == "sides" and plan:
        figures.insert(0, Figure("Grind to", plan.diameter_nm, first=True))
    if part in ("end", "point", "chamfer"):
        figures.insert(0, Figure(f"Off the {part}", card.aim.end_nm, first=True))
    steps = ["The settings of this are not worked out here: set them by hand and write them down."]
    if part == "face":
        steps.insert(0, "Grind the flute faces alone, each by the same infeed; the sides are left alone.")
    return Section(part, title, tuple(figures), tuple(steps), cautions.BY_HAND)
