"""Dated backups: their names, which stay, when the next is due, and what the owner and Today are told."""

import os
import random
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.db import connection
from django.utils import timezone

from regrind.record.models import Customer
from regrind.shop.backups import attempts, database, folder, lock, making
from regrind.shop.backups.archive import BackupError
from regrind.shop.backups.attempts import start
from regrind.shop.events import event
from regrind.shop.history.seal import seal_history
from tests.bench.photo_maker import photo_of

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 6, 17, 12, tzinfo=UTC)


@pytest.fixture(autouse=True)
def own_place(settings, tmp_path, monkeypatch):
    """A shop's data folder of its own: data, backups in it, photos and papers.

    pg_dump sees nothing of a test's transaction, and its snapshot wants one that has asked nothing yet: there a
    stand-in is the database's copy, and test_backup_postgres makes the true one.
    """
    if connection.vendor == "postgresql":
        monkeypatch.setattr(database, "copy_to", stand_in)
    settings.DATA = tmp_path / "data"
    settings.BACKUPS = settings.DATA / "backups"
    settings.MEDIA_ROOT, settings.PAPERS = settings.DATA / "photos", settings.DATA / "papers"
    settings.DATA.mkdir()


@pytest.fixture(autouse=True)
def niceness(monkeypatch) -> list[int]:
    """By how much a backup stood back; the tests' own process must not: it would stay behind all others to its end."""
    steps: list[int] = []
    monkeypatch.setattr(os, "nice", steps.append, raising=False)
    return steps


def stand_in(target: Path) -> tuple[dict[str, int], list[str]]:
    target.write_bytes(b"PGDMP" + bytes(40_000))
    return database.counts(), []


def named(*moments: datetime, kind: str = "", place: Path | None = None) -> Path:
    """Files as dated backups are named, with nothing in them."""
    place = place or folder.backup_folder()
    for at in moments:
        (place / f"regrind-{at:%Y%m%dT%H%M%SZ}-unsealed{f'-{kind}' if kind else ''}.tar").write_bytes(b"x")
    return place


def days_of(kept) -> list[str]:
    return [f"{one.at:%Y-%m-%d}" for one in kept]


def test_a_backup_gets_a_dated_name_and_says_what_it_proved(customer, capsys):
    call_command("backup")
    call_command("backup")
    kept = folder.stored_in(folder.backup_folder())
    assert len(kept) == 2  # never one over the other, in the same second too
    assert {one.kind for one in kept} == {folder.WHOLE}
    said = capsys.readouterr().out
    assert "read back and complete" in said
    assert said.rstrip().endswith("This is the newest of 2 in the folder.")
    assert not attempts.last_attempt().failed


def test_the_name_tells_where_the_history_stands(customer):
    with time_machine.travel(timezone.now() + timedelta(hours=1), tick=False):
        made, manifest = attempts.attempt()
        assert made.head == manifest["head"] != ""
        with event(None, "test"):
            Customer.objects.create(name="One more")
        seal_history(timedelta(0))
        assert attempts.attempt()[0].head != made.head


def test_what_stays_of_years_of_nights_is_a_good_copy_of_days_weeks_and_months():
    nights = [NOON - timedelta(days=n) for n in range(800)]
    place = named(*nights)
    for old in folder.expired(folder.stored_in(place)):
        old.path.unlink()
    stay = folder.stored_in(place)
    assert days_of(stay)[:7] == days_of(folder.StoredBackup(place, at, "", "") for at in nights[:7])
    # 5 weeks and 12 months, the newest of each: counted by hand from the calendar of 2025 and 2026
    assert days_of(stay)[7:] == [
        "2026-06-07",
        "2026-05-31",
        "2026-05-24",
        "2026-04-30",
        "2026-03-31",
        "2026-02-28",
        "2026-01-31",
        "2025-12-31",
        "2025-11-30",
        "2025-10-31",
        "2025-09-30",
        "2025-08-31",
        "2025-07-31",
    ]
    assert folder.expired(stay) == []


def test_good_copies_stay_however_long_the_shop_is_damaged():
    place = named(*(NOON - timedelta(days=n) for n in range(200, 230)))
    good = [one for one in folder.stored_in(place) if one not in folder.expired(folder.stored_in(place))]
    named(*(NOON - timedelta(days=n) for n in range(200)), kind="damaged")
    kept = folder.stored_in(place)
    stay = [one for one in kept if one not in folder.expired(kept)]
    assert [one for one in stay if one.kind == folder.WHOLE] == good
    assert len([one for one in stay if one.kind == folder.DAMAGED]) == folder.SPARE


def test_a_damaged_shop_is_backed_up_told_and_pushes_no_good_copy_out(make_batch, bench_hand, client, owner):
    line = make_batch(1).lines.get()
    kept = photo_of(line, by=bench_hand)
    call_command("backup")
    good = folder.newest(folder.stored_in(folder.backup_folder()))
    [file] = Path(folder.settings.MEDIA_ROOT).rglob("*.jpg")
    file.write_bytes(b"")
    for minute in (1, 2):
        with (
            time_machine.travel(timezone.now() + timedelta(minutes=minute)),
            pytest.raises(CommandError, match=f"bench.Photo {kept.pk} was altered"),
        ):
            call_command("backup")
    found = folder.stored_in(folder.backup_folder())
    assert sorted(one.kind for one in found) == ["", "damaged", "damaged"]
    assert good in found
    client.force_login(owner)
    assert "contains damaged data" in client.get("/").content.decode()


def test_what_the_program_did_not_name_is_left_alone():
    place = named(*(NOON - timedelta(days=n) for n in range(40)))
    strange = place / "regrind-2026-mine.tar"
    strange.write_bytes(b"mine")
    made, _ = folder.make_dated(place)
    assert strange.read_bytes() == b"mine"
    assert made.path.is_file()


@pytest.mark.parametrize(
    ("zone", "now", "made", "due"),
    [
        ("UTC", "2026-06-17T01:59", None, True),
        ("UTC", "2026-06-17T01:59", "2026-06-16T02:00", False),
        ("UTC", "2026-06-17T02:00", "2026-06-17T01:59", True),
        ("UTC", "2026-06-17T02:01", "2026-06-17T02:00", False),
        ("UTC", "2026-06-17T09:00", "2026-06-16T23:00", True),  # off at night: when it is on again
        ("America/New_York", "2026-06-17T05:59", "2026-06-16T06:00", False),
        ("America/New_York", "2026-06-17T06:00", "2026-06-16T06:00", True),
        ("America/New_York", "2026-03-08T08:00", "2026-03-08T06:30", True),  # 2:00 is skipped in that night
        ("UTC", "2026-06-17T09:00", "2027-01-01T02:00", True),  # named by a clock that was ahead
    ],
)
def test_a_backup_is_due_once_a_night_by_the_shops_clock(zone, now, made, due):
    if made:
        named(datetime.fromisoformat(made).replace(tzinfo=UTC))
    with timezone.override(zone):
        assert folder.is_due(folder.backup_folder(), datetime.fromisoformat(now).replace(tzinfo=UTC)) is due


def test_one_before_an_update_is_not_the_nights_one_and_is_kept_apart():
    place = named(NOON, kind="before-update")
    assert folder.is_due(place, NOON)
    named(*(NOON + timedelta(minutes=n) for n in range(1, 11)))
    gone = folder.expired(folder.stored_in(place))
    assert [(one.kind, one.at) for one in gone] == [("", NOON + timedelta(minutes=n)) for n in (3, 2, 1)]


def test_asked_again_and_again_one_is_made_a_night():
    with time_machine.travel(NOON) as clock:
        for _ in range(3 * 96):  # every 15 minutes, three days long
            call_command("backup", "--if-due")
            clock.shift(timedelta(minutes=15))
    assert days_of(folder.stored_in(folder.backup_folder())) == ["2026-06-20", "2026-06-19", "2026-06-18", "2026-06-17"]


def test_a_backup_made_by_itself_stands_back_behind_the_tablets(niceness):
    call_command("backup")
    assert niceness == []
    call_command("backup", "--if-due")
    assert niceness == []  # none is due
    with time_machine.travel(timezone.now() + timedelta(days=2)):
        call_command("backup", "--if-due")
    assert niceness == [10]


def test_before_an_update_only_where_migrations_wait(monkeypatch):
    call_command("backup", "--before-update")
    assert folder.stored_in(folder.backup_folder()) == []
    monkeypatch.setattr(making.database, "is_behind", lambda: True)
    call_command("backup", "--before-update")
    assert [one.kind for one in folder.stored_in(folder.backup_folder())] == [folder.BEFORE_UPDATE]


def test_never_two_at_once():
    with lock.one_at_a_time():
        assert lock.is_busy()
        with pytest.raises(lock.Busy), lock.one_at_a_time(patience=0.1):
            pass
    assert not lock.is_busy()
    assert attempts.last_attempt() is None


def test_a_folder_that_the_shop_named_is_never_made_since_its_disk_may_be_unplugged(settings, tmp_path):
    settings.BACKUPS = tmp_path / "usb"
    with pytest.raises(CommandError, match="Plug in its disk"):
        call_command("backup")
    assert not (tmp_path / "usb").exists()
    assert attempts.last_attempt().failed


def test_the_check_on_the_page_is_that_of_the_newest_backup(client, owner):
    made, manifest = attempts.attempt()
    client.force_login(owner)
    checked = f"{sum(manifest['counts'].values())} rows"
    assert checked in client.get("/shop/backups").content.decode()
    made.path.rename(made.path.with_name("regrind-20200101T000000Z-unsealed.tar"))  # as in another folder
    page = client.get("/shop/backups").content.decode()
    assert checked not in page
    assert "No check of this backup is on record" in page


def test_each_backup_and_each_failure_is_logged(caplog, settings, tmp_path):
    with caplog.at_level("INFO", "regrind.backup"):
        made = attempts.attempt()[0]
        settings.BACKUPS = tmp_path / "usb"
        with pytest.raises(BackupError):
            attempts.attempt()
    assert f"{made.path.name}: " in caplog.messages[0]
    assert "read back and complete" in caplog.messages[0]
    assert "no backup was made: " in caplog.messages[1]


def test_a_backup_by_the_button_writes_no_line_into_the_servers_log(monkeypatch):
    monkeypatch.setenv("REGRIND_LOG_FILE", "/logs/regrind.log")
    begun = []
    monkeypatch.setattr(attempts.subprocess, "Popen", lambda command, **how: begun.append(how["env"]))
    start()
    assert begun[0]["REGRIND_LOG_FILE"] == ""


def test_a_new_shop_begins_only_where_nothing_of_a_shop_is():
    folder.refuse_lost_database()
    attempts.attempt()
    with pytest.raises(BackupError, match="Restore the newest backup"):
        folder.refuse_lost_database()


@pytest.mark.drill("disk full")
def test_a_full_disk_is_told_before_anything_is_written(monkeypatch, tmp_path):
    monkeypatch.setattr(making, "needed_room", lambda: 10**15)
    with pytest.raises(
        BackupError, match=r"and 1000000000\.0 MB are needed\. Delete old backups there, or name another"
    ):
        attempts.attempt()
    assert list(folder.backup_folder().iterdir()) == []
    assert "are needed" in attempts.last_attempt().message


@pytest.mark.drill("disk full")
def test_a_disk_that_fills_up_leaves_no_half_and_no_name(monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(making, "write_archive", full)
    with pytest.raises(BackupError, match=r"could not be written .* No space left"):
        attempts.attempt()
    assert list(folder.backup_folder().iterdir()) == []


@pytest.mark.drill("backups (tars) spoilt or hostile")
def test_a_copy_that_does_not_read_back_gets_no_name(monkeypatch):
    """Whatever the disk makes of it: one bit in 30 places, each found before the backup counts."""
    write, chance, places = making.write_archive, random.Random(5), range(30)

    def spoil(target, manifest, files):
        write(target, manifest, files)
        content = bytearray(target.read_bytes())
        first = content.index(b"PGDMP" if connection.vendor == "postgresql" else b"SQLite format 3")
        content[chance.randrange(first, first + 20_000)] ^= 1
        target.write_bytes(content)

    monkeypatch.setattr(making, "write_archive", spoil)
    for _ in places:
        with pytest.raises(BackupError, match="not complete"):
            attempts.attempt()
    assert list(folder.backup_folder().iterdir()) == []
    monkeypatch.undo()
    folder.settings.BACKUPS.mkdir(exist_ok=True)


def test_today_warns_after_48_hours_without_a_good_one(client, bench_hand):
    client.force_login(bench_hand)
    named(NOON, place=folder.backup_folder())
    for hours, warned in ((47, False), (49, True)):
        with time_machine.travel(NOON + timedelta(hours=hours)):
            client.force_login(bench_hand)
            assert (f"No backup for {hours} hours" in client.get("/").content.decode()) is warned


def test_today_warns_of_a_shop_that_never_had_one_and_says_why(client, bench_hand, settings, tmp_path):
    client.force_login(bench_hand)
    assert "no backup yet" not in client.get("/").content.decode()  # made within 48 hours
    settings.BACKUPS = tmp_path / "usb"
    with time_machine.travel(timezone.now() + timedelta(hours=49)):
        with pytest.raises(CommandError):
            call_command("backup", "--if-due")
        client.force_login(bench_hand)
        page = client.get("/").content.decode()
    assert "There is no backup yet. The last attempt failed" in page
    assert "Plug in its disk" in page


def test_the_demo_does_not_warn(client, bench_hand, settings):
    settings.DEMO = True
    with time_machine.travel(timezone.now() + timedelta(hours=49)):
        client.force_login(bench_hand)
        assert "no backup yet" not in client.get("/").content.decode()


def test_the_owners_page_shows_the_last_one_its_proof_the_room_and_a_download(client, owner, customer):
    client.force_login(owner)
    assert "There is no backup yet" in client.get("/shop/backups").content.decode()
    made, _ = attempts.attempt()
    page = client.get("/shop/backups").content.decode()
    for words in ("read back and complete", "Free space", "same disk as the shop", made.path.name):
        assert words in page
    answer = client.get(f"/shop/backups/{made.path.name}")
    assert b"".join(answer.streaming_content) == made.path.read_bytes()
    assert answer["Content-Disposition"] == f'attachment; filename="{made.path.name}"'


@pytest.mark.parametrize("name", ["..%2Fsecret", "secret", "regrind-20260101T020000Z-unsealed.tar", "%2e%2e"])
def test_nothing_but_a_backup_can_be_downloaded(name, client, owner):
    (folder.settings.DATA / "secret").write_text("the key")
    (folder.backup_folder() / "secret").write_text("the key")
    client.force_login(owner)
    assert client.get(f"/shop/backups/{name}").status_code in (404, 302)


def test_the_button_begins_one_backup_however_often_it_is_tapped(client, owner, begun):
    client.force_login(owner)
    for _ in range(2):
        assert client.post("/shop/backups", {"once": "k"}).status_code == 302
    assert begun == ["begun"]
    with lock.one_at_a_time():
        client.post("/shop/backups", {"once": "other"})
        assert "being made now" in client.get("/shop/backups").content.decode()
    assert begun == ["begun"]


def test_the_page_says_that_the_disk_is_unplugged(client, owner, settings, tmp_path):
    settings.BACKUPS = tmp_path / "usb"
    client.force_login(owner)
    assert "Plug in its disk" in client.get("/shop/backups").content.decode()
