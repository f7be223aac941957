"""What the setup card draws of a part: the kind's own sketch, or for the sides the stylus beside the wheel."""

from django.utils.safestring import SafeString

from regrind.calculators.draw_stylus import draw_end_on
from regrind.geometry.units import NM_PER_MM
from regrind.paper.values import Sketch

from ..drawings.sketch import draw_sketch
from ..kinds.registry import kind_of
from .card import Card


def find_sketch(card: Card, part: str) -> Sketch | None:
    """What a kind with a plan of its own draws of a part; None where it draws nothing, or no option is ground."""
    planner = kind_of(card.aim.piece.line.family).planner
    if planner is None or not card.option:
        return None
    return planner.sketches(card.case, card.option, card.unit).get(part)


def draw_part(card: Card, part: str, place: int) -> SafeString | str:
    """The drawing of a part for the page; '' for none. place: of the card on its page, which names the hatching."""
    if part == "sides":
        return _draw_stylus(card)
    sketch = find_sketch(card, part)
    return draw_sketch(sketch, f"off-{place}-{part}") if sketch else ""


def _draw_stylus(card: Card) -> SafeString | str:
    """The stylus as it is set; '' where it has no height."""
    if card.stylus is None or card.relief_rad is None or not card.plan or not card.plan.diameter_nm:
        return ""
    radius_mm = card.plan.diameter_nm / 2 / NM_PER_MM
    return draw_end_on(radius_mm, card.relief_rad, card.stylus, card.agree, card.unit)
