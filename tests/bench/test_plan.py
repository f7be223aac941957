"""The plan of a line: options taken, asked about, refused, and what the page says."""

import json
import re

import pytest

from regrind.bench.models import CommonSize, Grind, Plan
from regrind.geometry.case import read
from regrind.geometry.plan import work_out
from regrind.geometry.result import as_dict
from regrind.office.actions import record_answer
from regrind.record.models import Customer, Family, Line, Piece, Tool
from tests.events import make_event

from .plan_pages import group_on, keep, next_on, where

pytestmark = pytest.mark.django_db
INCH = 25_400_000


def test_a_kept_option_is_stored_with_its_case_and_answer_and_sends_the_pieces_ready_to_grind(at_bench, inspected):
    line, ids = inspected(3)
    assert keep(at_bench, line, ids).status_code == 302
    first, *others = Plan.objects.order_by("pk")
    case, answer = json.loads(first.case), json.loads(first.answer)
    assert as_dict(work_out(read(case))) == answer
    assert first.diameter_nm == round(answer["options"][0]["diameter_mm"] * 1e6)
    assert (first.decision, first.grinds, first.chosen) == ("grind", "sides", 0)
    assert first.edition
    assert all(row.copied_from_id == first.pk and row.case == row.answer == "" for row in others)
    assert where(ids) == ["ready_to_grind"] * 3


def test_the_diameter_after_agrees_with_a_sum_by_hand(at_bench, inspected):
    """.2498 in, .004 in deep on each tooth alike, .0005 in to finish: .2498 - 2 (.0040 + .0005) = .2408 in."""
    line, ids = inspected(1)
    keep(at_bench, line, ids)
    assert Plan.objects.get().diameter_nm == round(0.2408 * INCH)


def test_the_page_marks_what_was_assumed_and_names_the_limits(at_bench, inspected):
    line, _ = inspected(1)
    html = at_bench.get(f"/bench/{line}/plan").content.decode()
    for said in ("assumed", "the customer&#x27;s smallest diameter", "recommended", "Cross-section", "core diameter"):
        assert said in html


def test_an_option_that_is_not_there_is_refused_and_nothing_is_stored(at_bench, inspected):
    line, ids = inspected(2)
    answer = keep(at_bench, line, ids, option=300)
    assert answer.status_code == 422
    assert "not among those worked out" in answer.content.decode()
    assert Plan.objects.count() == 0
    assert where(ids) == ["inspected"] * 2


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"do": "keep"}, "Choose one of the options"),
        ({"do": "keep", "option": "x"}, "Enter a whole number"),
        ({"do": "ask", "reason": ""}, "Say why"),
        ({"do": "scrap"}, "Say why"),
        ({"do": "size"}, "Take one size, or two"),
        ({"do": "size", "sizes": ["1"]}, "not among those worked out"),
        ({"do": "keep", "option": "0", "pieces": []}, "Tick the pieces that are meant"),
        ({"do": "melt"}, ""),
    ],
)
def test_what_is_wrong_with_a_decision_is_said_and_nothing_is_stored(at_bench, inspected, typed, said):
    line, ids = inspected(2)
    answer = at_bench.post(f"/bench/{line}/plan", **{"group": group_on(at_bench, line), "pieces": ids} | typed)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert Plan.objects.count() == CommonSize.objects.count() == 0
    assert where(ids) == ["inspected"] * 2


def test_not_ground_needs_a_reason_and_goes_back_returned_unground(at_bench, inspected):
    line, ids = inspected(2)
    at_bench.post(f"/bench/{line}/plan", do="returned_unground", pieces=ids[:1], reason="shank bent")
    piece = Piece.objects.get(pk=ids[0])
    assert (piece.status, piece.result, piece.reason) == ("released", "returned_unground", "shank bent")
    assert where(ids[1:]) == ["inspected"]


def test_scrap_is_refused_until_the_customer_was_asked_where_they_want_that(at_bench, inspected):
    line, ids = inspected(2)
    Customer.objects.update(never_scrap_unasked=True)
    refused = at_bench.post(f"/bench/{line}/plan", do="scrap", pieces=ids, reason="cracked")
    assert refused.status_code == 422
    assert "ask the customer first about 1-1, 1-2" in refused.content.decode()
    assert 'value="cracked"' in refused.content.decode()
    assert where(ids) == ["inspected"] * 2


def test_grinding_is_refused_until_the_customer_was_asked_where_they_always_want_that(
    at_bench, inspected, front_desk, bench_hand
):
    line, ids = inspected(2)
    Customer.objects.update(always_ask=True)
    assert keep(at_bench, line, ids).status_code == 422
    at_bench.post(
        f"/bench/{line}/plan", do="ask", pieces=ids, reason="grind to .2408?", group=group_on(at_bench, line), option=0
    )
    assert where(ids) == ["waiting"] * 2
    asked = Plan.objects.order_by("pk").first()
    assert (asked.decision, asked.chosen) == ("ask", 0)
    record_answer(
        by=front_desk, line=line, pieces=list(line.pieces.all()), who="Ann", how="phone", agreed="yes", decision="grind"
    )
    assert where(ids) == ["ready_to_grind"] * 2


def test_a_reason_that_is_tapped_becomes_a_question_with_its_figures(at_bench, inspected):
    line, ids = inspected(1)
    Line.objects.update(smallest_nm=round(0.2600 * INCH))
    tapped = {"usual_reason": "under your smallest diameter", "group": group_on(at_bench, line), "option": 0}
    at_bench.post(f"/bench/{line}/plan", do="ask", pieces=ids, **tapped)
    asked = Plan.objects.get()
    assert re.fullmatch(
        r"It is \.2\d{3}\u202fin now, under your smallest, \.2600\u202fin\. Shall we grind the [a-z ]+\?", asked.reason
    )
    assert all(part in asked.reason for part in asked.grinds.split())


def test_going_past_the_customers_smallest_diameter_needs_their_word(at_bench, inspected):
    line, ids = inspected(1)
    Line.objects.update(smallest_nm=round(0.2450 * INCH))
    html = at_bench.get(f"/bench/{line}/plan?option=0").content.decode()
    assert "outside" in html
    answer = keep(at_bench, line, ids, option=0)
    assert answer.status_code == 422
    assert "goes past what Brookfield Tooling allows" in answer.content.decode()


def test_a_stale_page_answers_409(at_bench, inspected):
    line, ids = inspected(2)
    group = group_on(at_bench, line)
    keep(at_bench, line, ids[:1])
    at_bench.post(
        f"/bench/{line}/inspect",
        pieces=ids[:1],
        diameter=".2498",
        diameter_source="measured",
        damage="nothing",
        reach="",
        method="v-anvil",
        teeth="3",
        seen=f"{ids[0]}:1",
    )
    stale = at_bench.post(
        f"/bench/{line}/plan", do="returned_unground", group=group, pieces=ids[:1], reason="late", seen=""
    )
    assert stale.status_code == 409
    assert "late" in stale.content.decode()


def test_the_same_decision_sent_twice_is_kept_once(at_bench, inspected):
    line, ids = inspected(2)
    sent = {"do": "ask", "pieces": ids, "reason": "?", "once": "k" * 20, "seen": ""}
    assert [at_bench.client.post(f"/bench/{line}/plan", sent).status_code for _ in range(2)] == [302, 302]
    assert Plan.objects.count() == 2


def test_nothing_seen_needs_no_grinding(at_bench, make_batch, inspect_typed):
    line = make_batch(1).lines.get()
    ids = list(line.pieces.values_list("pk", flat=True))
    at_bench.post(
        f"/bench/{line}/inspect", pieces=ids, **inspect_typed | {"damage": "nothing", "damage_depth": "", "reach": ""}
    )
    assert "nothing: it is sound" in at_bench.get(f"/bench/{line}/plan").content.decode()


def test_a_kept_plan_can_be_seen_as_it_was(at_bench, inspected):
    line, ids = inspected(2)
    assert at_bench.get("/bench/piece/1-1-2/plan").headers["Location"] == f"/bench/{line}/plan"
    keep(at_bench, line, ids)
    html = at_bench.get("/bench/piece/1-1-2/plan").content.decode()
    assert "As 1-1-1" in html
    assert "Cross-section" in html


def test_a_second_plan_starts_from_what_the_first_grind_left(at_bench, inspected, inspect_typed, bench_hand):
    """The flute of .750 in lost the stylus distance of .060 in at the first grind, and loses it only once."""
    line, ids = inspected(1)
    keep(at_bench, line, ids)
    plan, piece = Plan.objects.get(), Piece.objects.get()
    assert plan.usable_nm == round(0.690 * INCH)
    Grind.objects.create(piece=piece, revision=1, event=make_event(bench_hand), plan=plan, setup="a", grinds="sides")
    at_bench.post(
        f"/bench/{line}/inspect", pieces=ids, **inspect_typed | {"diameter": ".2408", "damage_depth": "1 thou"}
    )
    keep(at_bench, line, ids)
    second = Plan.objects.order_by("revision").last()
    assert json.loads(second.case)["tool"]["sides_ground_before"] is True
    assert (second.revision, second.usable_nm) == (2, round(0.690 * INCH))
    assert second.diameter_nm == round((0.2408 - 2 * 0.0015) * INCH)


def test_a_group_is_inspected_again_as_a_whole(at_bench, inspected):
    line, _ids = inspected(20)
    group = group_on(at_bench, line)
    assert f"/inspect?group={group}" in at_bench.get(f"/bench/{line}/plan").content.decode()
    html = at_bench.get(f"/bench/{line}/inspect?group={group}").content.decode()
    assert len(re.findall(r'name="pieces" value="\d+"[^>]*checked', html)) == 20
    assert 'name="diameter" value=".2498"' in html


def test_a_kept_plan_leads_to_how_it_was_worked_out(at_bench, inspected):
    line, ids = inspected(1)
    keep(at_bench, line, ids)
    html = at_bench.get("/bench/piece/1-1-1/plan").content.decode()
    there = re.search(r'href="([^"]+)">How this was worked out', html).group(1)
    assert at_bench.get(there).status_code == 200


def test_a_followed_tool_starts_from_what_its_last_visit_left(at_bench, make_batch, inspect_typed, bench_hand):
    """The sides lost the stylus distance at the visit before; here the end alone is cut and nothing more is lost."""
    before, now = (make_batch(1).lines.get() for _ in range(2))
    tool = Tool.objects.create(tag="AB34C", customer=now.batch.customer, family=now.family)
    Piece.objects.update(tool=tool)
    old = before.pieces.get()
    plan = Plan.objects.create(
        piece=old, revision=1, event=make_event(bench_hand), decision="grind", usable_nm=round(0.690 * INCH)
    )
    Grind.objects.create(piece=old, revision=1, event=make_event(bench_hand), plan=plan, setup="a", grinds="sides")
    ids = list(now.pieces.values_list("pk", flat=True))
    at_bench.post(f"/bench/{now}/inspect", pieces=ids, **inspect_typed)
    keep(at_bench, now, ids)
    case = json.loads(Plan.objects.get(piece=ids[0]).case)
    assert case["tool"]["sides_ground_before"] is True
    assert Plan.objects.get(piece=ids[0]).usable_nm == round(0.690 * INCH)


def test_a_flute_length_as_when_new_is_marked_assumed_on_a_tool_that_was_ground_before(
    at_bench, make_batch, inspect_typed
):
    line = make_batch(1).lines.get()
    Family.objects.filter(pk=line.family_id).update(flute_length_nm=round(0.75 * INCH))
    Piece.objects.update(before_elsewhere=1)
    ids = list(line.pieces.values_list("pk", flat=True))
    at_bench.post(f"/bench/{line}/inspect", pieces=ids, **inspect_typed)
    assert "as when new, though it was ground before" in at_bench.get(f"/bench/{line}/plan").content.decode()
    at_bench.post(f"/bench/{line}/inspect", pieces=ids, **inspect_typed | {"flute_length": ".7"})
    assert "as when new" not in at_bench.get(f"/bench/{line}/plan").content.decode()


def test_what_is_to_do_next_is_to_ask_where_the_option_asks(at_bench, make_batch, inspect_typed):
    line = make_batch(2).lines.get()
    Customer.objects.update(smallest_nm=INCH * 247 // 1000)
    ids = list(line.pieces.values_list("pk", flat=True))
    at_bench.post(f"/bench/{line}/inspect", pieces=ids, **inspect_typed)
    options = at_bench.get(f"/bench/{line}/plan").context["group"].options
    verdicts = [option["verdict"] for option in options]
    assert {"ask", "grind"} <= set(verdicts)
    for n, verdict in enumerate(verdicts):
        assert next_on(at_bench, line, n) == {"ask": "ask", "grind": "keep"}[verdict]
