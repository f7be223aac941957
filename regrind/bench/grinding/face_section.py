"""The flute face on the setup card: the wheel's plane, the turn of the tool, and what comes off at the old edge."""

from regrind.paper import cautions

from .card import Card
from .card_section import Figure, Section, as_nm, infeed_figures, rest_of_stock
from .hand_section import hand_section


def face_section(card: Card) -> Section:
    """As it was worked out; by hand where nothing was."""
    option = card.option
    if option.get("way") != "face":
        return hand_section(card, "face")
    figures = (
        Figure("Stock off the face, at the old edge", as_nm(option["face_stock_mm"]), first=True),
        Figure("Wheel’s plane behind the axis", as_nm(option["set_over_mm"])),
        Figure("Turn of the tool, from the old face to the new", text=_degrees(option["face_turn_deg"])),
        Figure("Rake at the new edge", text=_degrees(option["face_rake_deg"]), assumed="rake_deg" in card.assumed),
        Figure(
            "Relief at the new edge",
            text=_degrees(option["face_relief_deg"]),
            assumed="primary_relief_deg" in card.assumed,
        ),
        Figure("Diameter after, as it comes out", as_nm(option["diameter_mm"])),
        Figure("Tooth width after", as_nm(option["tooth_width_mm"])),
        *infeed_figures(card.face_passes, "square to the face", card.unit),
    )
    return Section("face", "Face", figures, _steps(card), cautions.END)


def _steps(card: Card) -> tuple[str, ...]:
    steps = [
        "Set the wheel’s plane behind the axis by the distance above, and leave it there: the tool is turned into it.",
        "Rake and relief that nobody read are a maker’s figures for such tools: check them on this one first.",
        "Grind the flute faces alone, each by the same turn; the sides and their relief are left as they are.",
        "The runout of the teeth stays as it is." if "runout_stays" in card.option.get("reasons", ()) else "",
        f"Infeed: {card.face_passes_refused}." if card.face_passes_refused else "",
        rest_of_stock(card.face_passes, card.unit),
        "Feeding the wheel across instead would change rake and form. A hooked face needs a formed wheel.",
    ]
    return tuple(step for step in steps if step)


def _degrees(value: float | None) -> str:
    return "" if value is None else f"{value:.1f}°"
