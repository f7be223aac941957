"""The verdict's sentences: each says what it counts, and one more tool is one."""

from dataclasses import replace

import pytest

from regrind.review.setups import Minutes
from regrind.review.verdicts import FEW, WORTH, Case, judge
from regrind.review.words import say_change, say_changes, say_few, say_rule, say_stock

MINUTES = Minutes(setting_up=13.6, each=3.9, lot=5.4, told_apart=True)
CASE = Case(good=54, ground=54, decided=58, minutes=MINUTES, price=950, rate=9500, wheel=30, new=1900)


def test_the_rule_says_that_it_counts_the_ground_tools():
    finished, ground, *_ = say_rule(judge(CASE), "USD")
    assert finished == "58 tools were finished; 54 of them ground, the others not."
    assert ground.startswith("The verdict counts the ground ones: 54 of 54 were good, 100\u202f%")
    assert say_rule(judge(replace(CASE, decided=54)), "USD")[0] == "54 tools were finished, all ground."


@pytest.mark.parametrize(("ground", "words"), [(4, "clear after 1 more tool"), (2, "clear after 3 more tools")])
def test_few_tools_say_how_many_more_are_awaited(ground, words):
    verdict = judge(replace(CASE, good=ground, ground=ground, decided=ground))
    assert (verdict.code, say_few(verdict)) == (FEW, f"only {ground} ground")
    assert [say_change(change, verdict) for change in verdict.changes if change.kind == "cases"] == [words]
    assert say_changes(verdict).startswith(words)


def test_an_open_verdict_says_what_would_make_it_worth_it():
    """The price is solved from the worse end of the interval, so it is worth it at that price or in that lot."""
    verdict = judge(replace(CASE, good=20, ground=24, decided=24, price=1150))
    assert verdict.code == FEW
    assert verdict.at_worst != verdict.at_best
    assert say_few(verdict).startswith("24 ground, not clear yet: “")
    said = say_changes(verdict)
    assert said.count("worth it") == 1
    assert "about" in said.partition(" more tool")[0]


def test_a_verdict_that_stands_says_no_number_of_tools():
    verdict = judge(replace(CASE, good=400, ground=400, decided=410, price=1060))
    assert verdict.code == WORTH
    assert "more tool" not in say_changes(verdict)


def test_nothing_off_the_sides_is_said_in_words():
    assert say_stock(0.4, "in") == ("none", "the end alone")
    assert say_stock(162_560, "in") == (".0032\u202fin", "0.081\u202fmm")
