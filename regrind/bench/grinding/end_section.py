"""The end on the setup card, and what is ground by hand: corner, ball, face and the parts of other kinds."""

from regrind.geometry.units import NM_PER_MM
from regrind.paper import cautions

from .card import END_GROUND_NM, Card
from .card_section import Figure, Section, infeed_figures, rest_of_stock, say_length, say_shape


def end_section(card: Card) -> Section:
    plan = card.plan
    figures = (
        Figure("Off the end", card.aim.end_nm, first=True),
        Figure("Usable length after", plan.usable_nm if plan else None),
        Figure("End relief, primary", text=say_shape(card, "end_primary_relief_deg")),
        Figure("End relief, secondary", text=say_shape(card, "end_secondary_relief_deg")),
        Figure("Dish", text=say_shape(card, "dish_to_deg") or say_shape(card, "dish_deg")),
        *_cut_off_figure(card),
        *infeed_figures(card.end_passes, "along the axis", card.unit),
    )
    return Section("end", "End", figures, _end_steps(card), cautions.END)


def _end_steps(card: Card) -> tuple[str, ...]:
    steps = [
        "The sides first: the end is finished last." if "sides" in card.aim.parts else _sides_left_alone(card),
        _cut_off(card),
        "Set the end stop from the longest tooth, the wheel stopped.",
        "Relief and dish as the tool has them, where they are not given above: none was measured.",
        f"Infeed: {card.end_passes_refused}." if card.end_passes_refused else "",
        rest_of_stock(card.end_passes, card.unit),
        "Finish every end tooth at one setting of the stop, so that they stand level.",
        "The cut-back passes the gash: gash the end again." if card.aim.gash else "",
    ]
    return tuple(step for step in steps if step)


def _sides_left_alone(card: Card) -> str:
    """What stays as it is where the end is ground alone, with the runout that the inspection found."""
    if not card.runout_mm:
        return "The sides are left alone: the diameter stays as it is."
    runout = say_length(card.runout_mm, card.unit)
    return (
        f"The sides are left alone: the diameter stays as it is, and so does the runout of {runout} that was measured."
    )


def _cut_off_figure(card: Card) -> tuple[Figure, ...]:
    """How much is cut off before the passes begin, where the cut-back is long; the passes take the rest."""
    if not card.cut_off or not card.aim.end_nm:
        return ()
    return (Figure("Cut off before the passes", card.aim.end_nm - END_GROUND_NM),)


def _cut_off(card: Card) -> str:
    """What is cut off before grinding where the cut-back is long."""
    if not card.cut_off:
        return ""
    return (
        f"Cut off all but the last {say_length(END_GROUND_NM / NM_PER_MM, card.unit)} first: the infeeds are for that."
    )


def corner_section(card: Card) -> Section:
    radius = card.aim.piece.line.family.corner_radius_nm
    return Section(
        "corner",
        "Corner, by hand",
        (Figure("Corner radius to form", radius), Figure("Relief of the corner")),
        (
            "The corner is formed again after the sides and the end, by hand in the radius fixture.",
            "Its figures are not worked out here: check the radius against a gauge and record it at the final check.",
        ),
        cautions.BY_HAND,
    )


def ball_section(card: Card) -> Section:
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
    if part in ("end", "point", "lead"):
        figures.insert(0, Figure(f"Off the {part}", card.aim.end_nm, first=True))
    steps = ["The settings of this are not worked out here: set them by hand and write them down."]
    if part == "face":
        steps.insert(0, "Grind the flute faces alone, each by the same infeed; the sides are left alone.")
    return Section(part, title, tuple(figures), tuple(steps), cautions.BY_HAND)
