"""start.py: what it says when something is missing, and when it builds .venv again."""

import errno
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import start
from scripts import environment, launch, shop_environment

ROOT = Path(environment.__file__).resolve().parent.parent


def test_an_old_python_is_named_beside_the_one_that_is_needed():
    assert start.say_if_too_old((3, 9, 2)) == "Python 3.11 or newer is needed; this is 3.9."
    assert start.say_if_too_old((2, 7, 18)) != ""


@pytest.mark.parametrize("version", [(3, 11, 0), (3, 12, 4), (4, 0, 0)])
def test_a_python_that_is_new_enough_is_not_refused(version):
    assert start.say_if_too_old(version) == ""


def test_each_python_that_the_project_names_is_found_by_the_checks_and_the_oldest_is_the_refusals():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = re.findall(r"Python :: (3\.\d+)", " ".join(project["classifiers"]))
    searched = set(re.findall(r"python(3\.\d+)", (ROOT / ".ci/parts.sh").read_text()))
    assert len(named) >= 3
    assert set(named) <= searched
    oldest = ".".join(map(str, start.OLDEST))
    assert project["requires-python"] == f">={oldest}"
    assert named[0] == oldest


def test_an_old_python_can_read_start_py_as_far_as_its_own_refusal():
    compile((ROOT / "start.py").read_text(), "start.py", "exec", dont_inherit=True, _feature_version=5)


def imports_nothing_installed(module):
    """Run in a Python that sees no installed package."""
    return subprocess.run(
        [sys.executable, "-S", "-E", "-c", f"import sys; sys.path.insert(0, '.'); import {module}"],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )


@pytest.mark.parametrize(
    "module",
    [
        "start",
        "scripts.steps",
        "regrind.version",
        "regrind.settings_file",
        "scripts.service",
        "scripts.temp_postgres",
        "scripts.try_demo",
        "scripts.vendor",
    ],
)
def test_what_runs_before_the_install_needs_the_standard_library_only(module):
    done = imports_nothing_installed(module)
    assert done.returncode == 0, done.stderr
    assert imports_nothing_installed("django").returncode != 0


@pytest.mark.parametrize("gone", ["venv", "ensurepip"])
def test_a_python_without_venv_is_told_which_package_brings_it(monkeypatch, gone):
    monkeypatch.setattr(environment, "has_module", lambda name: name != gone)
    assert "apt install python3-venv" in environment.find_missing()


def test_a_whole_python_lacks_nothing(monkeypatch):
    monkeypatch.setattr(environment, "has_module", lambda name: True)
    assert environment.find_missing() == ""


@pytest.mark.parametrize(
    ("output", "words"),
    [
        ("WARNING: Retrying ... NewConnectionError('<pip>: Failed to establish a new connection')", "No network"),
        ("socket.gaierror: Temporary failure in name resolution", "No network"),
        (
            "ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE.",
            "not the one that the lock names",
        ),
        ("ERROR: No matching distribution found for Django==5.2", "no file of a locked package"),
        ("OSError: [Errno 28] No space left on device", "disk is full"),
        ("something else altogether", "could not be installed"),
    ],
)
def test_a_failed_install_is_explained(output, words):
    assert words in environment.explain_failure(output)


@pytest.fixture
def project(tmp_path):
    """A project's folder with locks and a finished .venv of the runtime level."""
    (tmp_path / "requirements").mkdir()
    (tmp_path / "requirements/runtime.txt").write_text("a==1\n")
    (tmp_path / "requirements/postgres.txt").write_text("p==1\n")
    (tmp_path / "requirements/dev.txt").write_text("b==1\n")
    (tmp_path / ".venv").mkdir()
    (tmp_path / "python").touch()
    (tmp_path / ".venv/.built-runtime").write_text(environment.stamp_of("runtime", tmp_path))
    return tmp_path


def is_current(project, level):
    return environment.is_current(level, project, project / "python")


def test_a_finished_environment_is_kept(project):
    assert is_current(project, "runtime")
    assert not is_current(project, "postgres")
    assert not is_current(project, "dev")


def test_an_environment_of_the_developer_serves_the_runtime_too(project):
    (project / ".venv/.built-runtime").unlink()
    (project / ".venv/.built-dev").write_text(environment.stamp_of("dev", project))
    assert is_current(project, "runtime")
    assert is_current(project, "dev")


def test_only_a_shop_on_postgresql_needs_its_driver():
    """psycopg-binary has no wheel for Windows on ARM or 32-bit ARM: there SQLite must do alone."""
    assert shop_environment.level_of({}) == shop_environment.level_of({"DATABASE_URL": "sqlite:///x"}) == "runtime"
    assert shop_environment.level_of({"DATABASE_URL": "postgres://shop@db/shop"}) == "postgres"
    names = {level: (ROOT / f"requirements/{level}.txt").read_text() for level in ("runtime", "postgres")}
    assert "psycopg" not in names["runtime"]
    assert "psycopg-binary==" in names["postgres"]


def test_nothing_of_the_program_itself_asks_for_the_driver():
    files = [*(ROOT / "regrind").rglob("*.py"), *(ROOT / "scripts").rglob("*.py")]
    assert not [path for path in files if "import psycopg" in path.read_text(encoding="utf-8")]


def test_a_changed_lock_calls_for_a_new_environment(project):
    (project / "requirements/runtime.txt").write_text("a==2\n")
    assert not is_current(project, "runtime")


def test_a_half_built_or_broken_environment_calls_for_a_new_one(project):
    (project / "python").unlink()
    assert not is_current(project, "runtime")
    (project / "python").touch()
    (project / ".venv/.built-runtime").unlink()
    assert not is_current(project, "runtime")


def test_another_python_calls_for_a_new_environment(project, monkeypatch):
    monkeypatch.setattr(sys.implementation, "cache_tag", "cpython-399")
    assert not is_current(project, "runtime")


@pytest.mark.skipif(os.name == "nt", reason="a link needs a right of its own there")
def test_an_environment_that_is_a_link_is_never_emptied(tmp_path, monkeypatch):
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "kept").touch()
    (tmp_path / ".venv").symlink_to(tmp_path / "elsewhere")
    monkeypatch.setattr(environment, "VENV", tmp_path / ".venv")
    with pytest.raises(SystemExit, match="is a link"):
        environment.create()
    assert (tmp_path / "elsewhere" / "kept").exists()


def test_what_follows_manage_or_a_double_dash_is_passed_on():
    assert launch.split(["manage", "migrate", "--plan"]) == (["manage"], ["migrate", "--plan"])
    assert launch.split(["test", "--fast", "--", "-k", "x"]) == (["test", "--fast"], ["-k", "x"])
    assert launch.split(["demo"]) == (["demo"], [])


def test_an_unknown_command_is_refused_with_the_list_of_known_ones(capsys):
    with pytest.raises(SystemExit) as stopped:
        launch.main(["dmeo"])
    assert stopped.value.code == 2
    assert "demo" in capsys.readouterr().err


def test_the_version_is_that_of_pyproject(capsys):
    with pytest.raises(SystemExit) as stopped:
        launch.main(["--version"])
    assert stopped.value.code == 0
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert capsys.readouterr().out == f"regrind {project['version']}\n"


def test_the_locks_hold_all_that_their_packages_need():
    """They are installed without looking for more, so that a newer release of a dependency is never met."""
    done = subprocess.run([sys.executable, "-m", "pip", "check"], capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, ""), done.stdout


def stopped_by(monkeypatch, data: Path, command: str = "settings") -> str:
    monkeypatch.setenv("REGRIND_DATA", str(data))
    with pytest.raises(SystemExit) as stop:
        launch.main([command])
    return str(stop.value)


@pytest.mark.drill("disk or database read-only")
def test_a_data_folder_that_cannot_be_one_is_told(monkeypatch, tmp_path):
    (tmp_path / "file").touch()
    printed = stopped_by(monkeypatch, tmp_path / "file")
    assert f"{tmp_path / 'file'} cannot be used: " in printed
    assert "must be a folder" in printed


@pytest.mark.drill("disk or database read-only")
def test_a_read_only_disk_is_told(monkeypatch, tmp_path):
    def refuse(folder, mode):
        raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(folder))

    monkeypatch.setattr(Path, "chmod", refuse)
    assert f"{tmp_path} cannot be used: Read-only file system." in stopped_by(monkeypatch, tmp_path)


def test_ctrl_c_while_it_starts_prints_no_traceback(monkeypatch, tmp_path):
    def interrupt(tls, only_prepare):
        raise KeyboardInterrupt

    monkeypatch.setattr(launch, "run_serve", interrupt)
    assert stopped_by(monkeypatch, tmp_path, "serve") == "[start] stopped"
    command = [sys.executable, "manage.py", "shell", "-c", "raise KeyboardInterrupt"]
    env = os.environ | {"DJANGO_SETTINGS_MODULE": "regrind.settings_test"}
    done = subprocess.run(command, cwd=ROOT, env=env, text=True, capture_output=True, check=False)
    assert (done.returncode, done.stderr) == (130, "")
