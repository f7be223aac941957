"""Backups by themselves beside the server, before every update, and paths that are the caller's."""

import os
import stat
import subprocess
import sys
import time

import pytest

from scripts import launch, nightly

WRITE = (
    "import pathlib, sys, time; pathlib.Path(sys.argv[1]).open('a').write('asked\\n'); time.sleep(float(sys.argv[2]))"
)


def wait_for(happened, seconds=60.0):
    end = time.monotonic() + seconds
    while not happened():
        assert time.monotonic() < end, "it never came"
        time.sleep(0.02)


def asked(file):
    return file.read_text().count("asked") if file.exists() else 0


def test_the_command_is_asked_again_and_again_while_the_server_runs_and_never_after(tmp_path):
    file = tmp_path / "asked"
    with nightly.asked_again_and_again(
        [sys.executable, "-c", WRITE, str(file), "0"], dict(os.environ), first=0, every=0.01
    ):
        wait_for(lambda: asked(file) >= 3)
    count = asked(file)
    time.sleep(0.3)
    assert asked(file) == count


def test_one_that_takes_long_is_waited_for_and_ended_with_the_server(tmp_path):
    file, begun = tmp_path / "asked", time.monotonic()
    with nightly.asked_again_and_again(
        [sys.executable, "-c", WRITE, str(file), "3600"], dict(os.environ), first=0, every=0
    ):
        wait_for(lambda: asked(file) == 1)
        time.sleep(0.3)
        assert asked(file) == 1  # never two at once
    assert time.monotonic() - begun < 3600


def test_one_that_fails_is_asked_again(tmp_path):
    file = tmp_path / "asked"
    fail = f"{WRITE}; sys.exit(1)"
    with nightly.asked_again_and_again(
        [sys.executable, "-c", fail, str(file), "0"], dict(os.environ), first=0, every=0
    ):
        wait_for(lambda: asked(file) >= 2)


@pytest.fixture
def commands(monkeypatch):
    """The commands of Django's that start.py would have run, each with its umask, instead of running them."""
    ran = []

    class Done:
        returncode = 0

    def note(command, env=None, umask=-1, cwd=None):
        ran.append((command[2:], umask, cwd))
        return Done()

    monkeypatch.setattr(launch, "ensure", lambda level: None)
    monkeypatch.setattr(launch.subprocess, "run", note)
    return ran


def test_serving_backs_up_before_it_migrates_and_asks_for_the_nights_backup(commands, tmp_path, monkeypatch):
    asked_for = []

    class Beside:
        def __init__(self, command, environment):
            asked_for.append((command[2:], environment["REGRIND_DATA"]))

        def __enter__(self):
            commands.append("beside")

        def __exit__(self, *_):
            commands.append("ended")

    monkeypatch.setenv("REGRIND_DATA", str(tmp_path / "shop"))
    monkeypatch.setattr(launch, "asked_again_and_again", Beside)
    monkeypatch.setattr(launch, "serve_shop", lambda *_: commands.append("serving"))
    launch.run_serve(None)
    names = [one if isinstance(one, str) else one[0][0] for one in commands]
    assert names == [
        "backup",
        "migrate",
        "recount",
        "check_database",
        "first_owner",
        "collectstatic",
        "beside",
        "serving",
        "ended",
    ]
    assert commands[0][0] == ["backup", "--before-update"]
    assert asked_for == [(["backup", "--if-due"], str(tmp_path / "shop"))]


def test_a_failed_backup_stops_the_update(commands, tmp_path, monkeypatch):
    class Failed:
        returncode = 1

    monkeypatch.setenv("REGRIND_DATA", str(tmp_path / "shop"))
    monkeypatch.setattr(launch.subprocess, "run", lambda command, **_: commands.append(command[2:]) or Failed())
    with pytest.raises(SystemExit, match="backup"):
        launch.run_serve(None)
    assert commands == [["backup", "--before-update"]]


def test_the_paths_of_a_command_are_the_callers(commands, tmp_path):
    launch.run_manage(["backup", "stick/shop.tar"])
    [(command, umask, folder)] = commands
    assert (command, umask, folder) == (["backup", "stick/shop.tar"], 0o077, None)


def test_a_command_runs_where_it_was_called(tmp_path):
    """The whole way of start.py but for the making of .venv: a file named beside the caller is found there."""
    code = (
        "import sys; sys.path.insert(0, sys.argv[1]); from scripts import launch; launch.ensure = lambda level: None;"
        " sys.exit(launch.main(['manage', 'restore', 'here.tar']))"
    )
    (tmp_path / "here.tar").write_bytes(b"no backup")
    env = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    done = subprocess.run(
        [sys.executable, "-c", code, str(launch.ROOT)],
        cwd=tmp_path,
        text=True,
        capture_output=True,
        env=env | {"REGRIND_DATA": "data", "DJANGO_SETTINGS_MODULE": "regrind.settings_test"},
    )
    assert "here.tar cannot be read" in done.stderr, done.stderr
    (tmp_path / "here.tar").unlink()
    done = subprocess.run(
        [sys.executable, "-c", code, str(launch.ROOT)],
        cwd=tmp_path,
        text=True,
        capture_output=True,
        env=env | {"REGRIND_DATA": "data", "DJANGO_SETTINGS_MODULE": "regrind.settings_test"},
    )
    assert "here.tar cannot be read: No such file" in done.stderr, done.stderr


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such modes")
def test_the_data_folder_is_for_its_owners_eyes_alone_also_after_a_demo(commands, tmp_path, monkeypatch):
    data = tmp_path / "shop"
    data.mkdir(mode=0o755)
    (data / "db.sqlite3").touch(mode=0o644)
    monkeypatch.setenv("REGRIND_DATA", str(data))
    monkeypatch.setattr(launch, "run_server", lambda *_, **__: 0)
    launch.run_demo()
    modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in (data, *data.iterdir())}
    assert modes == {"shop": 0o700, "db.sqlite3": 0o600, "demo": 0o700}
    assert {umask for command, umask, _ in commands if command[0] != "collectstatic"} == {0o077}


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such modes")
def test_a_database_made_by_a_command_is_for_its_owners_eyes_alone(tmp_path):
    env = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    subprocess.run(
        [sys.executable, str(launch.ROOT / "manage.py"), "showmigrations", "-v0"],
        umask=launch.PRIVATE,
        check=True,
        capture_output=True,
        env=env | {"REGRIND_DATA": str(tmp_path), "DJANGO_SETTINGS_MODULE": "regrind.settings_test"},
    )
    assert stat.S_IMODE((tmp_path / "db.sqlite3").stat().st_mode) == 0o600
