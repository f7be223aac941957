from datetime import date

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from regrind.record.models import Family, Rate
from regrind.record.rate_changes import keep_rates
from regrind.record.rates import SHOP, newest_pk, operations_of, rates_on, read_rates
from regrind.shop.events import Conflict, Refusal
from regrind.shop.models import ShopSettings
from tests.events import make_event

pytestmark = pytest.mark.django_db
JAN, FEB, MAR, APR = (date(2026, month, 1) for month in (1, 2, 3, 4))


@pytest.fixture
def say(owner):
    """say(scope, day, price=750) -> written down as it would be on the page."""

    def write(scope, day, operation="", **amounts):
        return keep_rates(
            by=owner,
            scope=scope,
            from_day=day,
            seen=newest_pk(scope),
            amounts={(what, operation if what == "price" else ""): amount for what, amount in amounts.items()},
        )

    return write


def test_a_familys_own_price_holds_before_its_kinds_and_a_kinds_before_the_shops(say, family):
    say(SHOP, JAN, wheel=30)
    say((None, "square"), JAN, price=700, wheel=40)
    assert read_rates().on(family, FEB).wheel_minor == 40
    say((family.pk, ""), FEB, price=820)
    book = read_rates()
    assert [book.on(family, day).price_minor for day in (JAN, FEB)] == [700, 820]
    other = Family.objects.create(kind="drill")
    assert (book.on(other, FEB).price_minor, book.on(other, FEB).wheel_minor) == (None, 30)


def test_old_days_keep_what_held_on_them(say, family):
    say((family.pk, ""), JAN, price=700)
    say((family.pk, ""), MAR, price=900)
    book = read_rates()
    days = (date(2025, 12, 31), JAN, date(2026, 2, 28), MAR, APR)
    assert [book.on(family, day).price_minor for day in days] == [None, 700, 700, 900, 900]


def test_the_price_of_one_operation_holds_before_the_price_of_whatever_is_ground(say, family):
    say((family.pk, ""), JAN, price=700)
    say((None, "square"), JAN, operation="end", price=300)
    say((family.pk, ""), JAN, operation="sides end", price=800)
    book = read_rates()
    prices = {name: book.on(family, JAN, name).price_minor for name in operations_of("square")}
    assert prices == {"": 700, "sides": 700, "end": 700, "face": 700, "corner": 700, "sides end": 800}


def test_what_is_taken_back_leaves_the_wider_one_and_a_later_word_for_the_same_day_counts(say, family):
    say((None, "square"), JAN, price=700)
    say((family.pk, ""), JAN, price=820)
    say((family.pk, ""), JAN, price=850)
    say((family.pk, ""), MAR, price=None)
    book = read_rates()
    assert [book.on(family, day).price_minor for day in (JAN, FEB, MAR)] == [850, 850, 700]


def test_the_hourly_rate_is_the_letterheads_until_one_is_dated(say, family):
    ShopSettings.objects.create(rate_minor=8_000)
    assert read_rates().on(family, JAN).hourly_minor == 8_000
    say(SHOP, FEB, hourly=9_500)
    book = read_rates()
    assert [book.on(family, day).hourly_minor for day in (JAN, FEB)] == [8_000, 9_500]


def test_the_periods_of_a_family_say_the_same_as_each_day_asked_alone(say, family):
    for scope, day, amount in (
        (SHOP, FEB, 30),
        ((None, "square"), JAN, 20),
        ((family.pk, ""), MAR, 40),
        ((family.pk, ""), APR, None),
    ):
        say(scope, day, wheel=amount)
    book = read_rates()
    periods = book.periods(family)
    assert [day for day, _ in periods] == [date.min, JAN, MAR, APR]
    for day in (date(2025, 1, 1), JAN, FEB, date(2026, 2, 28), MAR, APR, date(2030, 1, 1)):
        held = [rates for begin, rates in periods if begin <= day][-1]
        assert held == book.on(family, day)


def test_rates_are_read_in_two_queries_however_many_families(say, django_assert_num_queries):
    families = [Family.objects.create(kind="square", teeth=n + 1) for n in range(40)]
    for family in families[:20]:
        say((family.pk, ""), JAN, price=700 + family.pk, new=3_000, life=6)
    with django_assert_num_queries(2):
        told = rates_on(families, FEB)
    assert told[families[3].pk].price_minor == 700 + families[3].pk
    assert told[families[3].pk].new_regrinds == 6
    assert told[families[30].pk].price_minor is None


def test_nothing_said_is_refused_and_a_page_that_saw_less_gets_a_conflict(say, owner, family):
    with pytest.raises(Refusal, match="Nothing here differs"):
        say((family.pk, ""), JAN)
    say((family.pk, ""), JAN, price=700)
    with pytest.raises(Conflict, match="Somebody else"):
        keep_rates(by=owner, scope=(family.pk, ""), amounts={("price", ""): 800}, from_day=JAN, seen=0)


def test_the_database_refuses_a_rate_of_two_scopes_and_any_change(say, owner, family):
    with pytest.raises(IntegrityError), transaction.atomic():
        Rate.objects.create(what="price", family=family, kind="square", amount=1, from_day=JAN, event=make_event(owner))
    with pytest.raises(IntegrityError), transaction.atomic():
        Rate.objects.create(what="hourly", family=family, amount=1, from_day=JAN, event=make_event(owner))
    say((family.pk, ""), JAN, price=700)
    for change in (lambda: Rate.objects.update(amount=1), lambda: Rate.objects.all().delete()):
        with pytest.raises(DatabaseError, match="insert-only"), transaction.atomic():
            change()
