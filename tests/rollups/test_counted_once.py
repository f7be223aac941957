"""A past written at one go: its cells are counted once, and hold what they would have held."""

import pytest

from regrind.record.models import FamilyMonth
from regrind.record.rollup_rebuild import differences
from regrind.record.rollups import counted_once

from .shop_maker import Shop

pytestmark = pytest.mark.django_db


def test_what_was_counted_once_equals_a_recount_of_all(owner):
    shop = Shop(21, owner)
    with counted_once():
        shop.run(80)
        assert not FamilyMonth.objects.exists()
    assert sum(FamilyMonth.objects.values_list("received", flat=True)) > 10
    assert list(differences()) == []
    shop.run(20)  # and from there on event by event again
    assert list(differences()) == []


def test_nothing_is_counted_of_what_failed(owner):
    shop = Shop(21, owner)

    def fail() -> None:
        with counted_once():
            shop.run(20)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail()
    assert not FamilyMonth.objects.exists()
