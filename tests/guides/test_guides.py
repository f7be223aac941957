"""docs/add-a-field.md and docs/add-a-figure.md, followed to the letter in a copy of the project."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
FOLDERS = ("regrind", "scripts", "shared", "static", "templates", "tests")
FAILED = 1  # pytest's exit code
STEP = re.compile(r"In `([^`]+)`, below `([^`]+)`[^`]*:\n\n```\w+\n(.*?)```", re.DOTALL)


@pytest.fixture
def copy(tmp_path):
    """The project as a clone has it, in a folder of its own. What Python compiled comes along: it holds there too."""
    for folder in FOLDERS:
        shutil.copytree(ROOT / folder, tmp_path / folder)
    for name in ("manage.py", "pyproject.toml"):
        shutil.copy(ROOT / name, tmp_path / name)
    (tmp_path / "data").mkdir()
    return tmp_path


def follow(page: str, project: Path) -> int:
    """Do what the page says to the files; returns the number of places."""
    steps = STEP.findall((ROOT / "docs" / page).read_text(encoding="utf-8"))
    for name, anchor, code in steps:
        insert_below(project / name, anchor, code)
    return len(steps)


def insert_below(path: Path, anchor: str, code: str) -> None:
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    [number] = [number for number, line in enumerate(lines, start=1) if anchor in line]
    path.write_text("".join([*lines[:number], code, *lines[number:]]), encoding="utf-8")


def run(project: Path, *command: str, code: int = 0) -> str:
    """What a command of the copied project writes; code: what it has to end with."""
    callers = ("DATABASE_URL", "REGRIND_DATA", "PYTEST_ADDOPTS")
    environment = {name: value for name, value in os.environ.items() if name not in callers}
    done = subprocess.run(
        [sys.executable, *command],
        cwd=project,
        env=environment | {"REGRIND_DATA": str(project / "data"), "DJANGO_SETTINGS_MODULE": "regrind.settings_test"},
        text=True,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
    )
    assert done.returncode == code, done.stdout[-3000:]
    return done.stdout


def run_tests(project: Path, name: str, code: int = 0) -> str:
    return run(
        project, "-m", "pytest", name, "-p", "no:cacheprovider", "-p", "no:randomly", "-p", "no:xdist", code=code
    )


def test_a_field_is_added_as_the_page_says(copy):
    assert follow("add-a-field.md", copy) == 5
    assert "supplier_number" in run(copy, "manage.py", "makemigrations", "record")
    run(copy, "manage.py", "makemigrations", "--check", "--dry-run")
    run_tests(copy, "tests/receiving/test_customers.py")


def test_a_figure_is_added_as_the_page_says_and_fails_where_it_is_not_counted_twice(copy):
    assert follow("add-a-figure.md", copy) == 4
    assert "first_n" in run(copy, "manage.py", "makemigrations", "record")
    run_tests(copy, "tests/rollups/test_small.py")
    slow = copy / "tests/rollups/slow_count.py"
    counted = slow.read_text(encoding="utf-8")
    slow.write_text(counted.replace('told.columns["first_n"]', "_ = 0; _"), encoding="utf-8")
    assert slow.read_text(encoding="utf-8") != counted
    assert "first_n" in run_tests(copy, "tests/rollups/test_small.py", code=FAILED)
