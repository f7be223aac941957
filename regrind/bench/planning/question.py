"""What is asked of the customer: a whole sentence with the figures that it turns on."""

from collections.abc import Mapping, Sequence
from typing import Any

from regrind.geometry.units import show_with_unit
from regrind.record.kinds import name_part
from regrind.record.models import Piece

from ..models import Inspection
from ..revisions import newest_with_readings
from .parts import list_parts
from .words import join_words

UNDER_SMALLEST = "under your smallest diameter"


def word_question(usual: str, own_words: str, pieces: Sequence[Piece], option: Mapping[str, Any]) -> str:
    """`It is .4797 in now, under your smallest, .4800 in. Shall we grind the end?`

    usual: the reason that was tapped, '' for none; own_words: what was typed, which then is the question; option: the
    way to grind that is proposed, empty for none.
    """
    if not usual:
        return own_words[:300]
    parts = [f"the {name_part(part)}" for part in list_parts(option)] if option else []
    asked = own_words or f"Shall we grind {join_words(parts) or 'it all the same'}?"
    return f"{_say_size(pieces, option) if usual == UNDER_SMALLEST else f'It is {usual}.'} {asked}"[:300]


def _say_size(pieces: Sequence[Piece], option: Mapping[str, Any]) -> str:
    """The size now, and after the option where that is what goes under; the reason alone where a figure is missing."""
    line, unit = pieces[0].line, pieces[0].line.batch.customer.unit
    smallest = line.smallest_diameter_nm()
    rows = newest_with_readings(Inspection, pieces).values()
    now = [row.diameter_nm for row in rows if row.diameter_nm]
    if not smallest or not now:
        return f"It is {UNDER_SMALLEST}."
    limit = f"under your smallest, {show_with_unit(smallest, unit)}"
    size = f"It is {show_with_unit(min(now), unit)} now"
    after_nm = round(option.get("diameter_mm", 0) * 1_000_000)
    if min(now) < smallest or not after_nm:
        return f"{size}, {limit}." if min(now) < smallest else f"It is {UNDER_SMALLEST}."
    return f"{size} and would be {show_with_unit(after_nm, unit)} after, {limit}."
