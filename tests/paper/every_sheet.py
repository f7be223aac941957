"""The sheets that the tests draw, in every size and style."""

import pytest

from regrind.paper import job_sheet, report, review, setup_card, slip
from regrind.paper.values import Style
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


every_size = pytest.mark.parametrize("size", SIZES)


every_style = pytest.mark.parametrize(
    "style", STYLES, ids=lambda style: f"{style.unit}{style.decimal_mark}{style.page}"
)
