from collections.abc import Iterator
from datetime import date, timedelta

import pytest
from django.utils import timezone

from regrind.record.rates import keep_rates, newest_pk
from regrind.shop.models import Person
from tests.kept import kept
from tests.rollups.shop_maker import Shop, answered

# How often what happens in the generated shops; the rest of shop_maker's events as often as there.
SHOPS = {
    "usual": {},
    "all scrap": {"plan": 0, "grind": 0, "check": 0},
    "corrections": {"look": 20, "price": 8, "retell": 6},
    "undone": {"undo": 20},
    "partial returns": {"send": 14, "unsend": 6, "split": 6},
    "complaints": {"send": 12, "complain": 14},
    "busy": {"send": 12, "complain": 14, "look": 14, "price": 8},
}


@pytest.fixture(scope="module")
def made_shop(request, django_db_setup, django_db_blocker) -> Iterator[Shop]:
    """The shop of (name, seed, events), made once for the tests of a module: made by chance under that seed, with
    rates that changed in the middle of it. A module names its shops as this fixture's parameters."""
    yield from kept(django_db_blocker, lambda: make_shop(*request.param))


def make_shop(name: str, seed: int, events: int) -> Shop:
    owner = Person.objects.create_user("Ola", "a long password", owner=True)
    shop = Shop(seed, owner, SHOPS[name])
    shop.name = name
    say_rates(shop, owner)
    for _ in range(3):
        shop.run(events // 3)
        answered(owner)
    if name == "all scrap":
        scrap_all(shop, owner)
    return shop


def scrap_all(shop: Shop, by) -> None:
    from regrind.bench.planning.actions import decide
    from regrind.record.models import Line

    for line in Line.objects.order_by("pk"):
        pieces = list(line.pieces.filter(status="inspected").select_related("batch__customer", "line__family"))
        if pieces:
            decide(by=by, pieces=pieces, expected={}, decision="not_ground", result="scrap", reason="chipped too deep")


def say_rates(shop: Shop, by) -> None:
    """The first family's new tool and wheel become dearer, the second has none of its own but its kind's."""
    today = timezone.localdate()
    first, second = (shop.families[0].pk, ""), (None, "square")
    for scope, amounts, day in (
        (second, {("new", ""): 3000, ("wheel", ""): 25}, date(2000, 1, 1)),
        (first, {("new", ""): 3500}, today - timedelta(days=300)),
        (first, {("new", ""): 4100, ("wheel", ""): 60, ("price", ""): 1300}, today - timedelta(days=30)),
    ):
        keep_rates(by=by, scope=scope, amounts=amounts, from_day=day, seen=newest_pk(scope))


@pytest.fixture
def at_desk(client, owner):
    """at_desk("/review/", sort="received") -> the answer that the owner gets."""
    client.force_login(owner)

    def get(where, **asked):
        return client.get(where, asked)

    return get
