"""The setup card by what is ground: sides, end, corner, ball, face; each its figures, steps and cautions.

The page and the printed card show the same sections. A figure that is not known has no value: the page leaves it out,
the paper leaves room to write it.
"""

from regrind.paper import cautions

from .card import Card
from .card_section import Section
from .corner_section import ball_section, corner_section
from .end_section import end_section
from .face_section import face_section
from .hand_section import hand_ball, hand_corner, hand_section
from .kind_section import kind_section
from .secondary_section import needs_secondary, secondary_section
from .sides_section import sides_section

COMPUTED = {
    "sides": sides_section,
    "end": end_section,
    "corner": corner_section,
    "ball": ball_section,
    "face": face_section,
}
REFORMED = {"radius": hand_corner, "ball": hand_ball}


def list_sections(card: Card) -> list[Section]:
    """The sections of a card in the order of the work; none where no plan says what is ground."""
    sections = [_make_section(card, part) for part in card.parts]
    if needs_secondary(card):
        sections.insert(1 + card.parts.index("sides"), secondary_section(card))
    reform = REFORMED.get(card.aim.piece.line.family.kind)
    by_hand = {"sides", "end"} & set(card.parts) and not {"corner", "ball"} & set(card.aim.parts)
    return [*sections, reform(card)] if reform and by_hand else sections


def _make_section(card: Card, part: str) -> Section:
    """By the kind's own plan, else as of an end mill; by hand where no option says what is ground."""
    section = kind_section(card, part) if card.option else None
    if section is not None:
        return section
    return COMPUTED[part](card) if part in COMPUTED and card.option else hand_section(card, part)


def list_cautions(cards: list[Card], material: str) -> tuple[str, ...]:
    """Every caution of these cards once: of what is ground, of the material, and those that always hold."""
    by_section = [section.cautions for card in cards for section in list_sections(card)]
    return cautions.gather(*by_section, cautions.by_material(material), cautions.GENERAL)
