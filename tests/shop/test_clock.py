"""A clock that was set back: no false alarm of tampering, and nobody locked out."""

from datetime import timedelta

import pytest
import time_machine
from django.utils import timezone

from regrind.shop.history.seal import broken_seals, seal_history
from regrind.shop.models import History, SignInTry
from regrind.shop.people import sign_in_limit

pytestmark = [pytest.mark.django_db, pytest.mark.drill("a clock set back")]


def write(at, name: str) -> None:
    """A row of history as it was written when the clock said `at`: triggers take the database's own clock, which no
    test can set, so the row is put in as they would."""
    last = History.objects.order_by("pk").last()
    History.objects.create(
        pk=(last.pk if last else 0) + 1, table="record_customer", row=1, what="changed", at=at, old="", new=name
    )


@pytest.mark.parametrize("back", [timedelta(minutes=1), timedelta(minutes=3), timedelta(hours=1), timedelta(days=400)])
def test_rows_are_sealed_in_the_order_of_their_ids_whatever_the_clock_said(back):
    now = timezone.now()
    for step in range(3):
        write(now - timedelta(minutes=10 - step), f"before {step}")
    write(now - timedelta(seconds=1), "just before the clock is set back")
    for n in range(3):
        write(now - back + timedelta(seconds=n), f"after {n}")
    with time_machine.travel(now - back + timedelta(minutes=5), tick=False):
        seal_history()
        assert broken_seals() == []
    with time_machine.travel(now + timedelta(minutes=30), tick=False):
        seal_history()
        assert broken_seals() == []
        assert seal_history(timedelta(0)) == 0  # all of it is sealed by now


def test_a_row_that_is_not_settled_holds_the_later_ones_back():
    """Sealing what is settled and leaving out an id between was the false alarm: that row came into the run later."""
    now = timezone.now()
    write(now - timedelta(minutes=10), "settled")
    write(now, "not settled")
    write(now - timedelta(minutes=10), "of a clock that was behind")
    with time_machine.travel(now, tick=False):
        assert seal_history() == 1


def test_a_row_altered_afterwards_is_still_found():
    write(timezone.now() - timedelta(minutes=10), "as it was")
    seal_history()
    from django.db import connection

    from regrind.shop.history import triggers

    triggers.remove()
    with connection.cursor() as cursor:
        cursor.execute("UPDATE shop_history SET new = 'other' WHERE new = 'as it was'")
    triggers.install()
    assert len(broken_seals()) == 1


def test_tries_from_later_than_now_lock_nobody_out(rf):
    request = rf.get("/")
    assert sign_in_limit.take(request, {"pin": 1})
    assert not sign_in_limit.take(request, {"pin": 1})
    with time_machine.travel(timezone.now() - timedelta(days=300)):
        assert sign_in_limit.take(request, {"pin": 1})
        assert not sign_in_limit.take(request, {"pin": 1})  # counted by the clock as it is
        assert SignInTry.objects.count() == 1  # those of the other clock are gone, and a refused one is not stored
