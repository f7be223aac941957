"""How was this worked out: the steps of a stored plan, read back from its page."""

import html
import re

import pytest
from django.test import Client

from regrind.bench.models import Plan
from regrind.bench.planning.step_words import PARTS, STEPS
from regrind.bench.revisions import newest
from regrind.geometry.bibliography import short_reference
from regrind.geometry.case import read
from regrind.geometry.example import CASE
from regrind.geometry.explain import list_steps
from regrind.geometry.plan import work_out
from regrind.geometry.result import as_dict
from tests.events import make_event

from .tray import plan_by_example


@pytest.fixture
def planned(make_batch, bench_hand):
    """planned(2) -> pieces of a line with the worked case of the plan's paper kept for them, as like pieces."""

    def make(count=1, case=CASE, **more):
        pieces = list(make_batch(count).lines.get().pieces.order_by("number"))
        for piece in pieces:
            type(piece).objects.filter(pk=piece.pk).update(status="inspected")
            piece.status = "inspected"
        options = as_dict(work_out(read(case)))["options"] if case else []
        plan_by_example(pieces, bench_hand, case=case, chosen=0 if options else None, **more)
        return pieces

    return make


@pytest.fixture
def hand(bench_hand) -> Client:
    client = Client()
    client.force_login(bench_hand)
    return client


def shown(answer) -> str:
    """The page as it is read: no tags, plain spaces."""
    text = html.unescape(re.sub(r"<[^>]*>", " ", answer.content.decode()))
    return re.sub(r"[\s\u202f\u00a0]+", " ", text)


def test_the_worked_case_is_told_in_the_order_a_colleague_would_check_it(hand, planned):
    [piece] = planned()
    text = shown(hand.get(f"/bench/{piece}/explain"))
    places = [text.index(heading) for heading in dict.fromkeys(PARTS.values()) if heading in text]
    assert len(places) == 7
    assert places == sorted(places)


def test_the_worked_case_shows_the_figures_of_an_independent_model(hand, planned):
    """Cut-back 0.3048, diameter 6.1163, usable length 17.221 mm, rake 3.225° (independent models of the case)."""
    [piece] = planned()
    text = shown(hand.get(f"/bench/{piece}/explain"))
    for figure in ("0.3048 mm", "6.1163 mm", "17.2212 mm", "3.225°"):
        assert figure in text


def test_each_step_stands_there_with_its_formula_and_source(hand, planned):
    [piece] = planned()
    text = shown(hand.get(f"/bench/{piece}/explain"))
    steps = list_steps(CASE, as_dict(work_out(read(CASE))), 0)
    assert len(steps) > 20
    for step in steps:
        assert re.sub(r"\s+", " ", step.formula) in text
        assert str(short_reference(step.source)) in text


def test_every_step_of_the_computation_has_words_and_a_heading():
    seen = {step.name for option in range(3) for step in list_steps(CASE, as_dict(work_out(read(CASE))), option)}
    for name in seen:
        assert name.startswith("limit_") or name in STEPS
        assert ("limit" if name.startswith("limit_") else name) in PARTS


def test_another_option_is_shown_when_asked_and_a_foolish_one_is_not(hand, planned):
    [piece] = planned()
    address = f"/bench/{piece}/explain"
    assert "1.5748 mm" in shown(hand.get(address, {"option": "1"}))
    for foolish in ("99", "-1", "x", "9" * 5000, "²"):
        assert hand.get(address, {"option": foolish}).context["option"] == 0


def test_a_like_piece_says_where_it_was_measured(hand, planned):
    first, second = planned(2)
    text = shown(hand.get(f"/bench/{second}/explain"))
    assert f"As piece {first} : measured and worked out there" in text
    assert "6.1163 mm" in text


def test_the_newest_plan_counts(hand, planned, bench_hand):
    [piece] = planned()
    row = newest(Plan, [piece])[piece.pk]
    Plan.objects.create(
        piece=piece,
        revision=row.revision + 1,
        event=make_event(bench_hand),
        decision="grind",
        case=row.case,
        answer=row.answer,
        chosen=1,
    )
    assert hand.get(f"/bench/{piece}/explain").context["option"] == 1


def test_a_piece_without_a_plan_says_what_to_do_first(hand, make_batch):
    piece = make_batch(1).lines.get().pieces.get()
    answer = hand.get(f"/bench/{piece}/explain")
    assert answer.status_code == 200
    assert "No plan is stored for this piece yet" in shown(answer)


def test_a_plan_without_a_computation_says_so(hand, planned):
    [piece] = planned(case={}, decision="ask", reason="a form tool")
    assert "decided without a computation: a form tool" in shown(hand.get(f"/bench/{piece}/explain"))


def test_a_tool_with_no_option_left_says_so(hand, planned):
    case = CASE | {"damage": [{"end_depth": "0.750 in", "what": "broken off"}]}
    [piece] = planned(case=case, decision="ask")
    assert "No option was left" in shown(hand.get(f"/bench/{piece}/explain"))


def test_a_total_reading_is_told_as_its_worst_and_best(hand, planned):
    measured = {"diameter": "0.2498 in", "method": "v-anvil", "tir": "4 tenths"}
    [piece] = planned(case=CASE | {"measured": measured}, decision="ask")
    text = shown(hand.get(f"/bench/{piece}/explain"))
    assert "Lowest tooth, at the worst" in text
    assert "Off a tooth, radial, at most" in text


def test_usual_values_are_marked_as_such(hand, planned):
    tool = {key: value for key, value in CASE["tool"].items() if key != "rake_deg"}
    [piece] = planned(case=CASE | {"tool": tool}, decision="ask")
    text = shown(hand.get(f"/bench/{piece}/explain"))
    assert "Assumed, not measured" in text
    assert re.search(r"rake 12\.000° ± \d\.\d{3}° \(k = 1\)", text)
    assert "Rake carried down" in text


def test_a_stored_plan_that_the_program_would_now_work_out_otherwise_still_opens(hand, planned):
    [piece] = planned()
    row = newest(Plan, [piece])[piece.pk]
    answer = row.answer.replace('"cut_back_mm":0.3048', '"cut_back_mm":0.4')
    assert answer != row.answer
    Plan.objects.create(
        piece=piece, revision=2, event=make_event(row.by), decision="grind", case=row.case, answer=answer, chosen=0
    )
    page = hand.get(f"/bench/{piece}/explain")
    assert page.status_code == 200
    assert "its steps cannot be shown again" in shown(page)


def test_it_prints_and_needs_no_script(hand, planned):
    [piece] = planned()
    page = hand.get(f"/bench/{piece}/explain").content.decode()
    assert "css/explain.css" in page
    assert "hx-" not in page.split("<main")[1]
    with open("static/css/explain.css") as css:
        assert "@media print" in css.read()


def test_an_unknown_piece_is_not_found(hand, db):
    assert hand.get("/bench/417-9-9/explain").status_code == 404
    assert hand.get("/bench/nonsense/explain").status_code == 404
