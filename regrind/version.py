"""The program's version, for the foot of each page and `start.py --version`. Standard library only."""

import tomllib
from pathlib import Path

PYPROJECT = Path(__file__).resolve().parent.parent / "pyproject.toml"  # the one place where the version stands


def read_version(file: Path = PYPROJECT) -> str:
    """The version that a pyproject.toml gives its project; KeyError without one."""
    return str(tomllib.loads(file.read_text(encoding="utf-8"))["project"]["version"])


VERSION = read_version()
