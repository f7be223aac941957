"""What every test may ask for: people with their roles, a customer, families, and batches in one call."""

import gc
from collections.abc import Iterator
from pathlib import Path

import pytest
from _pytest import runner
from django.db import connection
from django.test import TransactionTestCase
from django.test import client as test_client

from regrind.frames import with_room
from regrind.record import rollups
from regrind.record.models import Batch, Customer, Family
from regrind.shop import models
from regrind.shop.backups import attempts
from regrind.shop.models import Gauge, Person, Wheel, WorkHolding
from tests.batches import new_batch
from tests.clean_database import copy_of_sqlite, put_back
from tests.long_form import FULL
from tests.stress.results import drill

# A page makes and drops some ten thousand objects, of which few refer to each other in a ring: looked for as often as
# Python does by itself, the search for rings takes a tenth of a test of the bench.
gc.set_threshold(100_000, 50, 50)

TESTS = Path(__file__).parent
INCH = 25_400_000


# Rooms whose tests leave the review's sums uncounted: each save asks some fifteen queries for them, a quarter of the
# suite's time. The tests of record, rollups, review, today, demo, shop and the browser count them.
UNCOUNTED = {"bench", "office", "receiving", "signing"}


# Rooms whose parametrized cases differ in what Python reads and works out, not in what the database is asked: on
# PostgreSQL the first and the last case of each such test run, with --full all of them.
ALIKE_FOR_A_DATABASE = {"bench", "office", "receiving", "signing", "today"}


run_with_room = with_room(runner.pytest_runtest_protocol)


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_protocol(item: pytest.Item, nextitem: pytest.Item | None) -> object:
    """Pytest's own way to run a test, with room for its frames: below pytest, every page is deep."""
    return run_with_room(item, nextitem)


# What a test asks for that reads or writes the suite's database.
OF_THE_DATABASE = {"db", "transactional_db", "django_db_setup"}


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """On PostgreSQL only what a database can make different: the SQLite half runs the rest."""
    if connection.vendor != "postgresql":
        return
    left_out = [item for item in items if not needs_database(item)] + ([] if FULL else cases_between(items))
    config.hook.pytest_deselected(items=list(dict.fromkeys(left_out)))
    items[:] = [item for item in items if item not in set(left_out)]


def needs_database(item: pytest.Item) -> bool:
    """Whether it uses the suite's database, or makes one of its own on the suite's server."""
    marked = any(item.get_closest_marker(name) for name in ("django_db", "postgres", "browser"))
    asked = OF_THE_DATABASE & set(getattr(item, "fixturenames", ()))
    return marked or bool(asked) or room_of(item.path) == "stress"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Iterator[None]:
    """A test marked as a drill adds its case to that drill's row: lost, where what must hold did not.

    One that tries many things says so by `record_property`: tries, errors.
    """
    mark = item.get_closest_marker("drill")
    if mark is None:
        return (yield)
    with drill(mark.args[0], connection.vendor) as shown:
        shown.tries, shown.lost, shown.doubled, shown.errors = 1, 1, None, None
        try:
            result = yield
            shown.lost = 0
        finally:
            for name, value in item.user_properties:
                setattr(shown, name, value)
    return result


def cases_between(items: list[pytest.Item]) -> list[pytest.Item]:
    """Of each parametrized test in these rooms, all cases but the first and the last."""
    cases: dict[str, list[pytest.Item]] = {}
    for item in items:
        if hasattr(item, "callspec") and room_of(item.path) in ALIKE_FOR_A_DATABASE:
            cases.setdefault(item.nodeid.partition("[")[0], []).append(item)
    return [item for same in cases.values() for item in same[1:-1]]


def room_of(path: Path) -> str:
    return path.relative_to(TESTS).parts[0]


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup, django_db_blocker) -> Iterator[None]:
    """The test database; tests that commit find it as the migrations left it, and leave it so."""
    with django_db_blocker.unblock():
        pristine = copy_of_sqlite() if connection.vendor == "sqlite" else None
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(TransactionTestCase, "_fixture_teardown", lambda case: put_back(pristine))
        yield


@pytest.fixture(scope="session", autouse=True)
def one_context() -> Iterator[None]:
    """`answer.context` is the page's own; Django's test client also copies that of each template it includes."""
    keep = test_client.store_rendered_templates

    def keep_first(store: dict[str, object], *arguments: object, **named: object) -> None:
        if not store:
            keep(store, *arguments, **named)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(test_client, "store_rendered_templates", keep_first)
        yield


@pytest.fixture(autouse=True)
def begun(monkeypatch) -> list[str]:
    """Backups that a page began: none is made, since its process would meet another database than the test's."""
    calls: list[str] = []
    monkeypatch.setattr(attempts, "start", lambda: calls.append("begun"))
    return calls


@pytest.fixture(autouse=True)
def named(request, monkeypatch) -> None:
    """The tests' shop counts as named, unless the fixture `unnamed` is asked for."""
    if "unnamed" not in request.fixturenames:
        monkeypatch.setattr(models, "UNNAMED", "")


@pytest.fixture
def unnamed() -> None:
    """For a test of a shop that has no name yet."""


@pytest.fixture
def sums() -> None:
    """For a test in one of these rooms that needs the review's sums counted, or the queries of a whole save."""


@pytest.fixture(autouse=True)
def uncounted(request, monkeypatch) -> None:
    if room_of(request.path) in UNCOUNTED and "sums" not in request.fixturenames:
        monkeypatch.setattr(rollups, "_recount", lambda touched: None)


@pytest.fixture
def bench_hand(db) -> Person:
    return Person.objects.create_user("Bea", "a long password", bench=True)


@pytest.fixture
def front_desk(db) -> Person:
    return Person.objects.create_user("Fay", "a long password", front_desk=True)


@pytest.fixture
def owner(db) -> Person:
    return Person.objects.create_user("Oda", "a long password", owner=True)


@pytest.fixture
def customer(db) -> Customer:
    return Customer.objects.create(name="Brookfield Tooling", unit="in", under_nm=INCH * 20 // 1000)


@pytest.fixture
def family(db) -> Family:
    return Family.objects.create(
        kind="square",
        nominal_nm=INCH // 4,
        teeth=3,
        material="carbide",
        coating="AlTiN",
        helix_cdeg=3000,
        flute_length_nm=INCH * 3 // 4,
    )


@pytest.fixture
def gauges(db) -> dict[str, Gauge]:
    return {
        measures: Gauge.objects.create(
            name=f"{measures} 1",
            what=measures,
            resolution_nm=1_000,
            anvil_cdeg=6_000 if measures == "v-anvil" else None,
        )
        for measures in ("micrometer", "v-anvil", "indicator")
    }


@pytest.fixture
def wheel(db) -> Wheel:
    return Wheel.objects.create(
        name="D64 cup",
        abrasive="diamond",
        shape="11V9",
        grit="D64",
        bond="resin",
        diameter_nm=100_000_000,
        marked_maximum_rpm=6000,
    )


@pytest.fixture
def holding(db) -> WorkHolding:
    return WorkHolding.objects.create(name="Work head, 6 mm collet")


@pytest.fixture
def make_batch(customer, family, front_desk):
    """make_batch(12, 3) -> a batch with lines of 12 and 3 pieces of the same family, arrived."""

    def make(*counts: int, number: int | None = None, of: Family | None = None, owner: Customer | None = None) -> Batch:
        return new_batch(*counts, of=of or family, owner=owner or customer, by=front_desk, number=number)

    return make
