"""The corner on the setup card: a radius, a clip or a ball, with where the work head swings about."""

import math
from typing import cast

from regrind.geometry.end_setup import CornerSetup, set_corner
from regrind.geometry.inputs import Corner, Form
from regrind.geometry.units import to_nm
from regrind.paper import cautions

from .card import Card
from .card_section import Figure, Section, as_nm, infeed_figures, rest_of_stock, say_index, say_shape
from .wheel import attempt

RELIEF_NOTE = "as the sides: never below theirs, common practice"


def corner_section(card: Card) -> Section:
    """A radius or a clip, ground after the sides and the end."""
    clip = card.option.get("corner_form") == "chamfer"
    figures = _clip_figures(card) if clip else _radius_figures(card)
    steps = (
        "The corner last: sides and end come first, and it runs into both of them."
        if {"sides", "end"} & set(card.aim.parts)
        else "Sides and end are left alone: the corner alone is ground.",
        say_index(card),
        "Swing about the centre given above, tooth by tooth, each to the same stop." if not clip else "",
        "Clip every tooth alike: set the stop from the longest tooth." if clip else "",
        "Its relief is not below that of the sides; the secondary lies behind it.",
        "Check the size with the measuring scope, and record it at the final check.",
    )
    title = "Corner, clipped at 45°" if clip else "Corner radius"
    return Section("corner", title, figures, tuple(step for step in steps if step), cautions.END)


def ball_section(card: Card) -> Section:
    """A ball: its radius is that of the sides, and all of it moves back by what comes off the tip."""
    setup, plan = _setup(card), card.plan
    figures = (
        Figure("Ball radius", as_nm(card.option.get("corner_size_mm")), first=True),
        Figure("Off the tip", card.aim.end_nm, first=True),
        Figure("Diameter over the ball", plan.diameter_nm if plan else None),
        Figure("Swing centre, on the axis, behind the new tip", as_nm(setup.centre_behind_mm) if setup else None),
        _relief(card, "Relief"),
        Figure(
            "Secondary relief",
            text=say_shape(card, "secondary_relief_deg"),
            assumed="secondary_relief_deg" in card.assumed,
        ),
        *infeed_figures(card.end_passes, "towards the centre of the ball", card.unit),
    )
    steps = (
        say_index(card),
        "The sides first: the ball runs into them without a step." if "sides" in card.aim.parts else _sides_stay(card),
        "Swing from the tip to the side about the centre given above; the infeed moves that centre back, nothing else.",
        f"Infeed: {card.end_passes_refused}." if card.end_passes_refused else "",
        rest_of_stock(card.end_passes, card.unit),
        "Grind every tooth at one setting of the stop, and past the centre where the tool cuts to it.",
        "Check the radius at several angles, not the diameter alone, and record it at the final check.",
    )
    return Section("ball", "Ball", figures, tuple(step for step in steps if step), cautions.END)


def _sides_stay(card: Card) -> str:
    return "The sides are left alone: the ball keeps the radius that they have, and moves back."


def _radius_figures(card: Card) -> tuple[Figure, ...]:
    setup = _setup(card)
    return (
        Figure(
            "Corner radius to form",
            as_nm(card.option.get("corner_size_mm")),
            assumed="corner_radius" in card.assumed,
            first=True,
        ),
        Figure("Swing centre, off the axis", as_nm(setup.centre_off_axis_mm) if setup else None),
        Figure("Swing centre, behind the new end", as_nm(setup.centre_behind_mm) if setup else None),
        _relief(card, "Relief of the corner"),
    )


def _clip_figures(card: Card) -> tuple[Figure, ...]:
    setup = _setup(card)
    degrees = "" if setup is None or setup.angle_rad is None else f"{math.degrees(setup.angle_rad):.0f}°"
    return (
        Figure("Clip, its leg along the axis", as_nm(card.option.get("corner_size_mm")), first=True),
        Figure("Angle to the axis", text=degrees),
        Figure("Off the sharp corner, square to the clip", as_nm(setup.off_sharp_corner_mm) if setup else None),
        _relief(card, "Relief of the clip"),
    )


def _relief(card: Card, label: str) -> Figure:
    """The sides' relief, marked where nobody read it."""
    angle, assumed = say_shape(card, "primary_relief_deg"), "primary_relief_deg" in card.assumed
    return Figure(label, text=angle, note=RELIEF_NOTE, assumed=assumed)


def _setup(card: Card) -> CornerSetup | None:
    """Where the corner is swung about at the radius of the sides as the plan has it; None where it does not fit."""
    plan, form, size = card.plan, card.option.get("corner_form"), card.option.get("corner_size_mm")
    if plan is None or not plan.diameter_nm or not form:
        return None
    corner = Corner(cast(Form, form), to_nm(size or 0.0))
    radius_mm = plan.diameter_nm / 2_000_000
    return attempt(lambda: set_corner(corner, radius_mm))[0]
