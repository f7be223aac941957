"""An update to a newer program, and the way back: the older program restores the backup made before the update."""

import random
import sys
from pathlib import Path

import psycopg
import pytest
from django.db import connection

from tests.shop.test_backup_postgres import databases  # noqa: F401  (the fixture)

from .results import Drill, drill
from .test_thirty_days import Shop, rows_of

pytestmark = [pytest.mark.full, pytest.mark.skipif(sys.platform == "win32", reason="kills as on POSIX")]

OWNER = "from regrind.shop.models import Person; Person.objects.create_user('Oda', 'a long password', owner=True)"


@pytest.fixture
def shop(tmp_path, request) -> Shop:
    """A shop on the suite's kind of database, with an empty place beside it."""
    shop = Shop(tmp_path)
    if connection.vendor == "postgresql":
        urls = request.getfixturevalue("databases")
        shop.databases = {tmp_path / name: {"DATABASE_URL": urls[name]} for name in ("shop", "place")}
    shop.manage("migrate", "-v0")
    shop.manage("shell", "-v0", "-c", OWNER)
    return shop


def rows_in(shop: Shop, data: Path) -> dict[str, list[str]]:
    """Every row of every table of the database of this folder."""
    if data not in shop.databases:
        return rows_of(data / "db.sqlite3")
    with psycopg.connect(shop.databases[data]["DATABASE_URL"]) as opened:
        tables = opened.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public'").fetchall()
        return {
            name: sorted(text for (text,) in opened.execute(f'SELECT t::text FROM "{name}" AS t')) for (name,) in tables
        }


def test_after_an_update_the_older_program_gets_all_back_from_the_backup_made_before_it(shop):
    with drill("an update, and back by the backup made before it", connection.vendor) as shown:
        go_there_and_back(shop, shown)


def go_there_and_back(shop: Shop, shown: Drill) -> None:
    chance, place = random.Random(17), shop.folder / "place"
    saved, wrong = shop.work_until_killed(1, chance)
    shop.install_newer()
    before = rows_in(shop, shop.data)
    shop.migrate()
    later, more = shop.work_until_killed(2, chance)
    assert saved
    assert later
    assert rows_in(shop, shop.data) != before
    newest = shop.folder / "newest.tar"
    shop.manage("backup", str(newest))
    shop.newer = False
    assert "newer" in shop.manage("restore", str(newest), data=place, fails=True)  # what it cannot read is no way back
    [backup] = [path for path in shop.backups() if "before-update" in path.name]
    shop.manage("restore", str(backup), data=place)
    assert rows_in(shop, place) == before
    shop.data = place
    assert "intact" in shop.manage("check_database", "--history")
    again, still = shop.work_until_killed(3, chance)
    assert again
    people = rows_in(shop, place)["shop_person"]
    lost = [n for day, numbers in ((1, saved), (3, again)) for n in numbers if not named(people, f"Day {day} {n}")]
    shown.tries, shown.lost = len(saved) + len(again), len(lost)
    shown.doubled = sum(
        named(people, f"Day {day} {n}") > 1 for day, numbers in ((1, saved), (3, again)) for n in numbers
    )
    shown.errors = sum(status >= 500 for status in wrong + more + still)
    assert (lost, shown.doubled, wrong, more, still) == ([], 0, [], [], [])
    assert not named(people, "Day 2 0")  # of after the update: not in the backup made before it


def named(rows: list[str], name: str) -> int:
    """How many rows hold this very name."""
    return sum(f"'{name}'" in row or f'"{name}"' in row for row in rows)
