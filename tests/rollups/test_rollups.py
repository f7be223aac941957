from io import StringIO
from typing import get_args

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from regrind.bench.inspecting.actions import inspect
from regrind.record.actions import merge_families, take_apart
from regrind.record.figures import NAMES, TallyName
from regrind.record.models import ALL_YEARS, CustomerYear, FamilyMonth, FamilyYear, Piece, Tally, YearTally
from regrind.record.rollup_rebuild import differences, rebuild
from regrind.shop.events import event
from regrind.shop.models import Event, Person
from tests.kept import kept
from tests.long_form import FULL

from .shop_maker import Shop, answered
from .slow_count import add_years, count_slowly

pytestmark = pytest.mark.django_db
# Weights under which all that can happen in a shop does so within a few hundred events.
ALL = {"send": 12, "complain": 14, "look": 14, "price": 8, "grind": 14, "check": 14}
EVENTS = 399
SEEDS = range(12) if FULL else range(1)
SUMS = ("familymonth", "familyyear", "customeryear", "tally")
CALM = dict.fromkeys(("merge", "apart", "retell", "join"), 0)


@pytest.fixture(scope="module")
def calm_shop(django_db_setup, django_db_blocker):
    """A shop whose families stayed as they were."""

    def make() -> Shop:
        shop = Shop(13, Person.objects.create_user("Ola", "a long password", owner=True), weights=CALM)
        shop.run(EVENTS // 2)
        return shop

    yield from kept(django_db_blocker, make)


def stored() -> tuple[dict, dict]:
    """What the cells say, in the slow count's form; zeros and empty cells left out."""
    columns, tallies = {}, {}
    for row in FamilyMonth.objects.all():
        cell = (row.family_id, row.customer_id, row.month)
        told = {name: getattr(row, name) for name in NAMES if getattr(row, name)}
        columns |= {cell: told} if told else {}
        found = {(t.what, t.key): [t.n, t.good, t.total, t.squares] for t in row.tallies.all()}
        tallies |= {cell: found} if found else {}
    return columns, tallies


def stored_years() -> dict:
    """What the years say, in the slow count's form."""
    years = {}
    for row in FamilyYear.objects.all():
        key = (row.family_id, "all" if row.year == ALL_YEARS else row.year.year)
        years[key] = {name: getattr(row, name) for name in NAMES}
        for tally in row.tallies.all():
            values = (tally.n, tally.good, tally.total, tally.squares)
            years[key] |= {(tally.what, tally.key, n): value for n, value in enumerate(values)}
    for row in CustomerYear.objects.all():
        key = (row.customer_id, row.family_id, "all" if row.year == ALL_YEARS else row.year.year)
        years[key] = {name: getattr(row, name) for name in NAMES}
    return {key: filled for key, row in years.items() if (filled := {k: v for k, v in row.items() if v})}


def run_and_count(shop: Shop, events: int) -> None:
    shop.run(events)
    answered(shop.by)
    counted = count_slowly()
    assert stored() == counted
    assert stored_years() == add_years(*counted)


@pytest.mark.parametrize("seed", SEEDS)
def test_whatever_happens_in_a_shop_its_cells_equal_a_slow_count_of_the_raw_rows(seed, owner):
    shop = Shop(seed, owner)
    for _ in range(3):
        run_and_count(shop, EVENTS // 3)
    assert list(differences()) == []
    assert Piece.objects.count() > 20


def test_so_they_do_in_a_shop_where_all_that_can_happen_does(owner):
    """Else the test above would prove less than it says: each event must happen, and each column be filled."""
    shop = Shop(10, owner, weights=ALL)
    lacking = set(NAMES)
    while len(lacking) > 2 and sum(shop.done.values()) < 600:
        run_and_count(shop, 130)
        lacking = lacking_in(shop)
    # regrinds left come from the worked-out answer alone, which these plain plans have none of
    assert lacking == {"left_n", "left_sum"}
    assert Event.objects.filter(kind="undone", undoes__kind="ground").exists()


def lacking_in(shop: Shop) -> set[str]:
    """The events that did not happen yet, and the columns and tallies that nothing filled yet."""
    events = {action.__name__ for action, _ in shop.events}
    filled = {name for row in FamilyMonth.objects.all() for name in NAMES if getattr(row, name)}
    whats = set(get_args(TallyName))
    return (
        (events - set(shop.done)) | (set(NAMES) - filled) | (whats ^ set(Tally.objects.values_list("what", flat=True)))
    )


def test_rebuilding_gives_what_the_events_gave(calm_shop):
    before = stored()
    years = stored_years()
    assert rebuild() == len(before[0])
    assert stored() == before
    assert stored_years() == years


ROWS = [
    (FamilyMonth, {}),
    (FamilyYear, {"year__gt": ALL_YEARS}),
    (FamilyYear, {"year": ALL_YEARS}),
    (CustomerYear, {"year__gt": ALL_YEARS}),
    (CustomerYear, {"year": ALL_YEARS}),
]


@pytest.mark.parametrize(("level", "when"), ROWS)
def test_a_row_that_was_tampered_with_is_found_and_named(calm_shop, level, when):
    row = level.objects.filter(ground__gt=0, **when).last()
    level.objects.filter(pk=row.pk).update(ground=row.ground + 1)
    [found] = differences()
    assert (found.what, found.stands, found.counted) == ("ground", row.ground + 1, row.ground)
    assert found.key[-1] == (row.month if level is FamilyMonth else row.year)
    assert found.key.family == row.family_id
    said = StringIO()
    with pytest.raises(CommandError):
        call_command("recount", check=True, stdout=said)
    assert f"family {row.family_id}" in said.getvalue()
    assert f"ground: stands {row.ground + 1}, counted {row.ground}" in said.getvalue()


def test_a_years_tally_that_was_tampered_with_is_found_and_named(calm_shop):
    tally = YearTally.objects.filter(cell__year=ALL_YEARS).first()
    YearTally.objects.filter(pk=tally.pk).delete()
    [found] = differences()
    assert (found.key, found.what) == ((tally.cell.family_id, ALL_YEARS), f"{tally.what} {tally.key}")
    assert found.stands is None


def test_figures_follow_a_merge_and_come_back_when_it_is_taken_apart(calm_shop, owner):
    before = stored()
    merge = merge_families(by=owner, family=calm_shop.families[0], into=calm_shop.families[1])
    assert not FamilyMonth.objects.filter(family=calm_shop.families[0]).exclude(received=0).exists()
    assert stored() == count_slowly()
    assert stored_years() == add_years(*count_slowly())
    take_apart(by=owner, merge=merge)
    assert stored() == before


def test_an_event_that_fails_leaves_the_cells_as_they_were(calm_shop, owner):
    before = stored()
    with pytest.raises(ZeroDivisionError):
        _fail_after_events(owner)
    assert stored() == before


def _fail_after_events(owner):
    with event(owner, "test"):
        Shop(15, owner).run(50)
        raise ZeroDivisionError


def test_what_an_event_costs_does_not_grow_with_its_pieces(owner, make_batch):
    spent = []
    for count in (1, 40):
        pieces = list(make_batch(count).pieces.select_related("batch", "line__family"))
        with CaptureQueriesContext(connection) as queries:
            inspect(by=owner, pieces=pieces, expected={}, typed={}, damage="nothing")
        spent.append(sum(any(table in q["sql"] for table in SUMS) for q in queries))
    assert 0 < spent[1] <= spent[0]
