"""Trouble around the program is said in plain words: on the page, and by every command, without a traceback."""

import errno
import json
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from io import BytesIO
from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.core.handlers.wsgi import WSGIHandler
from django.core.management import CommandError, call_command, get_commands, load_command_class
from django.db import DatabaseError, OperationalError, connection, transaction
from django.db.migrations.recorder import MigrationRecorder

from regrind.shop.history import database
from regrind.shop.models import Event
from regrind.shop.web import failures

ROOT = Path(__file__).resolve().parents[2]
FULL_DISK, READ_ONLY = pytest.mark.drill("disk full"), pytest.mark.drill("disk or database read-only")


def manage(*args: str, **environment: str) -> str:
    env = (
        {k: v for k, v in os.environ.items() if k != "DATABASE_URL"}
        | {"DJANGO_SETTINGS_MODULE": "regrind.settings_test"}
        | environment
    )
    done = subprocess.run(
        [sys.executable, "manage.py", *args], cwd=ROOT, text=True, capture_output=True, env=env, check=False
    )
    assert done.returncode != 0
    assert "Traceback" not in done.stderr
    return done.stderr


def test_a_wrong_time_zone_is_named(tmp_path):
    said = manage("check", REGRIND_DATA=str(tmp_path), REGRIND_TIME_ZONE="Europe/Warschau")
    assert "REGRIND_TIME_ZONE is 'Europe/Warschau', which cannot be used. Write it as" in said


def test_a_database_that_is_away_is_told(tmp_path):
    said = manage("check_database", REGRIND_DATA=str(tmp_path), DATABASE_URL="postgres://nobody@127.0.0.1:9/none")
    assert said.startswith("The database cannot be reached")


def test_a_database_without_tables_is_told(tmp_path):
    """As after `docker compose up --detach`, while the container still migrates."""
    printed = manage("first_owner", REGRIND_DATA=str(tmp_path))
    assert printed.startswith("The database is not set up yet. Start the program")


@pytest.mark.django_db
def test_a_missing_table_is_told_on_either_database_and_a_wrong_query_is_not():
    for query, message in (("SELECT 1 FROM no_such_table", failures.NO_TABLES), ("SELECT no_such_column", "")):
        with pytest.raises(DatabaseError) as raised, transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(query)
        assert failures.explain(raised.value) == message


def test_a_data_folder_that_is_not_there_or_no_folder_is_told(tmp_path):
    (tmp_path / "file").touch()
    printed = manage("check_database", REGRIND_DATA=str(tmp_path / "file"))
    assert "The data folder is missing or cannot be written" in printed


def test_a_damaged_database_is_told_and_what_to_do(tmp_path):
    (tmp_path / "db.sqlite3").write_bytes(b"no database" * 1_000)
    for command in (["backup", "--before-update"], ["backup"], ["check_database"]):
        printed = manage(*command, REGRIND_DATA=str(tmp_path))
        assert "The database is damaged" in printed or "The database cannot be copied" in printed
    noted = json.loads((tmp_path / "last-backup.json").read_text())
    assert noted["failed"]
    assert "file is not a database" in noted["message"]


@pytest.mark.parametrize("rest", [f"photos/00/{'0' * 64}.jpg", "backups/regrind-20260101T010000Z-unsealed.tar"])
def test_no_empty_shop_takes_the_place_of_a_lost_database(tmp_path, rest):
    (tmp_path / rest).parent.mkdir(parents=True)
    (tmp_path / rest).touch()
    printed = manage("backup", "--before-update", REGRIND_DATA=str(tmp_path))
    assert "Restore the newest backup into an empty folder" in printed


def full_disk() -> BaseException:
    """SQLite's own words, from a database that may have no further page."""
    with closing(sqlite3.connect(":memory:")) as small:
        small.execute("CREATE TABLE t (x)")
        small.execute("PRAGMA max_page_count = 2")
        try:
            small.execute("INSERT INTO t VALUES (zeroblob(100000))")
        except sqlite3.OperationalError as error:
            return OperationalError(str(error))
    raise AssertionError("it was not full")


@pytest.mark.parametrize(
    ("error", "words"),
    [
        pytest.param(full_disk(), failures.FULL, marks=FULL_DISK),
        pytest.param(OSError(errno.ENOSPC, "full"), failures.FULL, marks=FULL_DISK),
        pytest.param(OperationalError("attempt to write a readonly database"), failures.READ_ONLY, marks=READ_ONLY),
        pytest.param(OSError(errno.EROFS, "read-only"), failures.READ_ONLY, marks=READ_ONLY),
        (OperationalError("database is locked"), failures.LOCKED),
        (DatabaseError("database disk image is malformed"), failures.DAMAGED),
    ],
)
@pytest.mark.django_db
def test_a_page_says_it_without_asking_the_database_again(error, words, client, bench_hand, monkeypatch):
    def fail(*_, **__):
        raise error

    client.force_login(bench_hand)
    client.raise_request_exception = False
    monkeypatch.setattr("regrind.today.work.open_jobs", fail)
    answer = client.get("/")
    assert (answer.status_code, answer.content.decode()) == (503, words)


@pytest.mark.django_db
@pytest.mark.parametrize("error", [ValueError("x"), OperationalError("no such column: x"), OSError(errno.EPIPE, "x")])
def test_what_is_the_programs_own_fault_is_not_put_on_the_disk(error, client, bench_hand, monkeypatch):
    def fail(*_, **__):
        raise error

    client.force_login(bench_hand)
    client.raise_request_exception = False
    monkeypatch.setattr("regrind.today.work.open_jobs", fail)
    answer = client.get("/")
    assert answer.status_code == 500
    assert "Internal error" in answer.content.decode()


@pytest.mark.django_db
def test_a_database_of_a_newer_program_is_refused_by_name():
    database.refuse_unsafe()
    MigrationRecorder(connection).record_applied("record", "9999_from_the_future")
    with pytest.raises(ImproperlyConfigured, match=r"record\.9999_from_the_future"):
        database.refuse_unsafe()


@pytest.mark.django_db
@pytest.mark.parametrize(
    "command",
    ["backup", "new_password X", "end_second_factor X", "first_owner", "recount", "mail", "demo", "fill_years"],
)
def test_no_command_works_on_a_database_of_a_newer_program(command, owner):
    before = Event.objects.count(), owner.password
    MigrationRecorder(connection).record_applied("record", "9999_from_the_future")
    with pytest.raises(CommandError, match=r"newer program: it has the migration record\.9999_from_the_future"):
        call_command(*command.split())
    owner.refresh_from_db()
    assert (Event.objects.count(), owner.password) == before


def test_no_command_loads_the_pages_before_it_works():
    """Django's checks of the code do, and take as long as a backup of a small shop; the outbox is sent each minute."""
    ours = [name for name, app in get_commands().items() if app.startswith("regrind.")]
    assert len(ours) > 10
    assert [name for name in ours if load_command_class(get_commands()[name], name).requires_system_checks] == []


def ask_as_the_server_does() -> int:
    """One request through the WSGI entry, which opens and closes connections as in the shop."""
    status: list[str] = []
    body = WSGIHandler()(
        {
            "REQUEST_METHOD": "GET",
            "PATH_INFO": "/shop/who",
            "SERVER_NAME": "testserver",
            "SERVER_PORT": "80",
            "wsgi.input": BytesIO(),
            "wsgi.errors": sys.stderr,
            "wsgi.version": (1, 0),
            "wsgi.url_scheme": "http",
            "HTTP_COOKIE": f"sessionid={'x' * 32}",
        },
        lambda line, headers: status.append(line),
    )
    body.close()
    return int(status[0][:3])


@pytest.mark.drill("the database's connections ended")
@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has no server that restarts")
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(("checks", "expected"), [(True, 302), (False, 503)])
def test_after_a_restart_of_postgresql_the_first_request_is_answered(checks, expected, settings):
    """Every connection ended by the server, as a restart does; without the check the first request fails."""
    import psycopg

    was = {name: connection.settings_dict[name] for name in ("CONN_MAX_AGE", "CONN_HEALTH_CHECKS")}
    assert was["CONN_HEALTH_CHECKS"] is True
    settings.ALLOWED_HOSTS = ["testserver"]
    connection.settings_dict |= {"CONN_MAX_AGE": None, "CONN_HEALTH_CHECKS": checks}
    try:
        connection.close()
        assert ask_as_the_server_does() == 302
        own = connection.connection.info.backend_pid
        with psycopg.connect(connection.connection.info.dsn, autocommit=True) as other:
            other.execute("SELECT pg_terminate_backend(%s)", [own])
        assert ask_as_the_server_does() == expected
    finally:
        connection.settings_dict |= was
        connection.close()
