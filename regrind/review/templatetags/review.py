"""The review's words in templates: `{% load review %}`."""

from django import template

from regrind.geometry.units import Unit

from .. import words
from ..columns import COLUMNS, Cell
from ..rows import Row
from ..verdicts import Verdict

register = template.Library()


@register.filter
def look_of(code: str) -> str:
    """The shape of a verdict: a dot, a half one, a ring, or a square where there is nothing to say."""
    return words.LOOKS[code]


@register.filter
def changes(verdict: Verdict) -> str:
    return words.say_changes(verdict)


@register.filter
def few(verdict: Verdict) -> str:
    return words.say_few(verdict)


@register.filter
def share(value: float | None) -> str:
    return words.say_share(value)


@register.filter
def amount(minor: float | None) -> str:
    return words.say_money(minor)


@register.filter
def count(number: int) -> str:
    return words.say_count(number)


@register.filter
def cells(row: Row, unit: Unit) -> list[Cell]:
    """A family's figures, a cell for each column of the families page."""
    return [column.cell(row, unit) for column in COLUMNS]


@register.filter
def half_nm(value: float | None) -> int | None:
    """What came off the diameter, of one side: whole nanometres."""
    return None if value is None else round(value / 2)
