"""A shop for thirty days in one run, the clock moved by the test: work that is killed every day, a backup every night,
a restore every week into an empty place and compared row by row, and a newer program in the middle.

On SQLite, with the shop's own commands in processes of their own; tests/shop/test_backup_postgres.py has the other one.
"""

import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from .results import Drill, drill

ROOT = Path(__file__).resolve().parents[2]
DAYS, UPGRADE_ON = 30, 15
BEGIN = datetime(2026, 3, 2, 9, tzinfo=UTC)
pytestmark = [pytest.mark.full, pytest.mark.skipif(sys.platform == "win32", reason="kills as on POSIX")]

AT = """
import os, sys, time_machine
from datetime import datetime
time_machine.travel(datetime.fromisoformat(os.environ["DRILL_NOW"]), tick=True).start()
import django
django.setup()
"""
COMMAND = AT + "from django.core.management import execute_from_command_line as run; run(['manage.py', *sys.argv[1:]])"
WORK = (
    AT
    + """
from django.test import Client
from regrind.shop.models import Person
client = Client(SERVER_NAME="127.0.0.1")
client.force_login(Person.objects.get(name="Oda"))
day = sys.argv[1]
for number in range(100_000):
    new = {"name": f"Day {day} {number}", "password": "a wet dog", "bench": "on", "once": f"{day}-{number}"}
    new["password"] = "seven wet bench dogs"
    status = client.post("/shop/people", new).status_code
    print(number, status, flush=True)
"""
)
NEWER = """
from django.db import migrations
class Migration(migrations.Migration):
    dependencies = [("record", "0001_initial")]
    operations = [migrations.RunSQL("ALTER TABLE record_customer ADD COLUMN of_a_newer_program integer DEFAULT 7")]
"""
SETTINGS = "from regrind.settings_test import *\nMIGRATION_MODULES = {'record': 'drill_record'}\n"


class Shop:
    """One shop in a folder, as its processes find it; `now` is what their clocks say."""

    def __init__(self, folder: Path):
        self.folder, self.now, self.newer = folder, BEGIN, False
        self.data = folder / "shop"
        self.data.mkdir()
        self.databases: dict[Path, dict[str, str]] = {}  # folder -> DATABASE_URL, where it is not SQLite

    def environment(self, data: Path | None = None) -> dict[str, str]:
        clean = {k: v for k, v in os.environ.items() if k != "DATABASE_URL" and not k.startswith("REGRIND_")}
        settings = "drill_settings" if self.newer else "regrind.settings_test"
        return clean | {
            **self.databases.get(data or self.data, {}),
            "REGRIND_DATA": str(data or self.data),
            "DJANGO_SETTINGS_MODULE": settings,
            "DRILL_NOW": self.now.isoformat(),
            "REGRIND_HOSTS": "127.0.0.1",
            "PYTHONPATH": f"{ROOT}{os.pathsep}{self.folder}",
            # Another key than the shop's would sign nobody in after a restore; it is not what this drill is about.
            "REGRIND_SECRET": "of the drill " * 5,
        }

    def manage(self, *arguments: str, data: Path | None = None, fails: bool = False) -> str:
        done = subprocess.run(
            [sys.executable, "-c", COMMAND, *arguments],
            cwd=ROOT,
            env=self.environment(data),
            text=True,
            capture_output=True,
        )
        assert bool(done.returncode) == fails, (arguments, done.stdout[-500:], done.stderr[-1500:])
        return done.stdout + done.stderr

    def upgrade(self) -> None:
        """A newer program: its backup first, then its migration; the older one then refuses to work."""
        self.install_newer()
        self.migrate()

    def install_newer(self) -> None:
        """One migration more, in a package of its own; and the backup that comes before it."""
        package = self.folder / "drill_record"
        shutil.copytree(ROOT / "regrind/record/migrations", package, ignore=shutil.ignore_patterns("__pycache__"))
        (package / "0002_newer.py").write_text(NEWER)
        (self.folder / "drill_settings.py").write_text(SETTINGS)
        self.newer = True
        assert "before-update" in self.manage("backup", "--before-update")

    def migrate(self) -> None:
        self.manage("migrate", "-v0")
        self.manage("check_database")
        self.newer = False
        assert "belongs to a newer program" in self.manage("check_database", fails=True)  # named, not worked on
        self.newer = True

    def work_until_killed(self, day: int, chance: random.Random) -> tuple[list[int], list[int]]:
        """A day's saves, cut off by a kill: the numbers that were acknowledged, and every other answer."""
        worker = subprocess.Popen(
            [sys.executable, "-c", WORK, str(day)], cwd=ROOT, env=self.environment(), text=True, stdout=subprocess.PIPE
        )
        saved, other, most = [], [], chance.randint(3, 25)
        for line in worker.stdout:
            number, status = map(int, line.split())
            (saved if status == 302 else other).append(number if status == 302 else status)
            if len(saved) + len(other) >= most:
                break
        worker.send_signal(signal.SIGKILL)
        for line in worker.stdout.read().splitlines():  # acknowledged before the kill came
            if line.endswith(" 302"):
                saved.append(int(line.split()[0]))
        worker.wait()
        return saved, other

    def backups(self) -> list[Path]:
        return sorted((self.data / "backups").glob("regrind-*.tar"))


def rows_of(database: Path) -> dict[str, list[str]]:
    """Every row of every table."""
    with closing(sqlite3.connect(database)) as opened:
        names = [name for (name,) in opened.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        return {name: sorted(map(repr, opened.execute(f'SELECT * FROM "{name}"'))) for name in names}


def files_of(data: Path) -> dict[str, bytes]:
    found = {name: data / name for name in ("photos", "papers")}
    return {
        f"{name}/{path.relative_to(folder)}": path.read_bytes()
        for name, folder in found.items()
        for path in folder.rglob("*")
        if path.is_file() and path.suffix in (".jpg", ".pdf")
    }


def assert_equal_after_restore(shop: Shop, week: int) -> None:
    empty = shop.folder / f"restored-{week}"
    shop.manage("restore", str(shop.backups()[-1]), data=empty)
    assert rows_of(empty / "db.sqlite3") == rows_of(shop.data / "db.sqlite3")
    assert files_of(empty) == files_of(shop.data) != {}
    with closing(sqlite3.connect(empty / "db.sqlite3")) as altered:  # the comparison finds one row
        altered.execute("UPDATE django_content_type SET model = 'other' WHERE id = 1")
        altered.commit()
    assert rows_of(empty / "db.sqlite3") != rows_of(shop.data / "db.sqlite3")
    shutil.rmtree(empty)


def test_thirty_days_lose_nothing_and_double_nothing(tmp_path):
    with drill("thirty days", "sqlite") as shown:
        live_through_them(tmp_path, shown)


def live_through_them(tmp_path: Path, shown: Drill) -> None:
    shop, chance = Shop(tmp_path), random.Random(16)
    shop.manage("migrate", "-v0")
    shop.manage("demo")
    acknowledged, wrong, restores = set(), [], 0
    for day in range(1, DAYS + 1):
        shop.now = BEGIN + timedelta(days=day - 1)
        if day == UPGRADE_ON:
            shop.upgrade()
        saved, other = shop.work_until_killed(day, chance)
        acknowledged |= {f"Day {day} {number}" for number in saved}
        wrong += other
        shop.now += timedelta(hours=17, minutes=20)  # 02:20 the next night
        assert "complete" in shop.manage("backup", "--if-due")
        if day % 7 == 0:
            assert shop.manage("backup", "--if-due") == ""  # one a night
            assert_equal_after_restore(shop, day // 7)
            restores += 1
    shop.now += timedelta(hours=1)
    assert "intact" in shop.manage("check_database", "--history")
    with closing(sqlite3.connect(shop.data / "db.sqlite3")) as opened:
        names = [name for (name,) in opened.execute("SELECT name FROM shop_person WHERE name LIKE 'Day %'")]
        newer = opened.execute("SELECT count(*) FROM record_customer WHERE of_a_newer_program = 7").fetchone()[0]
    lost, doubled = acknowledged - set(names), len(names) - len(set(names))
    shown.tries, shown.lost, shown.doubled = len(acknowledged), len(lost), doubled
    shown.errors = sum(status >= 500 for status in wrong)
    assert restores == DAYS // 7
    assert (lost, doubled, wrong) == (set(), 0, [])
    assert len(names) - len(acknowledged) <= DAYS  # at most the one that each kill cut off from its answer
    assert newer
    kept = [path.name for path in shop.backups()]
    assert sum("before-update" in name for name in kept) == 1
    assert 8 <= len(kept) <= 7 + 5 + 2 + 1  # days, weeks, months, before the update
