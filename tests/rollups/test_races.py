"""Several tablets whose events touch the same cells: no sum is lost, and none waits for another in a circle."""

import random
import time
from datetime import date

import pytest
from django.db import OperationalError, connection

from regrind.bench.inspecting.actions import inspect
from regrind.receiving import actions
from regrind.record.actions import merge_families, take_apart
from regrind.record.models import Customer, Family, FamilyMonth, Piece
from regrind.record.moves import move
from regrind.record.rate_changes import keep_rates
from regrind.record.rates import SHOP, newest_pk
from regrind.record.rollup_rebuild import differences
from regrind.shop.events import before_commit, event
from regrind.shop.models import Person
from tests.receiving import test_race


def at_once(deed) -> None:
    """As the counter's races do it; on PostgreSQL no event may fail, so a deadlock is no reason to ask again."""

    def one(n: int) -> None:
        try:
            deed(n)
        except OperationalError as error:
            if connection.vendor == "postgresql":
                raise AssertionError(str(error)) from error
            raise

    test_race.at_once(one, PEOPLE)


pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.drill("sums under tablets at once")]
PEOPLE, TIMES = 6, 6


@pytest.fixture
def by():
    return Person.objects.create_user("Fay", "a long password", front_desk=True)


@pytest.fixture
def families():
    return [Family.objects.create(kind="square", nominal_nm=6_000_000 + k) for k in range(5)]


def test_events_that_touch_families_in_any_order_lose_no_piece_and_never_lock_each_other_out(by, families):
    boxes = [actions.open_batch(by=by, customer=Customer.objects.create(name=f"Firm {k}", unit="in")) for k in range(2)]

    def deed(n: int) -> None:
        chance = random.Random(n)
        for _ in range(TIMES):
            with event(by, "test"):  # one event over several boxes and families, in an order of its own
                for family in chance.sample(families, 3):
                    line = actions.log_line(by=by, batch=boxes[n % 2], family=family, count=2)
                    pieces = list(line.pieces.select_related("batch", "line__family"))
                    inspect(by=by, pieces=pieces, expected={}, typed={}, damage="nothing")

    at_once(deed)
    assert sum(row.received for row in FamilyMonth.objects.all()) == Piece.objects.count() >= PEOPLE * TIMES * 3 * 2
    assert list(differences()) == []


def test_a_merge_among_events_of_its_families_leaves_every_cell_as_a_recount_gives_it(by, families):
    box = actions.open_batch(by=by, customer=Customer.objects.create(name="Firm", unit="in"))

    def deed(n: int) -> None:
        for k in range(TIMES):
            if n == 0:
                take_apart(by=by, merge=merge_families(by=by, family=families[0], into=families[1]))
            else:
                actions.log_line(by=by, batch=box, family=families[(n + k) % 2], count=1)

    at_once(deed)
    assert list(differences()) == []
    assert sum(row.received for row in FamilyMonth.objects.all()) == Piece.objects.count() >= (PEOPLE - 1) * TIMES


def linger(_: set[int]) -> None:
    """Between the recount of the cells, where they are priced, and the commit."""
    time.sleep(0.4)


def test_costs_said_of_the_past_while_others_decide_price_their_cells_too(by, families):
    """Without `lock_cells` there, PostgreSQL's cells that were not committed yet would stay at the costs before."""

    def deed(n: int) -> None:
        if n == 0:
            time.sleep(0.2)
            amounts = {("new", ""): 4_000, ("wheel", ""): 40}
            keep_rates(by=by, scope=SHOP, amounts=amounts, from_day=date(2020, 1, 1), seen=newest_pk(SHOP))
            return
        with event(by, "test"):
            customer = Customer.objects.create(name=f"Firm {n}", unit="in")
            box = actions.open_batch(by=by, customer=customer)
            line = actions.log_line(by=by, batch=box, family=families[n % 3], count=1)
            for to, result in (("inspected", ""), ("released", "scrap")):
                move(pieces=list(line.pieces.select_related("batch")), to=to, result=result, by=by)
            before_commit(linger, [n])

    at_once(deed)
    assert list(differences()) == []
    assert sum(row.saved_of for row in FamilyMonth.objects.all()) == Piece.objects.count() == PEOPLE - 1
