"""Sheets drawn once for many tests."""

import pytest

from .every_sheet import PAPERS


@pytest.fixture(scope="session")
def drawn():
    """Each paper drawn once and kept: many tests look at the same sheets."""
    papers_drawn = {}

    def draw(name, size, style):
        if (name, size, style) not in papers_drawn:
            module, make = PAPERS[name]
            papers_drawn[name, size, style] = module.draw(make(size, style))
        return papers_drawn[name, size, style]

    return draw
