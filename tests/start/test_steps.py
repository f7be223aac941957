"""start.py test: which steps run, how each is judged, and the closing line."""

import os
import sys

import pytest

from scripts import steps
from scripts.steps import FAILED, LEFT_OUT, PASSED, Options, Result, Step


def names(options):
    return [step.name for step in steps.list_steps(options)]


def test_the_fast_choice_needs_neither_postgresql_nor_a_browser():
    fast, whole = names(Options(fast=True)), names(Options())
    assert set(fast) < set(whole)
    assert "tests on SQLite" in fast
    assert not [name for name in fast if "PostgreSQL" in name or "browser" in name or "demo" in name]


def test_the_whole_run_covers_both_databases_with_and_without_a_browser():
    assert {"tests on SQLite", "tests on PostgreSQL", "browser on SQLite", "browser on PostgreSQL"} <= set(
        names(Options())
    )


def test_long_drills_run_in_full_only():
    short = next(step for step in steps.list_steps(Options()) if step.name == "tests on SQLite")
    full = next(step for step in steps.list_steps(Options(full=True)) if step.name == "tests on SQLite")
    assert "not full" in " ".join(short.command)
    assert "not full" not in " ".join(full.command)
    assert full.environment == {"REGRIND_FULL": "1"}


def test_pytest_gets_what_follows_the_double_dash():
    for step in steps.list_steps(Options(pytest=("-k", "label"))):
        assert (step.command[-2:] == ("-k", "label")) == step.collects


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
    assert steps.judge(code, Step("tests", (), collects=True), Options())[0] == outcome


def test_a_narrowed_choice_may_leave_a_step_without_tests_but_not_in_ci():
    step = Step("tests", (), collects=True)
    assert steps.judge(5, step, Options(pytest=("-k", "x")))[0] == LEFT_OUT
    assert steps.judge(5, step, Options(pytest=("-k", "x"), ci=True))[0] == FAILED


def test_a_step_sees_nothing_of_the_shops_own_settings(monkeypatch, capfd):
    monkeypatch.setenv("DATABASE_URL", "postgres://shop@db/shop")
    monkeypatch.setenv("REGRIND_DATA", "the-shops-own")
    print_them = "import os; print(os.environ.get('DATABASE_URL'), os.environ['REGRIND_DATA'])"
    assert steps.run_step(Step("look", (sys.executable, "-c", print_them)), Options()).outcome == PASSED
    said = capfd.readouterr().out
    assert "None " in said
    assert "the-shops-own" not in said
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
