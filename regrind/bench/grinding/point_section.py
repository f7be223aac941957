"""A drill's point on the setup card: its angle, cut-back, lip relief, web and lip heights."""

from typing import Any

from regrind.geometry.units import NM_PER_MM, to_nm
from regrind.paper import cautions

from ..kinds.drill import find_drop_mm
from .card import Card
from .card_section import Figure, Section, infeed_figures, rest_of_stock, say_length

TURN_DEG = 15.0  # how far the drill is turned under the indicator; our choice, well on a lip's relief
BINDS = "All of the worn margin goes: what is left of it binds in the hole."


def point_section(card: Card) -> Section:
    plan, option = card.plan, card.option
    figures = (
        Figure("Off the point, from the corner", card.aim.end_nm, first=True),
        Figure("Point angle", text=_say_angle(card), assumed=_is_assumed(card)),
        Figure("Lip relief at the corner", text=f"{option['lip_relief_deg']:g}°", note="± 2°"),
        Figure(f"Indicator at the corner, turned {TURN_DEG:g}°: drop", to_nm(find_drop_mm(option, TURN_DEG))),
        *_lips(option),
        *_web(option),
        Figure("Flute left", plan.usable_nm if plan else None),
        Figure("Diameter after, left alone", plan.diameter_nm if plan else None),
        *infeed_figures(card.end_passes, "along the axis", card.unit),
    )
    return Section("point", "Point", figures, _list_steps(card), cautions.POINT)


def _say_angle(card: Card) -> str:
    """The angle that is ground, and the one it came with where that differs."""
    now = card.shape.get("point_angle_deg")
    new = card.shape.get("grind_point_angle_deg") or now
    return f"{new:g}°" if new == now else f"{new:g}°, came with {now:g}°"


def _is_assumed(card: Card) -> bool:
    return "point_angle_deg" in card.assumed


def _lips(option: dict[str, Any]) -> tuple[Figure, ...]:
    most = option["lip_height_most_mm"]
    return () if most is None else (Figure("Lips, most apart in height", round(most * NM_PER_MM)),)


def _web(option: dict[str, Any]) -> tuple[Figure, ...]:
    if option["web_mm"] is None:
        return ()
    return (Figure("Web after", to_nm(option["web_mm"]), note="thin it" if option["thin_web"] else "no need to thin"),)


def _list_steps(card: Card) -> tuple[str, ...]:
    reasons = card.option["reasons"]
    cut_off = "cut_off_first" in reasons
    steps = (
        f"Cut off most of the {say_length(card.option['cut_back_mm'], card.unit)} first, then point."
        if cut_off
        else "",
        BINDS,
        "Both lips at one setting of the stop, turned half a turn, so that they are of one length and height.",
        f"Infeed: {card.end_passes_refused}." if card.end_passes_refused else "",
        rest_of_stock(card.end_passes, card.unit),
        _thin(card.option),
        "Blow out the coolant holes, and keep the thinning off their mouths." if "coolant_holes" in reasons else "",
        "The margins are left alone: the diameter falls by the back taper only.",
    )
    return tuple(step for step in steps if step)


def _thin(option: dict[str, Any]) -> str:
    """The web grows as a drill is worn back; unread, the bench checks it before the drill goes."""
    if option["thin_web"] is None:
        return "Web not read: thin it where the chisel edge has grown."
    return "Thin the web on both sides alike, into the flutes." if option["thin_web"] else ""
