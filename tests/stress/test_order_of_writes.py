"""A power cut keeps what reached the disk. So before a save is answered, the system calls that put it there have ended.

strace writes down a worker's calls, with the shop's own settings. SQLite's way of a commit with a rollback journal:
the journal is synced, then the database is written and synced, then the journal is deleted; and after that the folder
has to be synced too, or the journal is back after the cut and takes the save with it (SQLite, "PRAGMA synchronous",
EXTRA). With a write-ahead log the log is synced. The suite's other tests do not wait for the disk.
"""

import os
import re
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from regrind.sqlite import JOURNAL

from .results import drill

ROOT = Path(__file__).resolve().parents[2]
SAVES = 40
pytestmark = [
    pytest.mark.full,
    pytest.mark.skipif(sys.platform != "linux", reason="strace is Linux's"),
    pytest.mark.skipif(not shutil.which("strace") and not os.environ.get("CI"), reason="no strace"),
]
WORK = """
import os, sys
import django
django.setup()
from django.test import Client
from regrind.shop.models import Person
client = Client(SERVER_NAME="127.0.0.1")
client.force_login(Person.objects.create_user("Oda", "a long password", owner=True))
for number in range(int(sys.argv[1])):
    new = {"name": f"Person {number}", "password": "seven wet bench dogs", "bench": "on", "once": f"once-{number}"}
    status = client.post("/shop/people", new).status_code
    os.write(1, f"answer {number} {status}\\n".encode())
"""
SETTINGS = """
from regrind.settings import *
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
options = DATABASES["default"]["OPTIONS"]
options["init_command"] = options["init_command"].replace("synchronous=EXTRA", "synchronous={synchronous}")
"""
CALL = re.compile(r'(\w+)\((?:\d+<([^>]*)>|"([^"]*)")(.*)')  # its name, and the file that it is about


class Disk:
    """What of the shop's database is written and not yet synced, and what was answered or overwritten too early."""

    def __init__(self, database: Path):
        self.database, self.journal = str(database), f"{database}-journal"
        self.files = {self.database, self.journal, f"{database}-wal"}
        self.unsynced: set[str] = set()
        self.answers, self.commits = 0, 0
        self.early: list[str] = []

    def follow(self, line: str) -> None:
        call = CALL.search(line)
        if not call:
            return
        name, path, rest = call[1], call[2] or call[3], call[4]
        if name in ("fsync", "fdatasync"):
            self.unsynced.discard(path)
        elif name == "unlink" and path == self.journal:
            self.unsynced.discard(path)
            self._delete_journal()
        elif name in ("write", "pwrite64") and path in self.files:
            if path == self.database and self.journal in self.unsynced:
                self.early.append("the database was written before its journal was synced")
            self.commits += path.endswith("-wal")
            self.unsynced.add(path)
        elif name == "write" and "answer " in rest:
            self._answer()

    def _delete_journal(self) -> None:
        if self.database in self.unsynced:
            self.early.append("the journal was deleted before the database was synced")
        self.commits += 1
        self.unsynced.add(str(Path(self.database).parent))

    def _answer(self) -> None:
        self.answers += 1
        names = sorted(Path(path).name for path in self.unsynced)
        if names:
            self.early.append(f"answered before {', '.join(names)} was synced")


def watch(folder: Path, synchronous: str, saves: int) -> Disk:
    """Make a shop with this setting, and watch a worker that saves in it."""
    data, trace = folder / "shop", folder / "calls"
    data.mkdir()
    (folder / "drill_settings.py").write_text(SETTINGS.format(synchronous=synchronous))
    clean = {k: v for k, v in os.environ.items() if k != "DATABASE_URL" and not k.startswith("REGRIND_")}
    environment = clean | {
        "REGRIND_DATA": str(data),
        "DJANGO_SETTINGS_MODULE": "drill_settings",
        "PYTHONPATH": f"{ROOT}{os.pathsep}{folder}",
        "REGRIND_HOSTS": "127.0.0.1",
    }
    subprocess.run([sys.executable, "manage.py", "migrate", "-v0"], cwd=ROOT, env=environment, check=True)
    calls = "trace=write,pwrite64,fsync,fdatasync,unlink"
    strace = ("strace", "-f", "-y", "-qq", "-e", calls, "-e", "signal=none", "-s", "40", "-o", str(trace))
    work = [*strace, sys.executable, "-c", WORK, str(saves)]
    done = subprocess.run(work, cwd=ROOT, env=environment, text=True, capture_output=True)
    assert done.returncode == 0, done.stderr[-1500:]
    assert done.stdout.split("\n")[:-1] == [f"answer {number} 302" for number in range(saves)]
    with closing(sqlite3.connect(data / "db.sqlite3")) as opened:  # each answer was that of a save
        assert opened.execute("SELECT count(*) FROM shop_person WHERE name LIKE 'Person %'").fetchone() == (saves,)
    disk = Disk((data / "db.sqlite3").resolve())
    for line in trace.read_text(errors="replace").splitlines():
        disk.follow(line)
    return disk


def test_no_save_is_answered_before_it_is_on_the_disk(tmp_path):
    with drill("order of writes, as a power cut needs it", "sqlite") as shown:
        disk = watch(tmp_path, "EXTRA", SAVES)
        shown.tries, shown.lost, shown.doubled, shown.errors = disk.answers, len(disk.early), None, None
    assert disk.early == []
    assert disk.answers == SAVES
    assert disk.commits >= SAVES


@pytest.mark.parametrize(
    ("synchronous", "early"),
    [
        ("OFF", "answered before db.sqlite3"),
        pytest.param(
            "FULL",
            "answered before shop was synced",
            marks=pytest.mark.skipif(JOURNAL == "WAL", reason="no journal is deleted"),
        ),
    ],
)
def test_a_setting_that_would_lose_one_is_found_out(tmp_path, synchronous, early):
    disk = watch(tmp_path, synchronous, 3)
    assert any(found.startswith(early) for found in disk.early), disk.early
