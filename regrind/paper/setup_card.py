"""The setup card: all that is set once for a tray of tools."""

from reportlab.lib.colors import black
from reportlab.platypus import Flowable, PageBreak

from regrind.paper import cautions, parts, sheet, text
from regrind.paper.values import Length, SetupCard, SetupSheet, Style

TITLE = "Setup card"


def draw(values: SetupSheet) -> bytes:
    """The setup cards as a paper of their own, each on its own page; PDF bytes.

    Raises ValueError where there is no card.
    """
    if not values.cards:
        raise ValueError("cards: there is none to print")
    wide = sheet.room(values.head)
    story: list[Flowable] = []
    for index, card in enumerate(values.cards):
        story += [PageBreak()] if index else []
        story += [parts.heading(card.title), *card_parts(card, values.head.style, wide, columns=3)]
        story += [parts.heading("Cautions"), *parts.bullets(card_cautions(card))]
        story += [parts.heading("Notes"), *(parts.WriteIn(22) for _ in range(4))]
    return sheet.draw(TITLE, values.head, story, code=values.head.batch)


def card_parts(card: SetupCard, style: Style, wide: float, *, columns: int = 4) -> list[Flowable]:
    """The card's figures, and its steps in order; what is not set is a line to write on."""
    value = parts.VALUE if columns < 4 else parts.SETTING
    made: list[Flowable] = [parts.facts(card_facts(card, style), columns, wide, value)]
    warning = speed_warning(card)
    if warning:
        made.append(
            parts.table(
                [[parts.paragraph(warning, parts.STRONG)]],
                [wide],
                [
                    ("BOX", (0, 0), (-1, -1), parts.THICK, black),
                    ("TOPPADDING", (0, 0), (-1, -1), 4),
                    ("BOTTOMPADDING", (0, 0), (-1, -1), 6),
                ],
                header=0,
                ruled=False,
            )
        )
    steps = [f"{number}. {step}" for number, step in enumerate(card.steps, start=1)]
    return [*made, *(parts.paragraph(step, parts.SMALL) for step in steps)]


def card_facts(card: SetupCard, style: Style) -> list[tuple[str, str]]:
    """The card's names and values in the order in which they are set."""
    wheel = [
        ("Work holding", card.holding),
        ("Wheel", card.wheel),
        ("Wheel runout after truing", _length(card.wheel_truing, style)),
        ("Speed", _speed(card)),
    ]
    return wheel + (_sides(card, style) if card.sides else [])


def _sides(card: SetupCard, style: Style) -> list[tuple[str, str]]:
    return [
        ("Primary relief", _relief(card, style)),
        ("Drop to measure", _drop(card, style)),
        ("Stylus tip height", _stylus(card.stylus_height, style)),
        ("Stylus to wheel contact, along the axis", _length(card.stylus_lag, style)),
        ("Travel stop", _length(card.travel_stop, style)),
        ("Infeed per pass, roughing", _length(card.infeed_rough, style)),
        ("Infeed per pass, finishing", _length(card.infeed_finish, style)),
        ("Wheel direction, roughing / finishing", _directions(card)),
    ]


def card_cautions(card: SetupCard) -> list[str]:
    """The card's own cautions first, then those of every card; reversing only where the card reverses."""
    reverse = cautions.REVERSED if card.reversed_finish else ()
    return [*card.cautions, *reverse, *cautions.GENERAL]


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


def _relief(card: SetupCard, style: Style) -> str:
    if card.relief is None:
        return ""
    second = f", secondary {text.angle(card.secondary_relief, style)}" if card.secondary_relief else ""
    return text.angle(card.relief, style) + second


def _drop(card: SetupCard, style: Style) -> str:
    if card.drop is None:
        return ""
    distance = f" at {text.length(card.drop_at, style)}" if card.drop_at else ""
    return f"{text.dual(card.drop, style)}{distance}" + (f", {card.drop_how}" if card.drop_how else "")


def _stylus(value: Length | None, style: Style) -> str:
    """Below positive: a negative height stands above the centre, and the words say so instead of a sign."""
    if value is None:
        return ""
    plain = Length(abs(value.nm), value.places_in, value.places_mm, value.assumed, value.about)
    side = "at centre height" if value.nm == 0 else "below centre" if value.nm > 0 else "above centre"
    return side if value.nm == 0 else f"{text.dual(plain, style)} {side}"


def _directions(card: SetupCard) -> str:
    return " / ".join(part for part in (card.direction_rough, card.direction_finish) if part)
