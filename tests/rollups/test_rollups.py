import os

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from regrind.bench.inspecting.actions import inspect
from regrind.record.actions import merge_families, take_apart
from regrind.record.models import FamilyMonth, Piece, Tally
from regrind.record.rebuilding import differences, rebuild
from regrind.record.rollups import COLUMNS
from regrind.shop.acting import acting

from .shop_maker import Shop, answered
from .slow_count import count_slowly

pytestmark = pytest.mark.django_db
SEEDS = range(40) if os.environ.get("REGRIND_FULL") else range(4)
EVENTS = 400


def stored() -> tuple[dict, dict]:
    """What the cells say, in the slow count's form; zeros and empty cells left out."""
    columns, tallies = {}, {}
    for row in FamilyMonth.objects.all():
        cell = (row.family_id, row.customer_id, row.month)
        told = {name: getattr(row, name) for name in COLUMNS if getattr(row, name)}
        columns |= {cell: told} if told else {}
        found = {(t.what, t.of): [t.n, t.good, t.total, t.squares] for t in row.tallies.all()}
        tallies |= {cell: found} if found else {}
    return columns, tallies


@pytest.mark.parametrize("seed", SEEDS)
def test_whatever_happens_in_a_shop_its_cells_equal_a_slow_count_of_the_raw_rows(seed, owner):
    shop = Shop(seed, owner)
    for _ in range(4):
        shop.run(EVENTS // 4)
        answered(owner)
        assert stored() == count_slowly()
    assert list(differences()) == []
    assert Piece.objects.count() > 20


def test_the_made_shops_do_all_that_a_shop_does(owner):
    """Else the test above would prove less than it says: each event must happen in the shops, and fill each column."""
    shop = Shop(3, owner)
    shop.run(900)
    done = shop.done
    filled = {name for row in FamilyMonth.objects.all() for name in COLUMNS if getattr(row, name)}
    whats = set(Tally.objects.values_list("what", flat=True))
    assert set(done) == {event.__name__ for event, _ in shop.events}
    # regrinds left come from the worked-out answer alone, which these plain plans have none of
    assert set(COLUMNS) - filled == {"left_n", "left_sum"}
    assert whats == {"why", "complaint", "stock", "foretold", "wear", "wheel"}


def test_an_empty_shop_has_no_cells(db):
    assert rebuild() == 0
    assert list(differences()) == []


def test_a_shop_of_one_tool(owner):
    shop = Shop(7, owner, weights=dict.fromkeys(("line", "recount", "split", "date"), 0))
    shop.box()
    shop.families, shop.customers = shop.families[:1], shop.customers[:1]
    with acting(owner):
        shop.line()
        spare = Piece.objects.order_by("-pk")[:Piece.objects.count() - 1]
        Piece.objects.filter(pk__in=[p.pk for p in spare]).delete()
    shop.run(40)
    assert stored() == count_slowly()
    assert sum(row.seen for row in FamilyMonth.objects.all()) == 1


def test_a_shop_where_all_is_scrap(owner, make_batch):
    shop = Shop(8, owner, weights=dict.fromkeys(("grind", "check"), 0))
    make_batch(6)
    shop.run(120)
    scrap = [row for row in FamilyMonth.objects.all() if row.scrap]
    assert scrap
    assert stored() == count_slowly()


def test_rebuilding_gives_what_the_events_gave(owner):
    Shop(11, owner).run(EVENTS)
    before = stored()
    assert rebuild() == len(before[0])
    assert stored() == before


def test_a_cell_that_was_tampered_with_is_found_and_named(owner):
    Shop(12, owner).run(150)
    row = FamilyMonth.objects.filter(seen__gt=0).first()
    FamilyMonth.objects.filter(pk=row.pk).update(ground=row.ground + 1)
    [found] = differences()
    assert (found.cell.family, found.what, found.stands, found.counted) == (
        row.family_id, "ground", row.ground + 1, row.ground)


def test_figures_follow_a_merge_and_come_back_when_it_is_taken_apart(owner):
    shop = Shop(13, owner, weights=dict.fromkeys(("merge", "apart", "retell", "join"), 0))
    shop.run(EVENTS)
    before = stored()
    merge = merge_families(by=owner, family=shop.families[0], into=shop.families[1])
    assert not FamilyMonth.objects.filter(family=shop.families[0]).exclude(seen=0).exists()
    assert stored() == count_slowly()
    take_apart(by=owner, merge=merge)
    assert stored() == before


def test_an_event_that_fails_leaves_the_cells_as_they_were(owner):
    Shop(14, owner).run(200)
    before = stored()
    with pytest.raises(ZeroDivisionError):
        _fail_after_events(owner)
    assert stored() == before


def _fail_after_events(owner):
    with acting(owner):
        Shop(15, owner).run(50)
        raise ZeroDivisionError


def test_what_an_event_costs_does_not_grow_with_its_pieces(owner, make_batch):
    spent = []
    for count in (1, 40):
        pieces = list(make_batch(count).pieces.select_related("batch", "line__family"))
        with CaptureQueriesContext(connection) as queries:
            inspect(by=owner, pieces=pieces, seen={}, typed={}, damage="nothing")
        spent.append(sum("familymonth" in q["sql"] or "tally" in q["sql"] for q in queries))
    assert 0 < spent[1] <= spent[0]
