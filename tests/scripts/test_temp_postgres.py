"""The throw-away PostgreSQL server of the tests."""

import os
import subprocess
import sys
from pathlib import Path

import psycopg
import pytest

from scripts import parts
from scripts.temp_postgres import TempPostgres

ROOT = Path(parts.__file__).resolve().parent.parent


@pytest.fixture(autouse=True)
def _server_programs():
    lacking = parts.lacking_postgres()
    if lacking and os.environ.get("CI"):
        pytest.fail(lacking)
    if lacking:
        pytest.skip(lacking)


def ask(server, question):
    with psycopg.connect(server.url.replace("postgres://", "postgresql://")) as connection:
        return connection.execute(question).fetchone()[0]


def test_it_answers_and_leaves_nothing_behind():
    with TempPostgres() as server:
        assert ask(server, "select 6 * 7") == 42
        assert ask(server, "show listen_addresses") == ""
    assert not server.folder.exists()
    assert server.process.poll() is not None


def test_it_knows_letters_beyond_ascii():
    with TempPostgres() as server:
        assert ask(server, "select upper('łódź')") == "ŁÓDŹ"


def test_a_killed_server_comes_back_with_what_was_committed():
    with TempPostgres(durable=True) as server:
        with psycopg.connect(server.url.replace("postgres://", "postgresql://")) as connection:
            connection.execute("create table kept as select 7 as figure")
        server.stop("kill")
        server.start()
        assert ask(server, "select figure from kept") == 7


def test_a_server_that_will_not_start_shows_its_log_and_cleans_up():
    server = TempPostgres(settings={"shared_buffers": "nonsense"})
    with pytest.raises(RuntimeError, match="shared_buffers"), server:
        pass
    assert not server.folder.exists()


def test_a_command_gets_its_address_and_its_exit_code_is_passed_on():
    script = "import os, sys; sys.exit(7 if os.environ['DATABASE_URL'].startswith('postgres://') else 1)"
    done = subprocess.run(
        [sys.executable, "-m", "scripts.temp_postgres", "run", "--", sys.executable, "-c", script], cwd=ROOT
    )
    assert done.returncode == 7


def test_the_newest_server_is_taken(tmp_path, monkeypatch):
    for version in ("9", "15", "17"):
        folder = tmp_path / version / "bin"
        folder.mkdir(parents=True)
        for program in ("initdb", "postgres", "pg_isready", "psql"):
            (folder / program).touch()
    monkeypatch.delenv("PG_BIN", raising=False)
    assert parts.find_postgres((str(tmp_path / "*" / "bin"),)) == tmp_path / "17" / "bin"
