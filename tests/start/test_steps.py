"""start.py test: which steps run, how each is judged, and the closing line."""

import json
import os
import re
import sys

import pytest

from scripts import drills, steps
from scripts.steps import FAILED, LEFT_OUT, PASSED, Options, Result, Step


def names(options):
    return [step.name for step in steps.list_steps(options)]


GATES = {step.name for step in steps.gates()}


def test_the_fast_choice_is_every_gate_and_the_quick_tests():
    fast = names(Options(fast=True))
    assert set(fast[:-1]) == GATES
    assert fast[-1] == "quick tests"
    assert set(names(Options())) > GATES


def test_the_quick_tests_are_where_the_step_looks_for_them():
    assert [path for path in steps.QUICK if not (steps.ROOT / path).exists()] == []


def test_every_formatter_has_a_gate_that_only_looks():
    commands = [" ".join(step.command) for step in steps.gates()]
    assert [any(tool in command and "--check" in command for command in commands) for tool in FORMATTERS] == [True] * 3
    assert not [step.name for step in steps.formatters() if "--check" in step.command]


FORMATTERS = ("ruff format", "djlint templates", "scripts.format_static")


def test_the_whole_run_covers_both_databases_with_and_without_a_browser():
    assert {"tests on SQLite", "tests on PostgreSQL", "browser on SQLite", "browser on PostgreSQL"} <= set(
        names(Options())
    )


def test_the_browser_steps_read_their_folder_alone_which_holds_every_browser_test():
    commands = [step.command for step in steps.list_steps(Options()) if step.name.startswith("browser on")]
    assert [command[-1] for command in commands] == ["tests/browser"] * 2
    marked = re.compile(r"\bmark\.(browser|both)\b")
    tests = steps.ROOT / "tests"
    elsewhere = [path for path in tests.rglob("*.py") if path.relative_to(tests).parts[0] != "browser"]
    assert [path for path in elsewhere if marked.search(path.read_text(encoding="utf-8"))] == []


def test_long_drills_run_in_full_only():
    short = next(step for step in steps.list_steps(Options()) if step.name == "tests on SQLite")
    full = next(step for step in steps.list_steps(Options(full=True)) if step.name == "tests on SQLite")
    assert "not full" in " ".join(short.command)
    assert "not full" not in " ".join(full.command)
    assert full.environment == {"REGRIND_FULL": "1"}


@pytest.mark.parametrize("options", [Options(pytest=("tests/bench", "-k", "undo")), Options(True, True, True, ("x",))])
def test_with_pytest_arguments_nothing_but_pytest_runs(options):
    [step] = steps.list_steps(options)
    assert step.collects
    assert step.command[-len(options.pytest) :] == options.pytest
    assert "not postgres" in " ".join(step.command)


@pytest.mark.parametrize(
    ("argument", "runs"),
    [("tests/bench", False), ("tests/browser/test_pad.py", True), ("tests\\browser", os.sep != "/")],
)
def test_browser_tests_are_chosen_by_naming_their_folder(argument, runs):
    [step] = steps.list_steps(Options(pytest=(argument,)))
    assert ("not browser" not in " ".join(step.command)) == runs


def test_chosen_tests_that_pass_end_in_0_and_none_chosen_in_1(capfd):
    passing = "tests/start/test_steps.py::test_the_closing_line_counts"
    assert steps.run_all(Options(pytest=(passing, "-p", "no:cacheprovider"))) == 0
    assert steps.run_all(Options(pytest=("tests/start/test_steps.py", "-k", "nowhere", "-p", "no:cacheprovider"))) == 1
    assert "no test was collected" in capfd.readouterr().out


def lacking_step():
    return Step("browser", (sys.executable, "-c", "raise SystemExit(0)"), lambda: "no Chromium")


def test_a_missing_part_is_left_out_by_name():
    result = steps.run_step(lacking_step(), Options())
    assert (result.outcome, result.reason) == (LEFT_OUT, "no Chromium")


def test_a_missing_part_fails_where_all_must_be_there():
    result = steps.run_step(lacking_step(), Options(ci=True))
    assert (result.outcome, result.reason) == (FAILED, "no Chromium")


@pytest.mark.parametrize(("code", "outcome"), [(0, PASSED), (1, FAILED), (5, FAILED), (-9, FAILED)])
def test_a_step_is_judged_by_its_exit_code(code, outcome):
    assert steps.judge(code, Step("tests", (), collects=True))[0] == outcome


def test_steps_that_run_no_test_run_beside_each_other_and_each_prints_in_one_piece(monkeypatch, tmp_path, capsys):
    monkeypatch.setattr(steps, "CORES", 2)
    meet = """if True:
        import pathlib, sys, time
        own, other = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
        print("begun", own.name, flush=True)
        own.touch()
        until = time.monotonic() + 60
        while not other.exists() and time.monotonic() < until:
            time.sleep(0.01)
        print("met", other.name)
        sys.exit(0 if other.exists() else 1)"""
    one, two = str(tmp_path / "one"), str(tmp_path / "two")
    both = [Step("one", (sys.executable, "-c", meet, one, two)), Step("two", (sys.executable, "-c", meet, two, one))]
    assert [result.outcome for result in steps.run_together(both, Options())] == [PASSED, PASSED]
    lines = capsys.readouterr().out.splitlines()
    assert lines.index("met two") == lines.index("begun one") + 1
    assert lines.index("met one") == lines.index("begun two") + 1


def test_what_fails_beside_others_is_told_apart():
    bad, good = Step("style", (sys.executable, "-c", "raise SystemExit(3)")), Step("types", (sys.executable, "-c", ""))
    assert [result.reason for result in steps.run_together([bad, good], Options())] == ["exit code 3", ""]


def test_a_run_of_no_test_is_a_failure_and_says_so():
    assert steps.judge(5, Step("tests", (), collects=True)) == (FAILED, "no test was collected")


def test_a_step_sees_nothing_of_the_shops_own_settings(monkeypatch, capfd):
    monkeypatch.setenv("DATABASE_URL", "postgres://shop@db/shop")
    monkeypatch.setenv("REGRIND_DATA", "the-shops-own")
    print_them = "import os; print(os.environ.get('DATABASE_URL'), os.environ['REGRIND_DATA'])"
    assert steps.run_step(Step("look", (sys.executable, "-c", print_them)), Options()).outcome == PASSED
    output = capfd.readouterr().out
    assert "None " in output
    assert "the-shops-own" not in output
    assert os.environ["REGRIND_DATA"] == "the-shops-own"


RESULTS = [
    Result("tests on SQLite", PASSED, 12.34),
    Result("types", FAILED, 1.0, "exit code 1"),
    Result("browser", LEFT_OUT, 0.0, "no Chromium"),
]


def test_the_table_has_a_line_for_each_step_with_seconds_and_reason():
    table = steps.draw_table(RESULTS).splitlines()
    assert len(table) == 3
    assert "12.3 s" in table[0]
    assert table[2].endswith("left out  no Chromium")


def test_the_closing_line_counts():
    assert steps.draw_closing_line(RESULTS) == "1 passed, 1 failed, 1 skipped"
    assert steps.draw_closing_line(RESULTS[:1]) == "1 passed, 0 failed"


def exit_code(*results):
    tests = [Step("tests on SQLite", (), collects=True), Step("browser", (), collects=True)]
    return steps.exit_code(list(results), tests)


def test_a_failure_and_a_run_of_no_test_both_end_in_an_error():
    assert exit_code(RESULTS[0]) == 0
    assert exit_code(RESULTS[0], RESULTS[2]) == 0
    assert exit_code(RESULTS[0], RESULTS[1]) == 1
    assert exit_code(RESULTS[2]) == 1
    assert exit_code(Result("style", PASSED, 1.0)) == 1


def test_what_the_drills_counted_is_a_table_at_the_end(monkeypatch, capsys):
    lines = (
        '{"name": "forms in parallel", "database": "sqlite", "tries": 400, "lost": 0, "doubled": 0, "errors": 0, '
        '"seconds": 12.3}',
        '{"name": "disk full", "database": "postgresql", "tries": 24, "lost": null, "doubled": null, "errors": 2, '
        '"seconds": 0.4}',
    )
    write = f"import os; open(os.environ['REGRIND_DRILLS'], 'a').write({chr(10).join(lines)!r})"
    monkeypatch.setattr(steps, "list_steps", lambda options: [Step("drills", (sys.executable, "-c", write))])
    steps.run_all(Options())
    table = [line.split("  ") for line in capsys.readouterr().out.splitlines()]
    rows = [[cell.strip() for cell in row if cell.strip()] for row in table if len(row) > 4]
    assert ["forms in parallel", "sqlite", "400", "0", "0", "0", "12.3"] in rows
    assert ["disk full", "postgresql", "24", "-", "-", "2", "0.4"] in rows


def test_a_drill_that_several_tests_count_for_is_one_row_of_their_sums(tmp_path):
    row = {"name": "disk full", "database": "sqlite", "tries": 3, "lost": 0, "doubled": None, "errors": None}
    other = row | {"tries": 4, "lost": 1}
    file = tmp_path / "drills"
    file.write_text("\n".join(json.dumps(some | {"seconds": 1.5}) for some in (row, other, row | {"database": "x"})))
    same, alone = drills.read_drills(file)
    assert same == row | {"tries": 7, "lost": 1, "seconds": 3.0}
    assert alone == row | {"database": "x", "seconds": 1.5}


def test_a_run_within_a_run_leaves_the_outer_table_its_file(monkeypatch):
    monkeypatch.setenv(drills.DRILLS, "outer")
    with drills.collected_drills():
        assert os.environ[drills.DRILLS] != "outer"
    assert os.environ[drills.DRILLS] == "outer"


def test_without_a_drill_there_is_no_table_of_them(monkeypatch, capsys):
    monkeypatch.setattr(steps, "list_steps", lambda options: [Step("none", (sys.executable, "-c", ""))])
    steps.run_all(Options())
    assert "doubled" not in capsys.readouterr().out


def test_what_runs_once_is_there_and_left_out_on_postgresql():
    command = steps.pytest_step("tests on PostgreSQL", "not browser", steps.Options(full=True), postgres=True).command
    for one in steps.ONCE:
        assert (steps.ROOT / "tests" / one).exists(), one
        assert f"--ignore=tests/{one}" in command
