import pytest

from regrind.record.figures import NAMES, Figures
from regrind.record.models.pieces import RESULTS


@pytest.mark.parametrize("name", [code for code, _ in RESULTS if code])
def test_each_result_of_a_piece_has_a_figure(name):
    assert name in NAMES


def test_a_misspelt_figure_is_refused_where_it_is_written():
    figures = Figures()
    with pytest.raises(AttributeError):
        figures.realeased_first = 1


def test_figures_add_up_name_by_name():
    numbers = range(1, len(NAMES) + 1)
    twice = Figures(*numbers) + Figures(*numbers)
    assert [getattr(twice, name) for name in NAMES] == [2 * n for n in numbers]
