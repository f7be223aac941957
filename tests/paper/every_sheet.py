"""The sheets that the tests draw, in every size and style."""

import pytest

from regrind.paper import job_sheet, report, review, setup_card, slip
from regrind.paper.values import Style
from tests.long_form import FULL
from tests.paper import papers

STYLES = [Style("in"), Style("mm", ",", "A4"), Style("mm", ".", "letter")]


SIZES = [1, 40, 400]

PAPERS = {
    "job sheet": (job_sheet, papers.job),
    "report": (report, papers.report),
    "slip": (slip, papers.slip),
    "setup card": (setup_card, lambda _size, style, **changes: papers.setup(style, **changes)),
    "review": (review, papers.review),
}


SIDE = 40


every_paper = pytest.mark.parametrize("name", PAPERS)


def name_of(value: object) -> str:
    return f"{value.unit}{value.decimal_mark}{value.page}" if isinstance(value, Style) else str(value)


every_style = pytest.mark.parametrize("style", STYLES, ids=name_of)


# The largest takes seconds to draw and to read: in one way of writing, unless in full.
SIZED = [(size, style) for size in SIZES for style in STYLES if size < 400 or style is STYLES[1] or FULL]
every_size_and_style = pytest.mark.parametrize(("size", "style"), SIZED, ids=name_of)
