"""The restore drill: a backup goes into an empty place and proves whole; planted faults are each reported."""

import hashlib
import io
import json
import os
import shutil
import stat
import subprocess
import sys
import tarfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
MAKE_SHOP = """
from regrind.record.models import Batch, Customer, Family, Line
from regrind.shop.events import event
from regrind.shop.models import Person
from tests.bench.photo_maker import photo_of
with event(None, "test"):
    Customer.objects.bulk_create([Customer(name=f"Customer {n}") for n in range(50)])
ann = Person.objects.create_user("Ann", "a long password", bench=True)
batch = Batch.objects.create(number=1, customer=Customer.objects.first(), received_by=ann)
family = Family.objects.create(kind="square")
photo_of(Line.objects.create(batch=batch, number=1, family=family), by=ann)
"""


def manage(data: Path, *args: str, ok: bool = True, stdin=None) -> str:
    env = {k: v for k, v in os.environ.items() if k not in ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")}
    env |= {"REGRIND_DATA": str(data), "DJANGO_SETTINGS_MODULE": "regrind.settings_test"}
    done = subprocess.run(
        [sys.executable, "manage.py", *args],
        cwd=ROOT,
        text=True,
        capture_output=True,
        check=False,
        stdin=stdin,
        env=env,
    )
    assert (done.returncode == 0) is ok, done.stdout + done.stderr
    return done.stdout + done.stderr


@pytest.fixture(scope="module")
def backup(tmp_path_factory) -> Path:
    shop = tmp_path_factory.mktemp("shop")
    manage(shop, "migrate", "-v0")
    manage(shop, "shell", "-v0", "-c", MAKE_SHOP)
    manage(
        shop,
        "shell",
        "-v0",
        "-c",
        "from regrind.shop.history.seal import seal_history;"
        "from datetime import timedelta;"
        "assert seal_history(timedelta(0)) >= 50",
    )
    manage(shop, "backup", str(shop / "shop.tar"))
    return shop / "shop.tar"


def test_a_backup_restores_into_an_empty_place_and_proves_whole(backup, tmp_path):
    assert "restored and checked" in manage(tmp_path, "restore", str(backup))
    [photo] = (tmp_path / "photos").rglob("*.jpg")
    assert f"{hashlib.sha256(photo.read_bytes()).hexdigest()}.jpg" == photo.name
    assert "history is intact" in manage(tmp_path, "check_database", "--history")


def test_a_restore_over_a_shop_is_refused(backup, tmp_path):
    (tmp_path / "db.sqlite3").write_bytes(b"somebody's shop")
    assert "exists already" in manage(tmp_path, "restore", str(backup), ok=False)
    assert (tmp_path / "db.sqlite3").read_bytes() == b"somebody's shop"


def test_a_backup_never_overwrites_a_file(backup):
    assert "exists already" in manage(backup.parent, "backup", str(backup), ok=False)


def rewrite(backup: Path, target: Path, change) -> Path:
    """A copy of the backup whose members, name -> bytes, went through `change`; the manifest's hashes stay as they are
    unless `change` mends them."""
    with tarfile.open(backup) as tar:
        members = {m.name: tar.extractfile(m).read() for m in tar.getmembers()}
    change(members)
    with tarfile.open(target, "w") as tar:
        for name, content in members.items():
            info = tarfile.TarInfo(name)
            info.size = len(content)
            tar.addfile(info, io.BytesIO(content))
    return target


def mend(members: dict[str, bytes], sql: str, tmp_path: Path) -> None:
    """Run `sql` on the database inside and set its hash right: only the deeper checks can find this."""
    import sqlite3
    from contextlib import closing

    path = tmp_path / "inside.sqlite3"
    path.write_bytes(members["database"])
    with closing(sqlite3.connect(path)) as copy:
        copy.executescript(sql)
    members["database"] = path.read_bytes()
    manifest = json.loads(members["manifest.json"])
    manifest["files"]["database"] = hashlib.sha256(members["database"]).hexdigest()
    members["manifest.json"] = json.dumps(manifest).encode()


def flip(members):
    middle = len(members["database"]) // 2
    members["database"] = (
        members["database"][:middle] + bytes([members["database"][middle] ^ 1]) + members["database"][middle + 1 :]
    )


def photo_in(members: dict[str, bytes]) -> str:
    [name] = [name for name in members if name.startswith("photos/")]
    return name


def forget_photo(members: dict[str, bytes]) -> None:
    """As if the photo had been lost before the backup was made: only its row still names it."""
    manifest = json.loads(members["manifest.json"])
    del manifest["files"][photo_in(members)], members[photo_in(members)]
    members["manifest.json"] = json.dumps(manifest).encode()


DROP_GUARD = 'DROP TRIGGER "history_record_customer_delete";'
ALTER_HISTORY = 'DROP TRIGGER "history_shop_history_update"; UPDATE shop_history SET event_id = NULL WHERE id = 7;'
FAULTS = {
    "a flipped byte": (flip, "altered"),
    "a missing photo": (lambda m: m.pop(photo_in(m)), ".jpg is missing"),
    "a missing photo that the manifest does not name either": (forget_photo, ".jpg of bench.Photo 1 is missing"),
    "missing rows": ("DELETE FROM record_customer WHERE id = 9", "49 rows of 50"),
    "an old schema": ("DELETE FROM django_migrations WHERE name = '0001_initial' AND app = 'office'", "schema"),
    "an altered row of history": (ALTER_HISTORY, "altered, added or removed"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_planted_fault_is_reported(fault, backup, tmp_path):
    change, words = FAULTS[fault]
    act = change if callable(change) else lambda members: mend(members, change, tmp_path)
    broken = rewrite(backup, tmp_path / "broken.tar", act)
    place = tmp_path / "place"
    place.mkdir()
    assert words in manage(place, "restore", str(broken), ok=False)


def test_a_truncated_file_is_reported(backup, tmp_path):
    broken = tmp_path / "broken.tar"
    broken.write_bytes(backup.read_bytes()[: backup.stat().st_size // 2])
    place = tmp_path / "place"
    place.mkdir()
    assert "cut short" in manage(place, "restore", str(broken), ok=False)


def test_a_photo_lost_before_the_backup_is_told_when_it_is_made(backup, tmp_path):
    manage(tmp_path, "restore", str(backup))
    [photo] = (tmp_path / "photos").rglob("*.jpg")
    photo.unlink()
    said = manage(tmp_path, "backup", str(tmp_path / "second.tar"), ok=False)
    assert f"{photo.name} of bench.Photo 1 is missing" in said
    assert (tmp_path / "second.tar").is_file()
    assert photo.name in manage(tmp_path, "check_database", "--history", ok=False)


@pytest.fixture
def copy(backup, tmp_path) -> Path:
    """The shop that was backed up, to be spoilt."""
    shutil.copytree(backup.parent, tmp_path / "copy", ignore=shutil.ignore_patterns("*.tar"))
    return tmp_path / "copy"


def flip_bit(path: Path, at: int, bit: int = 0) -> None:
    content = bytearray(path.read_bytes())
    content[at] ^= 1 << bit
    path.write_bytes(content)


SPOIL = {
    "a flipped bit": lambda path: flip_bit(path, 500),
    "emptied": lambda path: path.write_bytes(b""),
    "cut": lambda path: path.write_bytes(path.read_bytes()[:-1]),
}


@pytest.mark.parametrize("spoil", SPOIL)
def test_a_photo_that_is_not_what_its_name_says_is_told_by_check_backup_and_restore(spoil, copy, tmp_path):
    [photo] = (copy / "photos").rglob("*.jpg")
    SPOIL[spoil](photo)
    words = f"{photo.name} of bench.Photo 1 was altered"
    assert words in manage(copy, "check_database", "--history", ok=False)
    assert words in manage(copy, "backup", str(tmp_path / "second.tar"), ok=False)
    assert words in manage(tmp_path / "place", "restore", str(tmp_path / "second.tar"), ok=False)


def test_a_bit_flipped_in_an_index_of_the_live_database_is_told(copy, tmp_path):
    """The copy holds the indexes as they lie on the disk; to make them anew would hide what differs."""
    database = copy / "db.sqlite3"
    at = database.read_bytes().index(b"Customer 33")
    assert database.read_bytes().count(b"Customer 33") > 1  # in its row and in an index
    flip_bit(database, at + 10)
    words = manage(copy, "backup", str(tmp_path / "second.tar"), ok=False)
    assert "The shop's data are damaged: SQLite reports of the database" in words


def test_a_history_that_was_altered_is_told_when_it_is_backed_up(copy, tmp_path):
    import sqlite3
    from contextlib import closing

    with closing(sqlite3.connect(copy / "db.sqlite3")) as live:
        live.executescript(ALTER_HISTORY)
    assert "altered, added or removed" in manage(copy, "backup", str(tmp_path / "second.tar"), ok=False)


def test_halves_of_killed_writers_and_strange_files_do_not_come_along(copy, tmp_path):
    [photo] = (copy / "photos").rglob("*.jpg")
    photo.with_name(photo.name + ".x.part").write_bytes(b"half")
    (copy / "papers").mkdir()
    (copy / "papers/notes.txt").write_text("mine")
    (copy / ".regrind-backup-killed").mkdir()
    assert "1 photos and papers, read back and complete" in manage(copy, "backup", str(copy / "second.tar"))
    assert not list(copy.glob(".regrind-backup-*"))


def test_what_is_kept_and_what_comes_back_is_for_its_owners_eyes_alone(backup, tmp_path):
    place = tmp_path / "place"
    manage(place, "restore", str(backup))
    found = {stat.S_IMODE(path.stat().st_mode) for path in (backup, *place.rglob("*")) if path.is_file()}
    assert found == {0o600}
    assert {stat.S_IMODE(path.stat().st_mode) for path in (place, *place.rglob("*")) if path.is_dir()} == {0o700}


def test_a_restore_says_what_becomes_of_the_signing_key(backup, tmp_path):
    words = manage(tmp_path / "place", "restore", str(backup))
    assert "never holds the signing key" in words
    with tarfile.open(backup) as tar:
        assert not [name for name in tar.getnames() if "secret" in name]


def test_a_backup_can_come_on_standard_input(backup, tmp_path):
    place = tmp_path / "place"
    with backup.open("rb") as file:
        assert "restored and checked" in manage(place, "restore", "-", stdin=file)
    assert "history is intact" in manage(place, "check_database", "--history")
    assert sorted(path.name for path in place.iterdir()) == ["db.sqlite3", "photos"]


@pytest.mark.parametrize(
    ("command", "place", "words"),
    [
        ("backup", "nowhere/shop.tar", "nowhere does not exist"),
        ("backup", "nowhere/", "nowhere"),
        ("restore", "nowhere.tar", "cannot be read: No such file"),
        ("restore", ".", "cannot be read: Is a directory"),
    ],
)
def test_a_place_that_is_not_there_is_told_in_words(command, place, words, copy, tmp_path):
    where = copy if command == "backup" else tmp_path / "place"
    said = manage(where, command, f"{tmp_path}/{place}", ok=False)
    assert words in said
    assert "Traceback" not in said
    assert not (tmp_path / "nowhere").exists()
