"""The sums in money, when a wheel or a new tool turns out to have cost another in the past. Counted by hand."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from regrind.record.models import ALL_YEARS, Batch, Customer, CustomerYear, FamilyMonth, FamilyYear, Piece, Rate
from regrind.record.rate_changes import keep_rates
from regrind.record.rates import SHOP, newest_pk
from regrind.record.rollup_rebuild import differences, rebuild
from regrind.shop.models import Event
from regrind.shop.undo import undo

pytestmark = pytest.mark.django_db
PRICED = ("wheel_minor", "saved_minor", "saved_n", "saved_of")


@pytest.fixture
def two_boxes(make_batch, family):
    """Three good ones at 10.00 from 400 days ago, and two with one scrapped from today."""
    for ago, count in ((400, 3), (0, 3)):
        batch = make_batch(count)
        Batch.objects.filter(pk=batch.pk).update(received_at=timezone.now() - timedelta(days=ago))
        batch.lines.update(unit_price_minor=1_000)
        Piece.objects.filter(batch=batch).update(status="left", result="ground")
    Piece.objects.filter(pk=Piece.objects.latest("pk").pk).update(result="scrap")
    rebuild()
    return family


def say(by, scope, since, **amounts) -> Event:
    entries = {(what, ""): amount for what, amount in amounts.items()}
    return keep_rates(by=by, scope=scope, amounts=entries, from_day=since, seen=newest_pk(scope))[0].event


def days_ago(days: int):
    return timezone.localdate() - timedelta(days=days)


def priced(rows) -> list[tuple[int, ...]]:
    return list(rows.order_by("pk").values_list(*PRICED))


def test_a_rate_of_the_past_prices_what_came_since_in_every_level(two_boxes, owner):
    """Wheels at 0.50 from the first box on; new ones at 40.00 from a year ago: 2 good at 10.00 saved 60.00 of 3."""
    say(owner, SHOP, days_ago(500), wheel=50)
    say(owner, (two_boxes.pk, ""), days_ago(365), new=4_000)
    assert priced(FamilyMonth.objects) == [(150, 0, 0, 0), (100, 6_000, 2, 3)]
    for level in (FamilyYear, CustomerYear):
        assert priced(level.objects.filter(year=ALL_YEARS)) == [(250, 6_000, 2, 3)]
    assert list(differences()) == []


def test_an_undone_rate_never_was(two_boxes, owner):
    say(owner, (None, two_boxes.kind), days_ago(500), wheel=50, new=4_000)
    before = priced(FamilyMonth.objects), priced(FamilyYear.objects), priced(CustomerYear.objects)
    changed = say(owner, (two_boxes.pk, ""), days_ago(450), wheel=90, new=None)
    assert priced(FamilyYear.objects) != before[1]
    undo(by=owner, done=changed)
    assert (priced(FamilyMonth.objects), priced(FamilyYear.objects), priced(CustomerYear.objects)) == before
    assert list(differences()) == []


def test_a_rate_from_today_on_writes_no_sum_of_the_past(two_boxes, owner):
    Batch.objects.update(received_at=timezone.now() - timedelta(days=400))
    rebuild()
    with CaptureQueriesContext(connection) as queries:
        say(owner, SHOP, days_ago(0), wheel=50, new=4_000)
    assert [q["sql"] for q in queries if q["sql"].startswith('UPDATE "record_')] == []
    assert list(differences()) == []


def test_a_figure_in_money_that_was_tampered_with_is_found(two_boxes, owner):
    say(owner, SHOP, days_ago(500), wheel=50)
    CustomerYear.objects.filter(year=ALL_YEARS).update(wheel_minor=251)
    [found] = differences()
    assert (found.what, found.stands, found.counted) == ("wheel_minor", 251, 250)


def test_what_a_wheel_costs_goes_by_family_kind_or_shop_alone(owner):
    happened = Event.objects.create(kind="rates set", by=owner, done_at=timezone.now(), recorded_at=timezone.now())
    for band in ({"over_nm": 1}, {"customer": Customer.objects.create(name="Firm", unit="mm")}):
        with pytest.raises(IntegrityError), transaction.atomic():
            Rate.objects.create(event=happened, what="wheel", amount=50, from_day=days_ago(0), **band)
