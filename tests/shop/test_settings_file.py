"""settings.toml: read with plain words for what is wrong, written with its comments, and never over a hand's work."""

import os
import stat
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from regrind import settings_file
from regrind.settings_file import BY_KEY, SETTINGS, SettingsError

ROOT = Path(settings_file.__file__).resolve().parents[1]


def put(tmp_path, text):
    (tmp_path / settings_file.NAME).write_text(text, encoding="utf-8")
    return tmp_path


def test_a_new_file_sets_nothing_and_each_of_its_examples_is_good():
    draft = settings_file.draft()
    assert settings_file.parse(draft, "draft") == {}
    values = tomllib.loads("\n".join(f"{one.key} = {one.example}" for one in SETTINGS))
    assert list(values) == list(BY_KEY)
    assert settings_file.parse("\n".join(f"{one.key} = {one.example}" for one in SETTINGS), "x") == values


def test_without_a_file_there_are_no_values(tmp_path):
    assert settings_file.read_file(tmp_path) == {}
    assert settings_file.read_file(tmp_path / "nowhere") == {}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("port = 80a", "is not TOML"),
        ("time_zone = Europe/Warsaw", "Texts stand in quotes"),
        ('time_zone = "Europe/Warschau"', "time_zone = 'Europe/Warschau', which cannot be used. Write it as"),
        ('port = "8000"', "without quotes"),
        ("port = true", "whole number"),
        ("port = 65536", "whole number"),
        ('hosts = "tools.example"', "in brackets"),
        ('hosts = ["http://tools.example/"]', "names or addresses"),
        ('hosts = ["*"]', "names or addresses"),
        ('backups = "stick"', "whole path"),
        ('idle_hours = "8"', "number of hours"),
        ("idle_hours = 0", "number of hours"),
        ('database = "mysql://x"', "postgres://"),
        ('log = "loud"', "WARNING"),
        ("prot = 8000", "'prot', which is no setting. Use time_zone"),
        ("[server]\nport = 8000", "'server', which is no setting"),
    ],
)
def test_what_is_wrong_is_said_with_the_file_the_value_and_the_advice(tmp_path, text, words):
    with pytest.raises(SettingsError) as caught:
        settings_file.read_file(put(tmp_path, text))
    assert words in str(caught.value)
    assert str(tmp_path / "settings.toml") in str(caught.value)


def test_the_environment_counts_before_the_file_unless_it_is_empty(tmp_path):
    put(tmp_path, 'time_zone = "Europe/Warsaw"\nport = 8123\nhosts = ["a.example", "b.example"]\nidle_hours = 2.5')
    merged = settings_file.merge({"PORT": "9000", "REGRIND_TIME_ZONE": "", "OTHER": "x"}, tmp_path)
    assert merged == {
        "PORT": "9000",
        "OTHER": "x",
        "REGRIND_TIME_ZONE": "Europe/Warsaw",
        "REGRIND_HOSTS": "a.example,b.example",
        "REGRIND_IDLE_HOURS": "2.5",
    }


def test_a_change_keeps_comments_and_the_other_values():
    text = settings_file.draft() + "\n# Ask Bea before you change this.\nport = 8123  # the old router\n"
    changed = settings_file.change(text, {"time_zone": "Europe/Warsaw", "hosts": ["b.example"]})
    assert settings_file.parse(changed, "x") == {"time_zone": "Europe/Warsaw", "hosts": ["b.example"], "port": 8123}
    assert "# Ask Bea before you change this.\nport = 8123  # the old router" in changed
    assert changed.count("time_zone = ") == 1
    back = settings_file.change(changed, {"time_zone": None, "hosts": None})
    assert settings_file.parse(back, "x") == {"port": 8123}
    assert settings_file.change("", {"idle_hours": 4}) == "idle_hours = 4\n"


@pytest.mark.parametrize("folder", [r"D:\backups\shop", '/media/a "stick"/ä', "/media/it's"])
def test_any_path_that_is_written_is_read_back(folder, monkeypatch):
    monkeypatch.setattr(settings_file.Path, "is_absolute", lambda path: True)  # one of the other system's
    assert settings_file.parse(settings_file.change("", {"backups": folder}), "x") == {"backups": folder}


def test_a_file_that_only_a_person_can_change_is_left_as_it_is():
    with pytest.raises(SettingsError, match="Edit the file itself"):
        settings_file.change('hosts = [\n  "a.example",\n]\n', {"hosts": ["b.example"]})


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such modes")
def test_the_file_is_for_its_owners_eyes_alone(tmp_path):
    path = settings_file.write(tmp_path, settings_file.draft())
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert [one.name for one in tmp_path.iterdir()] == ["settings.toml"]


def show(tmp_path, **environment):
    """What the program's settings hold in a process of its own, or its words where it refuses to start."""
    code = (
        "from regrind import settings as s; print(s.TIME_ZONE, s.ALLOWED_HOSTS, s.IDLE_LIMIT, s.BACKUPS, s.DATABASES)"
    )
    clean = {k: v for k, v in os.environ.items() if k != "DATABASE_URL" and not k.startswith("REGRIND_")}
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        text=True,
        capture_output=True,
        env=clean | {"REGRIND_DATA": str(tmp_path)} | environment,
    )
    assert "Traceback" not in done.stderr
    return done.stdout or done.stderr


def test_the_program_starts_with_the_files_values(tmp_path):
    put(
        tmp_path,
        'time_zone = "Europe/Warsaw"\nhosts = ["a.example"]\nidle_hours = 2\nbackups = "/media/stick"\n'
        'database = "postgres://shop@db/shop"\n',
    )
    shown = show(tmp_path, REGRIND_OWN_HOSTS="192.168.1.20,localhost")
    for part in (
        "Europe/Warsaw",
        "['a.example', '192.168.1.20', 'localhost']",
        "2:00:00",
        "/media/stick",
        "postgresql",
    ):
        assert part in shown
    assert show(tmp_path, REGRIND_TIME_ZONE="Asia/Tokyo").startswith("Asia/Tokyo")


def test_the_program_says_what_is_wrong_in_the_file(tmp_path):
    assert "Write a whole number from 1 to 65535" in show(put(tmp_path, "port = 0"))
    (tmp_path / "settings.toml").unlink()
    assert "REGRIND_IDLE_HOURS is 'many', which cannot be used" in show(tmp_path, REGRIND_IDLE_HOURS="many")
    assert show(tmp_path).startswith("UTC")
