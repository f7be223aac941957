"""Setup cards of the worked example for the tests, and what their sections say."""

from regrind.bench.grinding.card import set_up
from regrind.bench.grinding.card_sections import list_sections
from regrind.bench.grinding.machine import Machine
from regrind.bench.grinding.prefill import aim
from regrind.bench.models import Plan
from regrind.bench.revisions import newest

from .tray import ready_to_grind

WHERE = "/bench/417-1/setup-card"


def card_of(line, by, wheel=None, distance_mm=1.5, **more):
    pieces = ready_to_grind(line, by, **more)
    machine = Machine(round(distance_mm * 1e6), {"in": 2_540, "mm": 2_000})
    return set_up(aim(pieces, newest(Plan, pieces))[0], wheel, machine, "in")


def figures(card, name):
    """A section's figures by label: a length in nm, else the text."""
    section = next(section for section in list_sections(card) if section.name == name)
    return {figure.label: figure.nm if figure.nm is not None else figure.text for figure in section.figures}


def steps(card, name):
    return " ".join(next(section for section in list_sections(card) if section.name == name).steps)
