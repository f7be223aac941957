"""The setup card: all that is set once for a tray of tools, part by part."""

from collections.abc import Sequence
from dataclasses import replace

from reportlab.lib.colors import black
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, PageBreak

from regrind.paper import cautions, parts, sheet, text
from regrind.paper.sketch import SketchPicture
from regrind.paper.stylus_drawing import StylusPicture
from regrind.paper.values import (
    Heading,
    Length,
    SetupCard,
    SetupFigure,
    SetupPart,
    SetupSheet,
    Sketch,
    Style,
    StylusDrawing,
)

TITLE = "Setup card"
NOTE_PT = 22.0
SKETCH = (200.0, 92.0, 250.0)  # of a sketch its width and height, and the room beside it for words, points
CAUTION = ParagraphStyle("caution", parts.BODY, leading=10.5)


def draw(values: SetupSheet) -> bytes:
    """The setup cards of a line as a paper of its own, each on its own page, their cautions once at the end; PDF bytes.

    Raises ValueError where there is no card.
    """
    if not values.cards:
        raise ValueError("cards: there is none to print")
    wide = sheet.room(values.head)
    story: list[Flowable] = []
    for index, card in enumerate(values.cards):
        story += [PageBreak()] if index else []
        story += [
            parts.heading(card.title),
            *_limits(card, values.head.style, wide),
            *card_parts(card, values.head.style, wide, columns=3, drawings=True),
        ]
    story += [parts.gap(4), *_cautions(values.cards), parts.Ruled("Notes", NOTE_PT)]
    return sheet.draw(TITLE, _for_the_bench(values.head), story, code=values.cards[0].number)


def _cautions(cards: Sequence[SetupCard]) -> list[Flowable]:
    """Every card's cautions once, one a line: a line's cards are one paper."""
    warned = cautions.gather(*(tuple(card_cautions(card)) for card in cards))
    return [parts.together([parts.paragraph("Cautions", parts.STRONG), *parts.bullets(warned, CAUTION)])]


def _for_the_bench(head: Heading) -> Heading:
    """The heading without addresses and contact: the room is for the figures."""
    shop = replace(head.shop, lines=(), logo=b"")
    return replace(head, shop=shop, customer=replace(head.customer, lines=(), contact=""))


def _limits(card: SetupCard, style: Style, wide: float) -> list[Flowable]:
    """How many pieces the card is for, and what they are held to."""
    limits = [("Pieces", str(card.count)), *((one.label, figure_text(one, style)) for one in card.limits)]
    return [parts.facts(limits, max(4, len(limits)), wide, parts.SETTING)] if card.count else []


def card_parts(
    card: SetupCard,
    style: Style,
    wide: float,
    *,
    columns: int = 4,
    drawings: bool = False,
    differing: Sequence[str] = (),
) -> list[Flowable]:
    """The wheel's figures, then each part with figures, drawing and steps; what is not set is a line to write on.

    wide: the width of the card in points. columns: the number of figures side by side. differing: labels of figures
    that hold for this card's pieces alone; each names them.
    """
    value, whose = parts.SETTING, dict.fromkeys(differing, f", for {card.title}")
    made: list[Flowable] = [parts.facts(wheel_facts(card, style), 4, wide, value)]
    warning = speed_warning(card)
    made += [_boxed(warning, wide)] if warning else []
    made += [_boxed(card.warning, wide)] if card.warning else []
    made += [parts.paragraph(text.composed(step, style), parts.SMALL) for step in card.steps]
    for part in card.parts:
        named = tuple(replace(figure, label=figure.label + whose.get(figure.label, "")) for figure in part.figures)
        made += _part(replace(part, figures=named), style, wide, columns, value, drawings)
    return made


def _part(
    part: SetupPart, style: Style, wide: float, columns: int, value: ParagraphStyle, drawings: bool
) -> list[Flowable]:
    facts = [(figure.label, figure_text(figure, style)) for figure in part.figures]
    made: list[Flowable] = [parts.paragraph(part.title, parts.STRONG)]
    made += [parts.facts(facts, columns, wide, value)] if facts else []
    if part.drawing is not None and drawings:
        made.append(_picture(part.drawing, style))
    return [parts.gap(4), *made, *_numbered(part.steps, style)]


def _picture(drawing: StylusDrawing | Sketch, style: Style) -> Flowable:
    return SketchPicture(drawing, style, *SKETCH) if isinstance(drawing, Sketch) else StylusPicture(drawing, style)


def _numbered(steps: Sequence[str], style: Style) -> list[Flowable]:
    return [
        parts.paragraph(f"{number}. {text.composed(step, style)}", parts.SMALL)
        for number, step in enumerate(steps, start=1)
    ]


def _boxed(words: str, wide: float) -> Flowable:
    """A warning in a heavy frame."""
    return parts.table(
        [[parts.paragraph(words, parts.STRONG)]],
        [wide],
        [
            ("BOX", (0, 0), (-1, -1), parts.THICK, black),
            ("TOPPADDING", (0, 0), (-1, -1), 4),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 6),
        ],
        header=0,
        ruled=False,
    )


def card_facts(card: SetupCard, style: Style) -> list[tuple[str, str]]:
    """The card's names and values in the order in which they are set: of the wheel, then of every part."""
    figures = [(figure.label, figure_text(figure, style)) for part in card.parts for figure in part.figures]
    return wheel_facts(card, style) + figures


def wheel_facts(card: SetupCard, style: Style) -> list[tuple[str, str]]:
    """The names and values of work holding and wheel."""
    return [
        ("Work holding", card.holding),
        ("Wheel", card.wheel),
        ("Wheel runout after truing", _length(card.wheel_truing, style)),
        ("Speed", _speed(card)),
    ]


def figure_text(figure: SetupFigure, style: Style) -> str:
    """A figure in words: its length in both units or its text, the word where it is assumed, what belongs beside it."""
    value = _length(figure.length, style) or text.composed(figure.text, style)
    if not value:
        return ""
    marked = f"{value} assumed" if figure.assumed else value
    return f"{marked}, {text.composed(figure.note, style)}" if figure.note else marked


def card_cautions(card: SetupCard) -> list[str]:
    """The card's own cautions first, then those of every card."""
    return [*cautions.gather(card.cautions, cautions.GENERAL)]


def speed_warning(card: SetupCard) -> str:
    """A warning on the speed in rev/min: above the marked maximum, or the maximum not recorded; else empty."""
    speed = card.speed
    if speed.rpm is None:
        return ""
    if speed.marked_max_rpm is None:
        return "The wheel's marked maximum is not recorded. Read it on the wheel before you start it."
    if speed.rpm > speed.marked_max_rpm:
        most = speed.marked_max_rpm
        return f"DO NOT RUN: {speed.rpm} rev/min is above the wheel's marked maximum of {most}."
    return ""


def _speed(card: SetupCard) -> str:
    speed = card.speed
    if speed.rpm is None:
        return ""
    most = "not recorded" if speed.marked_max_rpm is None else f"{speed.marked_max_rpm}"
    surface = f", {speed.surface_m_s}{text.NARROW}m/s" if speed.surface_m_s else ""
    return f"{speed.rpm}{text.NARROW}rev/min{surface}; marked maximum {most}"


def _length(value: Length | None, style: Style) -> str:
    return text.dual(value, style) if value else ""
