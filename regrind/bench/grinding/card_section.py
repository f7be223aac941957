"""What the setup card's sections are made of: figures, steps, and how they are put in words."""

import math

from regrind.geometry.dial_passes import DialPasses
from regrind.geometry.units import NM_PER_MM, Unit, show_with_unit, to_nm

from ..kinds.card import Figure as Figure  # for the sections
from ..kinds.card import Section as Section
from .card import Card

MANY_PASSES = 60  # above this a coarser wheel is worth the change (common practice)


def infeed_figures(passes: DialPasses | None, way: str, unit: Unit) -> tuple[Figure, ...]:
    spark_out = f"and {passes.spark_out} spark-out" if passes and passes.spark_out else ""
    return (
        Figure(f"Infeed roughing, {way}", text=say_passes(passes, passes.rough, unit) if passes else ""),
        Figure(f"Infeed finishing, {way}", text=_say_finishing(passes, unit) if passes else "", note=spark_out),
    )


def _say_finishing(passes: DialPasses, unit: Unit) -> str:
    """The finishing passes, and the last that the dial's steps leave: all passes add up to the stock as it prints."""
    words, last = say_passes(passes, passes.finish, unit), show_last(passes, unit)
    if not last:
        return words
    return f"{words}, then {last} by measure" if passes.finish else f"{last} by measure"


def show_last(passes: DialPasses, unit: Unit) -> str:
    """What the whole steps leave of the stock as it prints; '' where they take all of it."""
    printed = 2_540 if unit == "in" else 1_000
    steps_nm = to_nm(sum(count * steps for count, steps in (*passes.rough, *passes.finish)) * passes.step_mm)
    last_nm = round((steps_nm + to_nm(passes.rest_mm)) / printed) * printed - steps_nm
    return show_with_unit(last_nm, unit) if last_nm >= printed / 2 else ""


def say_passes(passes: DialPasses, groups: tuple[tuple[int, int], ...], unit: Unit) -> str:
    """`14 passes of .0003 in`: in whole steps of the dial; "none" where there are none."""
    infeeds = [
        f"{count} pass{'' if count == 1 else 'es'} of {dial_length(steps * passes.step_mm, passes.step_mm, unit)}"
        for count, steps in groups
    ]
    return ", then ".join(infeeds) or "none"


def dial_length(mm: float, step_mm: float, unit: Unit) -> str:
    """An infeed with as many places as the dial's step needs."""
    step = to_nm(step_mm)
    places = (4 if step % 2_540 == 0 else 5) if unit == "in" else (3 if step % 1_000 == 0 else 4)
    return show_with_unit(to_nm(mm), unit, places=places)


def rest_of_stock(passes: DialPasses | None, unit: Unit) -> str:
    """That the dial's steps leave something of the stock; '' where they take all of it as it prints."""
    if passes is None or not show_last(passes, unit):
        return ""
    return "The infeeds are whole steps of the dial and do not take all of it: measure before the last pass."


def advise_passes(passes: DialPasses | None) -> str:
    """What a long row of passes asks for (common practice); '' where the passes are few."""
    count = sum(number for number, _ in (*passes.rough, *passes.finish)) if passes else 0
    if count <= MANY_PASSES:
        return ""
    return f"{count} passes with this wheel: a coarser one roughs in fewer, as far as its maker allows on this tool."


def say_index(card: Card) -> str:
    """What an unequal index asks of whoever turns the tool from tooth to tooth (common practice); '' where it is even.

    An even division would set the other teeth beside the wheel; on the stylus each tooth carries itself.
    """
    if not card.shape.get("unequal_index"):
        return ""
    return "Unequal index: line up each tooth by itself on the tooth rest, never by an even division."


def say_expanded(card: Card) -> str:
    return f"± {card.expanded_deg:.1f}°" if card.expanded_deg is not None else ""


def say_shape(card: Card, name: str) -> str:
    """An angle of the tool's shape in words; '' where nobody gave it and no default stands for it."""
    degrees = card.shape.get(name)
    return f"{degrees:.1f}°" if degrees is not None else ""


def say_degrees(angle_rad: float | None) -> str:
    return "" if angle_rad is None else f"{math.degrees(angle_rad):.1f}°"


def say_length(mm: float | None, unit: Unit) -> str:
    return "" if mm is None else show_with_unit(to_nm(mm), unit)


def as_nm(mm: float | None) -> int | None:
    return None if mm is None else round(mm * NM_PER_MM)
