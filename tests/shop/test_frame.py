"""The frame around every page: one room is marked as here, days are written one way."""

import datetime

import pytest
from django.template import Context, Template
from django.urls import reverse

from regrind.version import VERSION

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("name", "here"),
    [
        ("calculators:index", "Bench book"),
        ("bench:page", "Bench"),
        ("today:page", "Today"),
        ("receiving:customers", "Receiving"),
        ("office:page", "Office"),
        ("office:rates", "Shop"),
        ("shop:people", "Shop"),
        ("shop:tablets", "Shop"),
        ("shop:backups", "Shop"),
    ],
)
def test_one_room_is_marked_as_here(client, owner, name, here):
    client.force_login(owner)
    page = client.get(reverse(name)).content.decode()
    assert page.count(' aria-current="page">') >= 1
    rooms = page.split('aria-label="Main"')[1].split("</nav>")[0]
    assert rooms.count("aria-current") == 1
    assert rooms.split('aria-current="page">')[1].startswith(here + "<")


def test_the_foot_shows_the_version_to_who_is_signed_in(client, owner):
    sign_in = client.get(reverse("shop:sign_in")).content.decode()
    assert f"regrind {VERSION}" not in sign_in
    client.force_login(owner)
    assert f"regrind {VERSION}" in client.get(reverse("today:page")).content.decode()


def test_a_day_is_written_as_a_shop_writes_it():
    told = Template("{{ day|date }} {{ when|date:'DATETIME_FORMAT' }}").render(
        Context({"day": datetime.date(2026, 12, 3), "when": datetime.datetime(2026, 1, 9, 7, 5)})
    )
    assert told == "3 Dec 2026 9 Jan 2026 07:05"
