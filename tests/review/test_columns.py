import pytest

from regrind.review.columns import COLUMNS, HEADS, SORTS, TABLE
from regrind.review.pieces import NARROWED
from regrind.review.rows import Row
from regrind.review.sums import Sums


def test_each_title_and_each_order_stands_once():
    for names in ([title for title, _ in TABLE], [title for _, title in HEADS], [key for key, _ in HEADS]):
        assert len(names) == len(set(names))
    assert set(SORTS) == {key for key, _ in HEADS}


@pytest.mark.parametrize("column", COLUMNS, ids=lambda column: column.key)
def test_a_cell_opens_pieces_that_can_be_listed(column):
    assert column.result in {None, "", *NARROWED}


def test_a_family_without_figures_shows_no_number_but_its_complaints():
    cells = {column.key: column.cell(Row(1, Sums()), "in") for column in COLUMNS}
    assert {key: cell.text for key, cell in cells.items() if cell.text != "–"} == {"received": "0", "complaints": "0"}
    assert [key for key, cell in cells.items() if cell.opens is not None] == ["received"]


def test_the_table_to_take_away_tells_how_the_final_check_went():
    values = {title: value(Row(1, Sums(released_first=5, sent_back=2))) for title, value in TABLE}
    assert (values["passed the first check"], values["sent back by a check"]) == (5, 2)
