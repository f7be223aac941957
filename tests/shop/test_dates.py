from datetime import date, timedelta

import pytest

from regrind.shop.fields.dates import next_month


@pytest.mark.parametrize("year", [1999, 2000, 2024, 2026])
def test_the_next_month_begins_on_the_day_after_the_last_of_this_one(year):
    day = date(year, 1, 1)
    while day.year == year:
        first = next_month(day)
        assert first.day == 1
        assert (first - timedelta(days=1)).month == day.month
        day += timedelta(days=1)


def test_the_last_month_there_is_has_no_next():
    assert next_month(date(9999, 11, 30)) == date(9999, 12, 1)
    assert next_month(date(9999, 12, 31)) == date(9999, 12, 31)
