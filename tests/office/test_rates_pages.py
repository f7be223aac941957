from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from regrind.record.models import Rate
from regrind.record.rates import read_rates

from .conftest import Desk

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client, owner):
    client.force_login(owner)
    return Desk(client)


def keep(desk, where, **typed):
    return desk.post(where, where, from_day=f"{timezone.localdate()}", seen=0, **typed)


def test_the_owner_writes_down_what_holds_of_a_family_and_reads_it_again(desk, family):
    where = reverse("office:rates_family", args=[family.pk])
    assert keep(desk, where, price="7.50", price_sides_end="9", wheel="0.40", new="38", life="6").status_code == 302
    held = read_rates().on(family, timezone.localdate(), "sides end")
    assert (held.price_minor, held.wheel_minor, held.new_minor, held.new_regrinds) == (900, 40, 3800, 6)
    shown = desk.get(where).content.decode()
    assert 'value="7.50"' in shown
    assert "price of a regrind, sides and end" in shown
    assert shown.count("Oda,") == 5


def test_only_what_was_changed_is_written_and_what_was_emptied_is_taken_back(desk, family):
    where = reverse("office:rates_family", args=[family.pk])
    keep(desk, where, price="7.50", wheel="0.40")
    newest = Rate.objects.order_by("-pk").first().pk
    desk.post(where, where, from_day=f"{timezone.localdate()}", seen=newest, price="", wheel="0.40")
    assert list(Rate.objects.order_by("pk").values_list("what", "amount")) == [
        ("price", 750),
        ("wheel", 40),
        ("price", None),
    ]
    assert "removed" in desk.get(where).content.decode()


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("price", "1e3", "is not a price"),
        ("price", "-1", "is not a price"),
        ("wheel", "1.234", "is not a price"),
        ("life", "51", "from 0 to 50"),
        ("from_day", "", "Valid from is required"),
        ("from_day", "1999-12-31", "from 2000-01-01 to"),
        ("from_day", "31.12.2025", "Write it as"),
        ("from_day", f"{date.today() + timedelta(days=900)}", "is out of range"),
    ],
)
def test_wrong_input_is_said_beside_its_field_and_kept(desk, family, field, text, words):
    where = reverse("office:rates_family", args=[family.pk])
    typed = {"from_day": f"{timezone.localdate()}", "new": "38"} | {field: text}
    answer = desk.post(where, where, seen=0, **typed)
    assert answer.status_code == 422
    shown = answer.content.decode()
    assert words in shown
    assert 'value="38"' in shown
    assert text in shown
    assert not Rate.objects.exists()


def test_nothing_changed_is_refused_on_the_page(desk, family):
    answer = keep(desk, reverse("office:rates_kind", args=["square"]))
    assert answer.status_code == 422
    assert "change an amount" in answer.content.decode()


def test_a_page_that_saw_less_answers_with_the_conflict_and_what_was_typed(desk, family):
    where = reverse("office:rates")
    keep(desk, where, hourly="95")
    answer = keep(desk, where, hourly="99")
    assert answer.status_code == 409
    assert "99" in answer.content.decode()
    assert Rate.objects.count() == 1


def test_sent_twice_it_is_written_once(client, owner, family):
    client.force_login(owner)
    where = reverse("office:rates")
    typed = {"once": "one-key", "hourly": "95", "from_day": f"{timezone.localdate()}", "seen": "0"}
    assert [client.post(where, typed).status_code for _ in range(2)] == [302, 302]
    assert Rate.objects.count() == 1


def test_an_empty_field_says_what_holds_instead(desk, family):
    keep(desk, reverse("office:rates"), wheel="0.30")
    of_kind = reverse("office:rates_kind", args=["square"])
    assert "If empty: 0.30 of the whole shop." in desk.get(of_kind).content.decode()
    keep(desk, of_kind, wheel="0.45", price="7.50")
    shown = desk.get(reverse("office:rates_family", args=[family.pk])).content.decode()
    assert "If empty: 0.45 of the kind." in shown
    assert "If empty: 7.50 of the kind." in shown
