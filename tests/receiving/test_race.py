"""Several people at the counter at once: no number twice, nothing lost."""

import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import OperationalError, connection

from regrind.receiving import actions
from regrind.record.models import Batch, Customer, Family, Line, Piece
from regrind.shop.events import Conflict, Refusal
from regrind.shop.models import Person

pytestmark = pytest.mark.django_db(transaction=True)
PEOPLE = 8


def at_once(deed, times: int = PEOPLE) -> list:
    """Do it in as many threads, each with a connection of its own; what was refused comes back as its exception.

    SQLite's database in memory says "locked" at once where a file waits for its turn: here it waits by asking again.
    """

    def one(n: int):
        try:
            while True:
                try:
                    return deed(n)
                except OperationalError as busy:
                    if "locked" not in str(busy):
                        raise
                    time.sleep(0.01)
        except (Conflict, Refusal) as refused:
            return refused
        finally:
            connection.close()

    with ThreadPoolExecutor(times) as pool:
        return list(pool.map(one, range(times)))


@pytest.fixture
def by():
    return Person.objects.create_user("Fay", "a long password", front_desk=True)


@pytest.fixture
def box(by):
    return actions.open_batch(by=by, customer=Customer.objects.create(name="Brookfield", unit="in"))


@pytest.fixture
def family():
    return Family.objects.create(kind="square", nominal_nm=6_350_000)


def test_boxes_logged_at_the_same_instant_take_a_number_each(by, box):
    at_once(lambda n: actions.open_batch(by=by, customer=box.customer, order_number=f"PO-{n}"))
    assert sorted(Batch.objects.values_list("number", flat=True)) == list(range(1, PEOPLE + 2))


def test_lines_logged_at_the_same_instant_take_a_number_each(by, box, family):
    at_once(lambda n: actions.log_line(by=by, batch=box, family=family, count=3))
    assert sorted(Line.objects.values_list("number", flat=True)) == list(range(1, PEOPLE + 1))
    assert Piece.objects.count() == 3 * PEOPLE


def test_a_piece_split_off_by_several_goes_to_one_line(by, box, family):
    line = actions.log_line(by=by, batch=box, family=family, count=5)
    pieces = list(line.pieces.select_related("batch")[:2])
    done = at_once(lambda n: actions.split_line(by=by, line=line, pieces=pieces))
    assert len([d for d in done if isinstance(d, Line)]) == 1
    assert len([d for d in done if isinstance(d, Conflict)]) == PEOPLE - 1
    assert (Line.objects.count(), Piece.objects.count()) == (2, 5)


def test_a_recount_by_several_happens_once(by, box, family):
    line = actions.log_line(by=by, batch=box, family=family, count=5)
    done = at_once(lambda n: actions.recount(by=by, line=line, count=8, reason="three more"))
    assert done.count(None) == 1
    assert sorted(line.pieces.values_list("number", flat=True)) == list(range(1, 9))


def test_a_life_tag_is_given_once(by, box, family):
    line = actions.log_line(by=by, batch=box, family=family, count=1)
    seen = [line.pieces.select_related("batch__customer", "line__family", "tool").get() for _ in range(PEOPLE)]
    done = at_once(lambda n: actions.give_tags(by=by, pieces=[seen[n]]))
    assert len([d for d in done if isinstance(d, list)]) == 1
