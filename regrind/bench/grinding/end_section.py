"""The end on the setup card: its cut-back, reliefs and dish, the gash and the centre."""

import math

from regrind.geometry.bibliography import short_reference
from regrind.geometry.end_setup import find_end_drop
from regrind.geometry.units import NM_PER_MM, Unit
from regrind.paper import cautions

from ..planning.more_work import say_centre
from .card import END_GROUND_NM, Card
from .card_section import (
    Figure,
    Section,
    advise_passes,
    as_nm,
    infeed_figures,
    rest_of_stock,
    say_index,
    say_length,
    say_shape,
)

ANGLES = {
    "end_primary_relief_deg": "End relief, primary",
    "end_secondary_relief_deg": "End relief, secondary",
    "dish_deg": "Dish",
}
END_DROP_OVER_MM: dict[Unit, float] = {"in": 0.254, "mm": 0.25}  # well on the land of a small end tooth


def end_section(card: Card) -> Section:
    plan = card.plan
    figures = (
        Figure("Off the end", card.aim.end_nm, first=True),
        Figure("Usable length after", plan.usable_nm if plan else None),
        *(_angle(card, name, label) for name, label in ANGLES.items()),
        *_drop(card),
        *_cut_off_figure(card),
        *infeed_figures(card.end_passes, "along the axis", card.unit),
    )
    return Section("end", "End", figures, _end_steps(card), cautions.END)


def _end_steps(card: Card) -> tuple[str, ...]:
    steps = [
        "The sides first: the end is finished last." if "sides" in card.aim.parts else _sides_left_alone(card),
        _cut_off(card),
        say_index(card),
        "Set the end stop from the longest tooth, the wheel stopped.",
        _say_source(card),
        f"Infeed: {card.end_passes_refused}." if card.end_passes_refused else "",
        rest_of_stock(card.end_passes, card.unit),
        advise_passes(card.end_passes),
        "Finish every end tooth at one setting of the stop, so that they stand level.",
        _gash(card),
        _centre(card),
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


def _angle(card: Card, name: str, label: str) -> Figure:
    """As it was read, else as a maker publishes it for such a tool, marked as assumed."""
    read = say_shape(card, name)
    assumed = next((default for default in card.end_defaults if default.field == name), None)
    if read or assumed is None:
        return Figure(label, text=read)
    return Figure(label, text=f"{assumed.value:.1f}°", note=f"± {2 * assumed.standard_uncertainty:.1f}°", assumed=True)


def _drop(card: Card) -> tuple[Figure, ...]:
    """What an indicator falls that is moved straight across the land of an end tooth."""
    if card.end_relief_deg is None:
        return ()
    over_mm = END_DROP_OVER_MM[card.unit]
    drop_mm = find_end_drop(math.radians(card.end_relief_deg), over_mm)
    return (Figure(f"Drop to aim for, {say_length(over_mm, card.unit)} straight across the land", as_nm(drop_mm)),)


def _say_source(card: Card) -> str:
    """Where the angles come from that nobody read."""
    if not card.end_defaults:
        return ""
    return f"Assumed angles of the end: {short_reference(card.end_defaults[0].source)}. Match the tool where it shows."


def _gash(card: Card) -> str:
    if not card.aim.gash:
        return ""
    return f"The cut-back passes the gash: {card.machine.price_gash(card.shape.get('teeth') or 0).words}."


def _centre(card: Card) -> str:
    words = say_centre(card.option, card.aim.centre_cutting)
    if not words:
        return "Whether it cuts to the centre is not recorded: look before the end is ground, and keep that."
    return f"{words[:1].upper()}{words[1:]}."
