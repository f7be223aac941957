"""A tray's figures as its page shows them: all of the first lot, and of each further one only what changes."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from regrind.geometry.units import show_with_unit, to_nm
from regrind.record.kinds import is_radial
from regrind.record.models import Piece

from ..grinding.card import Card, set_up
from ..grinding.card_section import Figure
from ..grinding.machine import Machine
from ..grinding.prefill import name_end
from ..grinding.sides_section import TRAVEL_STOP, tip_side
from ..grinding.wheel_section import describe_wheel
from .order import WEIGHTS
from .waiting import Lot, Stage

WORDS = {
    "wheel": "the wheel",
    "hand": "the hand",
    "work": "what is ground",
    "holding": "the work holding",
    "relief_deg": "the relief",
    "band": "the band of diameters",
}
MOST_NAMED = 6


@dataclass(frozen=True)
class Row:
    """One lot: its figures by name, and those of them that are not as on the lot before."""

    lot: Lot
    card: Card
    figures: tuple[tuple[str, str], ...]
    changes: tuple[tuple[str, str], ...]

    @property
    def named(self) -> str:
        return name_pieces(self.lot.pieces)


def say_changes(names: Sequence[str]) -> str:
    """`the wheel, the work holding`: in the words of the page."""
    return ", ".join(WORDS[name] for name in names)


def tray_figures(stage: Stage, card: Card) -> list[Figure]:
    """What is set once for a tray: wheel, speed, work holding, hands, relief and the stylus' distance."""
    setup, wheel = stage.tray.setup, stage.lots[0].usual.wheel
    described = describe_wheel(wheel, "wet", card.unit)
    speeds = [item for item in described.figures if item.label.startswith(("Abrasive", "Speed", "Marked"))]
    relief = "" if setup.relief_deg is None else f"{setup.relief_deg}°"
    figures = [
        Figure("Wheel", text=setup.wheel),
        *speeds,
        Figure("Work holding", text=setup.holding),
        Figure("Hand of cut and helix", text=setup.hand, note="mirrored" if card.mirrored else ""),
        Figure("Primary relief", text=relief if is_radial(setup.work.split()) else ""),
        Figure("Stylus from the wheel’s contact", card.machine.distance_nm if card.stylus else None),
    ]
    return [figure for figure in figures if figure.known]


def weight_rows() -> list[tuple[str, int]]:
    return [(WORDS[name], weight) for name, weight in WEIGHTS.items()]


def list_rows(lots: Sequence[Lot], machine: Machine) -> list[Row]:
    """The lots of one tray in order, on the machine as it is set."""
    rows: list[Row] = []
    for lot in lots:
        card = set_up(lot.aim, lot.usual.wheel, machine, lot.line.batch.customer.unit)
        figures = _figures(card)
        before = dict(rows[-1].figures) if rows else {}
        rows.append(Row(lot, card, figures, tuple((name, text) for name, text in figures if before.get(name) != text)))
    return rows


def _figures(card: Card) -> tuple[tuple[str, str], ...]:
    """What is set or read for one lot, in its customer's unit; a figure that cannot be had is left out."""
    aim, plan = card.aim, card.plan
    figures: list[tuple[str, Any]] = [
        (TRAVEL_STOP, _nm(card.travel_mm)),
        ("Grind to", plan and plan.diameter_nm if is_radial(card.parts) else None),
        (f"Stylus tip {tip_side(card)} centre", _nm(card.tip_mm)),
        ("Off the highest tooth", aim.infeed_nm),
        (f"Off the {name_end(aim.parts)}", aim.end_nm),
    ]
    return tuple((name, show_with_unit(nm, card.unit)) for name, nm in figures if nm is not None)


def _nm(mm: float | None) -> int | None:
    return None if mm is None else to_nm(mm)


def name_pieces(pieces: Sequence[Piece]) -> str:
    """`3-1 to 3-8` where they follow one another, else each by its number, the first few."""
    if len(pieces) > 2 and _follow(pieces):
        return f"{pieces[0].short} to {pieces[-1].short}"
    more = f" and {len(pieces) - MOST_NAMED} more" if len(pieces) > MOST_NAMED else ""
    return ", ".join(piece.short for piece in pieces[:MOST_NAMED]) + more


def _follow(pieces: Sequence[Piece]) -> bool:
    first = pieces[0]
    return all(p.original_line == first.original_line and p.number == first.number + n for n, p in enumerate(pieces))
