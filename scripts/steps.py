"""The steps of `start.py test`: what each runs, what it needs, the closing table. Standard library only."""

from __future__ import annotations

import os
import secrets
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field

from scripts.drills import DRILLS, collected_drills, draw_drills
from scripts.environment import PYTHON, ROOT, script
from scripts.parts import lacking_chromium, lacking_driver, lacking_postgres

FAST_HELP = (
    "formats, style, types, layers, and the tests of words, documents, scripts and this command: in about a minute."
    " It leaves out the rooms' own tests, PostgreSQL, the browser and the demo"
)
QUICK = ("tests/words", "tests/guides/test_documents.py", "tests/start", "tests/scripts")
BROWSER = "tests/browser"  # the only folder of browser tests
# Tests that no database makes different, and drills whose shop is on SQLite whatever the suite runs on.
ON_SQLITE = ("stress/test_thirty_days.py", "stress/test_order_of_writes.py")
ONCE = ("geometry", "paper", "calculators", "start", "scripts", "words", "guides", *ON_SQLITE)
CORES = min(8, os.cpu_count() or 2)  # each worker takes up to a gigabyte of memory
# All tests of a file go to one worker: what a file makes once, a demo shop or a backup, is made once.
WORKERS = ("-n", str(CORES), "--dist", "loadfile")
# A worker that waits for a server leaves its core to another; one that waits for a browser or types slowly, more so.
WAITING_WORKERS = ("-n", str(CORES + 1), "--dist", "loadfile")
# Browser tests of a file share nothing but the browser: each worker takes the next, those marked as long first.
BROWSER_WORKERS = ("-n", str(CORES + 2), "--dist", "load", "--maxschedchunk", "1")
NOTHING_COLLECTED = 5  # pytest's exit code
PASSED, FAILED, LEFT_OUT = "passed", "failed", "left out"


@dataclass(frozen=True)
class Options:
    full: bool = False
    fast: bool = False
    ci: bool = False
    pytest: tuple[str, ...] = ()


@dataclass(frozen=True)
class Step:
    name: str
    command: tuple[str, ...]
    lacking: Callable[[], str] = lambda: ""  # why it cannot run here; empty when it can
    environment: dict[str, str] = field(default_factory=dict)
    collects: bool = False  # runs pytest


@dataclass(frozen=True)
class Result:
    name: str
    outcome: str
    seconds: float
    reason: str = ""


def manage(*arguments: str) -> tuple[str, ...]:
    return (str(PYTHON), "manage.py", *arguments)


def pytest_step(name: str, where: str, options: Options, *, postgres: bool = False, browser: bool = False) -> Step:
    """A run of the suite; the long form of a drill only with --full. Each worker reads all tests that are in reach: a
    step for the browser therefore names their folder."""
    chosen = where if options.full else f"{where} and not full"
    if browser:
        reach: tuple[str, ...] = (BROWSER,)
    else:
        reach = tuple(f"--ignore=tests/{one}" for one in ONCE) if postgres else ()
    workers = BROWSER_WORKERS if browser else WAITING_WORKERS if postgres else WORKERS
    command = (str(PYTHON), "-m", "pytest", "-m", chosen, *workers, *reach)
    if postgres:
        command = (str(PYTHON), "-m", "scripts.temp_postgres", "run", "--", *command)

    def lacking() -> str:
        no_browser = (lacking_chromium() or lacking_driver(str(PYTHON))) if browser else ""
        return no_browser or (lacking_postgres() if postgres else "")

    return Step(name, command, lacking, full_environment(options), collects=True)


def full_environment(options: Options) -> dict[str, str]:
    return {"REGRIND_FULL": "1"} if options.full else {}


def chosen_tests(options: Options) -> Step:
    """Only the tests that the caller's pytest arguments name, on SQLite; browser tests where their folder is named."""
    in_browser = any(BROWSER in argument.replace(os.sep, "/") for argument in options.pytest)
    unwanted = ["postgres"] + ([] if in_browser else ["browser"]) + ([] if options.full else ["full"])
    where = " and ".join(f"not {marker}" for marker in unwanted)
    command = (str(PYTHON), "-m", "pytest", "-m", where, *options.pytest)
    return Step("chosen tests on SQLite", command, environment=full_environment(options), collects=True)


def quick_tests() -> Step:
    command = (str(PYTHON), "-m", "pytest", "-m", "not browser and not postgres and not full", *WORKERS, *QUICK)
    return Step("quick tests", command, collects=True)


def gates() -> list[Step]:
    """The checks that run no test: format, style, types, layers, files that follow from others."""
    python = str(PYTHON)
    return [
        Step("format of Python (ruff)", (python, "-m", "ruff", "format", "--check", ".")),
        Step("style (ruff)", (python, "-m", "ruff", "check", ".")),
        Step("format of templates (djlint)", (script("djlint"), "templates", "--check")),
        Step("format of CSS and JavaScript", (python, "-m", "scripts.format_static", "--check")),
        Step("types (mypy)", (python, "-m", "mypy")),
        Step("layers (import-linter)", (script("lint-imports"),)),
        Step("vendored files", (python, "-m", "scripts.vendor", "--check")),
        Step("migrations complete", manage("makemigrations", "--check", "--dry-run")),
        Step(
            "deployment check",
            manage("check", "--deploy", "--fail-level", "WARNING"),
            environment=production_settings(),
        ),
    ]


def lacking_signals() -> str:
    return "a started demo cannot be stopped gently on Windows" if os.name == "nt" else ""


def production_settings() -> dict[str, str]:
    """The environment of a shop behind TLS, with a secret for this check only."""
    return {"REGRIND_TLS": "1", "REGRIND_HOSTS": "tools.example", "REGRIND_SECRET": secrets.token_urlsafe(50)}


def list_steps(options: Options) -> list[Step]:
    if options.pytest:
        return [chosen_tests(options)]
    if options.fast:
        return [*gates(), quick_tests()]
    return [
        Step("demo answers", (str(PYTHON), "-m", "scripts.try_demo"), lacking_signals),
        *gates(),
        pytest_step("tests on SQLite", "not browser and not postgres", options),
        pytest_step("tests on PostgreSQL", "not browser", options, postgres=True),
        pytest_step("browser on SQLite", "browser and not postgres", options, browser=True),
        pytest_step("browser on PostgreSQL", "browser and both", options, postgres=True, browser=True),
    ]


def formatters() -> list[Step]:
    """What `start.py format` runs."""
    python = str(PYTHON)
    return [
        Step("Python (ruff)", (python, "-m", "ruff", "format", ".")),
        Step("imports and simple faults (ruff)", (python, "-m", "ruff", "check", "--fix", ".")),
        Step("templates (djlint)", (script("djlint"), "templates", "--reformat", "--quiet", "--warn")),
        Step("CSS and JavaScript", (python, "-m", "scripts.format_static")),
    ]


def format_all() -> int:
    """Format everything in place; 0 unless a formatter fails or a fault is left that it cannot take out."""
    codes = [subprocess.run(step.command, cwd=ROOT).returncode for step in formatters()]
    return 1 if any(codes) else 0


@contextmanager
def clean_environment() -> Iterator[dict[str, str]]:
    """The environment without a shop's own settings, so that tests can neither read nor touch its data.

    Python may keep its bytecode: without it each of a step's processes compiles every test anew.
    """
    inherited = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("REGRIND_", "DJANGO_")) and name not in ("DATABASE_URL", "PYTHONDONTWRITEBYTECODE")
    }
    with tempfile.TemporaryDirectory(prefix="regrind-test-", ignore_cleanup_errors=True) as folder:
        yield inherited | {"REGRIND_DATA": folder, "PYTHONUTF8": "1"}


def run_step(step: Step, options: Options, *, alone: bool = True) -> Result:
    """Run one step, its output as it comes, or in one piece at its end where others run beside it.

    A missing part fails it only where all parts must be there.
    """
    lacking = step.lacking()
    if lacking:
        return Result(step.name, FAILED if options.ci else LEFT_OUT, 0.0, lacking)
    heading = f"\n── {step.name} " + "─" * max(0, 60 - len(step.name))
    if alone:
        print(heading, flush=True)
    begun = time.monotonic()
    code, output = run_command(step, alone)
    outcome, reason = judge(code, step)
    if not alone:
        print(f"{heading}\n{output}", end="", flush=True)
    return Result(step.name, outcome, time.monotonic() - begun, reason)


def run_command(step: Step, alone: bool) -> tuple[int, str]:
    """The exit code, and what it printed, if that was not seen as it came."""
    drills = {DRILLS: os.environ[DRILLS]} if DRILLS in os.environ else {}
    with clean_environment() as environment:
        variables = environment | drills | step.environment
        if alone:
            return subprocess.run(step.command, cwd=ROOT, env=variables).returncode, ""
        done = subprocess.run(step.command, cwd=ROOT, env=variables, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
    return done.returncode, done.stdout.decode(errors="replace")


def run_together(steps: list[Step], options: Options) -> list[Result]:
    """Steps that keep one core busy each, as many at once as there are cores."""
    with ThreadPoolExecutor(CORES) as pool:
        return list(pool.map(lambda step: run_step(step, options, alone=False), steps))


def judge(code: int, step: Step) -> tuple[str, str]:
    """Outcome and reason of an exit code; a run without any test is a failure."""
    if code == NOTHING_COLLECTED and step.collects:
        return FAILED, "no test was collected"
    return (PASSED, "") if code == 0 else (FAILED, f"exit code {code}")


def draw_table(results: list[Result]) -> str:
    width = max(len(result.name) for result in results)
    lines = [
        f"{result.name:<{width}}  {result.seconds:7.1f} s  {result.outcome:<8}  {result.reason}".rstrip()
        for result in results
    ]
    return "\n".join(lines)


def draw_closing_line(results: list[Result]) -> str:
    count = {outcome: sum(result.outcome == outcome for result in results) for outcome in (PASSED, FAILED, LEFT_OUT)}
    line = f"{count[PASSED]} passed, {count[FAILED]} failed"
    return line + (f", {count[LEFT_OUT]} skipped" if count[LEFT_OUT] else "")


def exit_code(results: list[Result], steps: list[Step]) -> int:
    """0 if nothing failed and the tests ran at all, so that a run of no test never looks green."""
    tests = {step.name for step in steps if step.collects}
    ran = any(result.name in tests and result.outcome == PASSED for result in results)
    return 0 if ran and not any(result.outcome == FAILED for result in results) else 1


def run_all(options: Options) -> int:
    steps, results = list_steps(options), []
    with collected_drills() as drills:
        try:
            results += run_together([step for step in steps if not step.collects], options)
            for step in steps:
                if step.collects:
                    results.append(run_step(step, options))
        except KeyboardInterrupt:
            print("\nstopped", file=sys.stderr)
            return 130
        finally:
            tables = [draw_drills(drills), draw_table(results), draw_closing_line(results)]
            if results:
                print("\n" + "\n\n".join(filter(None, tables)), flush=True)
    return exit_code(results, steps)
