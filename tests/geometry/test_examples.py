"""Every example in the module's docstrings runs, and the module runs without Django or any third party."""

import doctest
import importlib
import inspect
import pkgutil
import subprocess
import sys
from pathlib import Path
from types import FunctionType, ModuleType

import pytest

import regrind.geometry

NAMES = sorted(found.name for found in pkgutil.walk_packages(regrind.geometry.__path__, "regrind.geometry."))
ROOT = Path(__file__).resolve().parents[2]
BLOCKED = ("django", "reportlab", "PIL", "segno", "numpy", "scipy", "shapely")


def public_functions(module: ModuleType) -> list[FunctionType]:
    """The functions a module defines itself and offers; a cached one counts as the function it wraps."""
    found = (inspect.unwrap(value) for name, value in vars(module).items() if not name.startswith("_"))
    return [value for value in found if inspect.isfunction(value) and value.__module__ == module.__name__]


@pytest.mark.parametrize("name", NAMES)
def test_every_example_runs(name):
    assert doctest.testmod(importlib.import_module(name)).failed == 0


@pytest.mark.parametrize("name", NAMES)
def test_every_public_function_says_what_it_does_and_has_an_example(name):
    without = [
        function.__name__
        for function in public_functions(importlib.import_module(name))
        if ">>> " not in (function.__doc__ or "")
    ]
    assert without == []


def test_the_module_runs_with_django_and_every_third_party_absent():
    program = f"""
import sys
class Absent:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in {BLOCKED!r}:
            raise ModuleNotFoundError(name)
sys.meta_path.insert(0, Absent())
import importlib
for name in {NAMES!r}:
    importlib.import_module(name)
from regrind.geometry.wheels import recommend_speed
from regrind.geometry.units import parse
print(recommend_speed("diamond", "wet").low_m_s, parse("#7").nm, any(n in sys.modules for n in {BLOCKED!r}))
"""
    run = [sys.executable, "-c", program]
    done = subprocess.run(run, capture_output=True, text=True, cwd=ROOT, check=False)
    assert done.stdout.split() == ["20.0", "5105400", "False"], done.stderr


def test_the_modules_were_found():
    assert len(NAMES) >= 15
