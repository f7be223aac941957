"""The answer of the customer names one of the ways to grind that were worked out."""

import re

import pytest

from regrind.bench.models import Plan
from regrind.bench.planning.actions import decide
from regrind.bench.revisions import newest
from regrind.record.models import Line

pytestmark = pytest.mark.django_db


@pytest.fixture
def asked_about(make_batch, look, bench_hand):
    """Two pieces whose end or sides may be ground, waiting for the customer's answer."""
    line = make_batch(2, number=417).lines.get()
    pieces = list(line.pieces.all())
    look(pieces)
    decide(by=bench_hand, pieces=pieces, expected={}, decision="ask", reason="the end or the sides?", chosen=0)
    return line


def list_ways(html):
    return re.findall(r'name="decision" value="(grind[^"]*)"[^>]*>\s*([^<]+?)\s*<', html)


def answer_with(desk, line, decision):
    return desk.post(
        f"/office/{line}/answer",
        f"/office/{line}/answer",
        pieces=[str(piece.pk) for piece in line.pieces.all()],
        decision=decision,
        who="Ms Lund",
        how="phone",
        agreed="go ahead",
        answered_at="",
    )


def test_each_option_is_a_choice_of_its_own(asked_about, desk):
    ways = list_ways(desk.get("/office/417-1/answer").content.decode())
    assert len(ways) > 1
    assert "grind" not in [value for value, _ in ways]
    assert any(words.startswith("grind the sides to ") for _, words in ways)


def test_the_way_that_was_chosen_is_what_the_bench_grinds(asked_about, desk):
    *_, (value, words) = list_ways(desk.get("/office/417-1/answer").content.decode())
    assert answer_with(desk, asked_about, value)["Location"] == "/office/417/"
    plans = newest(Plan, asked_about.pieces.all()).values()
    assert {(plan.decision, plan.chosen) for plan in plans} == {("grind", int(value.split(":")[2]))}
    assert all(part in words for plan in plans for part in plan.grinds.split())
    assert {plan.reason[:31] for plan in plans} == {"The customer agreed: go ahead ("}
    assert "The customer agreed: go ahead (Ms Lund" in desk.get("/bench/417-1/").content.decode()


def test_a_way_of_another_plan_is_refused(asked_about, desk):
    assert answer_with(desk, asked_about, "grind:999999:0").status_code == 422
    assert not Line.objects.get().answers.exists()
