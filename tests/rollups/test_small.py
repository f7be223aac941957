"""The cells of shops in which nearly nothing happens, and of one where all is scrap."""

import pytest

from regrind.record.models import FamilyMonth, Piece
from regrind.record.rollup_rebuild import differences, rebuild
from regrind.shop.events import event

from .shop_maker import Shop
from .slow_count import count_slowly
from .test_rollups import stored

pytestmark = pytest.mark.django_db


def test_an_empty_shop_has_no_cells(db):
    assert rebuild() == 0
    assert list(differences()) == []


def test_a_shop_of_one_tool(owner):
    shop = Shop(7, owner, weights=dict.fromkeys(("line", "recount", "split", "date"), 0))
    shop.box()
    shop.families, shop.customers = shop.families[:1], shop.customers[:1]
    with event(owner, "test"):
        shop.line()
        spare = Piece.objects.order_by("-pk")[: Piece.objects.count() - 1]
        Piece.objects.filter(pk__in=[p.pk for p in spare]).delete()
    shop.run(40)
    assert stored() == count_slowly()
    assert sum(row.received for row in FamilyMonth.objects.all()) == 1


def test_a_shop_where_all_is_scrap(owner, make_batch):
    shop = Shop(8, owner, weights=dict.fromkeys(("grind", "check"), 0))
    make_batch(6)
    shop.run(120)
    scrap = [row for row in FamilyMonth.objects.all() if row.scrap]
    assert scrap
    assert stored() == count_slowly()
