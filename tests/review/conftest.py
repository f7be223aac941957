from collections.abc import Iterator
from datetime import date, timedelta

import pytest
from django.utils import timezone

from regrind.bench.models import FinalCheck, Grind, Inspection, Plan
from regrind.record.moves import move
from regrind.record.rate_changes import keep_rates
from regrind.record.rates import newest_pk
from regrind.record.rollup_rebuild import rebuild
from regrind.shop.models import Person
from tests.events import make_event
from tests.kept import kept
from tests.review.measured import measure
from tests.rollups.shop_maker import Shop, answered

# How often what happens in the generated shops; the rest of shop_maker's events as often as there.
SHOPS = {
    "usual": {},
    "all scrap": {"plan": 0, "grind": 0, "check": 0},
    "corrections": {"look": 20, "price": 8, "retell": 6},
    "undone": {"undo": 20},
    "partial returns": {"send": 14, "unsend": 6, "split": 6},
    "complaints": {"send": 12, "complain": 14},
    "busy": {"send": 12, "complain": 14, "look": 14, "price": 8, "rates": 0, "end": 0},
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


@pytest.fixture
def biased(make_batch, bench_hand, family):
    """Twelve released pieces whose diameter lost 24 to 26 µm more than planned, and three that were not ground."""
    batch = make_batch(15)
    batch.lines.update(unit_price_minor=750)
    pieces = list(batch.pieces.select_related("batch"))
    happened = make_event(bench_hand)
    for n, piece in enumerate(pieces[:12]):
        seen = Inspection.objects.create(
            piece=piece, revision=1, event=happened, damage="nothing", diameter_source="measured"
        )
        plan = Plan.objects.create(
            piece=piece,
            revision=1,
            event=happened,
            inspection=seen,
            decision="grind",
            diameter_nm=6_150_000,
            cut_back_nm=100_000,
        )
        grind = Grind.objects.create(
            piece=piece,
            revision=1,
            event=happened,
            plan=plan,
            setup=f"s{n // 4}",
            grinds="sides end",
            minutes_hundredths=600,
            end_taken_nm=100_000,
        )
        checked = FinalCheck.objects.create(piece=piece, revision=1, event=happened, grind=grind, passed=True)
        for row, nm in ((seen, 6_350_000), (checked, 6_125_000 + 1_000 * (n % 3 - 1))):
            measure(row, nm)
    for piece in pieces[12:]:
        Plan.objects.create(
            piece=piece, revision=1, event=happened, decision="not_ground", verdict="ask", diameter_nm=5_800_000
        )
    for to in ("inspected", "ready_to_grind", "ground"):
        move(pieces=pieces[:12], to=to, by=bench_hand)
    move(pieces=pieces[:12], to="released", by=bench_hand, result="ground")
    move(pieces=pieces[12:], to="inspected", by=bench_hand)
    move(
        pieces=pieces[12:], to="released", by=bench_hand, result="returned_unground", reason="below the smallest agreed"
    )
    rebuild()
    return family
