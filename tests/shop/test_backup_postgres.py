"""The restore drill on PostgreSQL, in databases of its own on the suite's server."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import psycopg
import pytest
from django.conf import settings
from psycopg.conninfo import make_conninfo

ROOT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.postgres


def on_server(command: str) -> None:
    where = settings.DATABASES["default"]
    admin = make_conninfo(host=where["HOST"], port=where["PORT"] or None, user=where["USER"], dbname="postgres")
    with psycopg.connect(admin, autocommit=True) as server:
        server.execute(command)


def url_of(database: str) -> str:
    where = settings.DATABASES["default"]
    return f"postgres://{where['USER']}@/{database}?host={where['HOST']}&port={where['PORT'] or 5432}"


@pytest.fixture(scope="module")
def migrated(tmp_path_factory):
    """The name of a database as the migrations leave it, to be copied."""
    name = f"drill_migrated_{os.getpid()}"
    on_server(f'CREATE DATABASE "{name}"')
    manage(url_of(name), tmp_path_factory.mktemp("migrated"), "migrate", "-v0")
    yield name
    on_server(f'DROP DATABASE "{name}" WITH (FORCE)')


@pytest.fixture
def databases(migrated):
    """Two databases, dropped afterwards: name -> DATABASE_URL. The shop's is migrated, the other empty."""
    names = {name: f"drill_{name}_{os.getpid()}" for name in ("shop", "place")}
    on_server(f'CREATE DATABASE "{names["shop"]}" TEMPLATE "{migrated}"')
    on_server(f'CREATE DATABASE "{names["place"]}"')
    yield {name: url_of(database) for name, database in names.items()}
    for name in names.values():
        on_server(f'DROP DATABASE "{name}" WITH (FORCE)')


def manage(url: str, data: Path, *args: str, ok: bool = True, stdin=None, **further: str) -> str:
    env = (
        os.environ
        | {"DATABASE_URL": url, "REGRIND_DATA": str(data), "DJANGO_SETTINGS_MODULE": "regrind.settings_test"}
        | further
    )
    done = subprocess.run(
        [sys.executable, "manage.py", *args],
        cwd=ROOT,
        text=True,
        capture_output=True,
        env=env,
        stdin=stdin,
        check=False,
    )
    assert (done.returncode == 0) is ok, done.stdout + done.stderr
    return done.stdout + done.stderr


def test_a_backup_restores_into_an_empty_database(databases, tmp_path):
    shop, place, backup = tmp_path / "shop", tmp_path / "place", tmp_path / "shop.tar"
    shop.mkdir()
    place.mkdir()
    manage(databases["shop"], shop, "first_owner")
    manage(databases["shop"], shop, "backup", str(backup))
    assert "restored and checked" in manage(databases["place"], place, "restore", str(backup))
    assert "there already" not in manage(databases["place"], place, "check_database", "--history")
    assert "has tables already" in manage(databases["place"], place, "restore", str(backup), ok=False)


def documented() -> list[tuple[list[str], str]]:
    """The backup and restore of docs/deploy.md for containers: (arguments of manage.py, file on standard input)."""
    text = (ROOT / "docs/deploy.md").read_text()
    lines = re.findall(r"^    docker compose (?:exec|run).* manage\.py ((?:backup|restore).*)$", text, re.M)
    return [(words.partition(" < ")[0].split(), words.partition(" < ")[2]) for words in lines]


def test_the_second_backup_of_a_container_and_its_restore_work_as_written(databases, tmp_path):
    shop, place = tmp_path / "shop", tmp_path / "place"
    (tmp_path / "backups").mkdir()
    [(backup, _), (restore, source)] = documented()
    for name in ("one", "two"):
        manage(databases["shop"], shop, "first_owner", "--name", name)
        said = manage(databases["shop"], shop, *backup, REGRIND_BACKUPS=str(tmp_path / "backups"))
    assert "read back and complete" in said
    first, second = sorted((tmp_path / "backups").glob("*.tar"))
    assert first.read_bytes() != second.read_bytes()
    assert source == "backups/FILE"
    with second.open("rb") as file:
        assert "restored and checked" in manage(databases["place"], place, *restore, stdin=file)
    assert "safe to work with" in manage(databases["place"], place, "check_database", "--history")


def test_a_dump_that_does_not_read_back_is_no_backup(databases, tmp_path):
    """pg_dump replaced by one that spoils what it wrote."""
    spoiler = tmp_path / "bin" / "pg_dump"
    spoiler.parent.mkdir()
    spoiler.write_text(f"""#!{sys.executable}
import pathlib, subprocess, sys
subprocess.run([{shutil.which("pg_dump")!r}, *sys.argv[1:]], check=True)
file = pathlib.Path(next(word for word in sys.argv if word.startswith("--file=")).removeprefix("--file="))
file.write_bytes(file.read_bytes()[:-2_000])
""")
    spoiler.chmod(0o755)
    said = manage(
        databases["shop"],
        tmp_path / "shop",
        "backup",
        ok=False,
        PATH=f"{spoiler.parent}{os.pathsep}{os.environ['PATH']}",
    )
    assert "pg_restore failed" in said
    assert list((tmp_path / "shop/backups").glob("*.tar")) == []
