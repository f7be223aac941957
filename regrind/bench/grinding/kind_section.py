"""What a kind with a plan of its own says of a part on the setup card, with the infeeds of the wheel."""

from regrind.geometry.dial_passes import DialPasses
from regrind.record.line_dimensions import tool_of

from ..kinds.card import Passes, Section, Work
from ..kinds.registry import kind_of
from .card import Card
from .card_section import infeed_figures, rest_of_stock
from .passes import plan_passes


def kind_section(card: Card, part: str) -> Section | None:
    """The section of that part; None where the kind has none of its own."""
    planner = kind_of(card.aim.piece.line.family).planner
    make = planner.sections.get(part) if planner else None
    return make(_gather(card)) if make else None


def _gather(card: Card) -> Work:
    plan = card.plan
    return Work(
        tool_of(card.aim.piece.line),
        card.case,
        card.shape,
        card.option,
        card.assumed,
        card.unit,
        end_nm=card.aim.end_nm,
        radial_nm=card.aim.infeed_nm,
        usable_nm=plan.usable_nm if plan else None,
        diameter_nm=plan.diameter_nm if plan else None,
        wheel=card.wheel,
        end_passes=_say(card, card.end_passes, card.end_passes_refused, "along the axis"),
        passes=lambda stock_nm, way: _say(card, *plan_passes(card.machine, card.unit, card.wheel, stock_nm, 0.0), way),
    )


def _say(card: Card, passes: DialPasses | None, refused: str, way: str) -> Passes:
    steps = (f"Infeed: {refused}." if refused else "", rest_of_stock(passes, card.unit))
    return Passes(infeed_figures(passes, way, card.unit), tuple(step for step in steps if step))
