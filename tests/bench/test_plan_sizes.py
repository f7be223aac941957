"""One or two sizes for a line, and the size of a matched set."""

import json
import re

import pytest

from regrind.bench.models import CommonSize, Plan
from regrind.geometry.case import read
from regrind.geometry.plan import work_out_at
from regrind.geometry.result import Answer, as_dict
from regrind.record.models import Customer, Family

from .plan_pages import html_of, keep, where

pytestmark = pytest.mark.django_db
INCH = 25_400_000
TWO = {"depths": ["4 thou", "4 thou"], "diameter": [".2498", ".2480"]}


def test_pieces_inspected_apart_share_the_size_that_cleans_most(at_bench, apart):
    """By hand: .2498 and .2480 in with .0045 in off each radius leave .2408 and .2390 in; on steps of .005 in down
    from .2500 in both come clean at .2350 in, and the first alone at .2400 in."""
    line, ids = apart(**TWO)
    html = at_bench.get(f"/bench/{line}/plan").content.decode()
    assert re.findall(r"(\d) of 2</td>", html) == ["1", "2"]
    assert "1-2 clean from .2390" in html
    at_bench.post(f"/bench/{line}/plan", do="size", sizes=[str(round(0.235 * INCH))])
    assert {plan.diameter_nm for plan in Plan.objects.all()} == {round(0.235 * INCH)}
    told = json.loads(CommonSize.objects.get().sizes)
    assert told == [{"diameter_nm": 5_969_000, "pieces": ["1-1", "1-2"]}, {"left_out": []}]
    assert where(ids) == ["ready_to_grind"] * 2


def test_two_sizes_send_each_piece_to_the_larger_that_fits(at_bench, apart):
    line, _ids = apart(**TWO)
    at_bench.post(f"/bench/{line}/plan", do="size", sizes=["6096000", "5969000"])
    assert list(Plan.objects.order_by("piece").values_list("diameter_nm", flat=True)) == [6_096_000, 5_969_000]


def test_a_piece_that_is_left_out_stays_inspected_and_is_named(at_bench, apart):
    line, ids = apart(**TWO)
    at_bench.post(f"/bench/{line}/plan", do="size", sizes=["6096000"])
    assert where(ids) == ["ready_to_grind", "inspected"]
    assert json.loads(CommonSize.objects.get().sizes)[-1] == {"left_out": ["1-2"]}


def test_a_matched_set_takes_one_size_and_leaves_none_out(at_bench, apart):
    line, ids = apart(**TWO, matched={"matched": True})
    for sizes in (["6096000"], ["6096000", "5969000"]):
        refused = at_bench.post(f"/bench/{line}/plan", do="size", sizes=sizes)
        assert refused.status_code == 422
        assert "A matched set leaves at one size" in refused.content.decode()
    assert Plan.objects.count() == 0
    assert keep(at_bench, line, ids[:1]).status_code == 422
    at_bench.post(f"/bench/{line}/plan", do="size", sizes=["5969000"])
    assert set(Plan.objects.values_list("diameter_nm", flat=True)) == {5_969_000}


def test_a_matched_set_may_differ_by_its_tolerance(at_bench, apart):
    """.2390 in lies .001 in under the step size .2400 in: within a tolerance of .001 in the set leaves there."""
    line, _ids = apart(**TWO, matched={"matched": True, "match_tolerance_nm": round(0.001 * INCH)})
    assert at_bench.post(f"/bench/{line}/plan", do="size", sizes=["6096000"]).status_code == 302
    assert list(Plan.objects.order_by("piece").values_list("diameter_nm", flat=True)) == [6_096_000, 6_070_600]


def test_a_line_of_unlike_pieces_offers_the_common_size_as_the_next_thing(at_bench, apart):
    line, _ids = apart(**TWO)
    html = html_of(at_bench, line, "?at=0")
    assert 'class="next" form="taking" name="do" value="size"' in html
    assert html.count('class="next"') == 1
    assert "Plan this option for 1 piece" in html


def test_the_best_two_sizes_are_ticked_where_they_are_asked_for(at_bench, apart):
    line, _ids = apart(**TWO)
    for query, ticked in (("", []), ("?best=2", ["6096000", "5969000"])):
        html = html_of(at_bench, line, query)
        assert re.findall(r'name="sizes" value="(\d+)" checked', html) == ticked


def by_page(at_bench, line, query=""):
    return at_bench.get(f"/bench/{line}/plan{query}").context


@pytest.fixture
def half_inch(at_bench, apart):
    """half_inch(["10 thou", "17.25 thou"]) -> half inch four-flute carbide cutters at .4550 in, apart, that deep."""

    def make(depths):
        Family.objects.update(
            nominal_nm=INCH // 2,
            teeth=4,
            helix_cdeg=3000,
            core_nm=round(0.3 * INCH),
            rake_cdeg=800,
            primary_relief_cdeg=1200,
            secondary_relief_cdeg=2400,
            primary_land_nm=round(0.018 * INCH),
            flute_length_nm=round(1.25 * INCH),
        )
        Customer.objects.update(under_nm=round(0.1 * INCH))
        return apart(depths, teeth="4", method="micrometer", diameter=".4550", reach="1.1", sure="on")

    return make


def test_what_one_piece_costs_the_others_is_said_before_anything_is_ticked(at_bench, half_inch):
    """By hand: .4550 less 2 (.0100 + .0005) is .4340 in, less 2 (.01725 + .0005) is .4195 in; on steps of .0025 in the
    four share .4175 in, and three alone .4325 in."""
    Customer.objects.update(step_nm=round(0.0025 * INCH))
    line, _ids = half_inch(["10 thou", "10 thou", "10 thou", "17.25 thou"])
    page = by_page(at_bench, line)
    assert [piece.cleans[0].diameter_nm for piece in page["table"].pieces] == [11_023_600] * 3 + [10_655_300]
    assert (
        "To share one size, all pieces go down to .4175\u202fin, because 1-4 needs that much taken off. "
        "Without it, the other 3 pieces can stay at .4325\u202fin"
    ) in html_of(at_bench, line)
    ticked = {row.nm for row in page["offered"]}
    assert round(0.4175 * INCH) not in ticked
    assert 'value="10604500" checked' not in html_of(at_bench, line)


def test_a_piece_is_planned_with_its_figures_at_the_size_it_takes(at_bench, half_inch):
    """At .4175 in the rake of the three is below zero: they are stored so, and only with a reason."""
    Customer.objects.update(step_nm=round(0.0025 * INCH))
    line, ids = half_inch(["10 thou", "10 thou", "10 thou", "17.25 thou"])
    own = by_page(at_bench, line)["groups"][0].answer["options"][0]
    size = round(0.4175 * INCH)
    refused = at_bench.post(f"/bench/{line}/plan", do="size", sizes=[str(size)])
    assert refused.status_code == 422
    assert "worse off than by their own plan" in refused.content.decode()
    assert where(ids) == ["inspected"] * 4
    at_bench.post(f"/bench/{line}/plan", do="size", sizes=[str(size)], reason="one size asked for")
    plan = Plan.objects.order_by("pk").first()
    option = json.loads(plan.answer)["options"][plan.chosen]
    there = work_out_at(read(json.loads(plan.case)), round(option["cut_back_mm"] * 1e6), size)
    assert option == as_dict(Answer((there,), 0, there.verdict, (), ()))["options"][0]
    assert (plan.diameter_nm, plan.verdict) == (size, "ask")
    assert option["rake_deg"] < 0 < own["rake_deg"]
    assert option["primary_land_mm"] > own["primary_land_mm"]
    assert plan.usable_nm == round(option["usable_length_mm"] * 1e6)
    assert "a common size, below" in at_bench.get("/bench/1-1-1/explain").content.decode()
    assert at_bench.get("/bench/piece/1-1-1/plan").status_code == 200


def test_pieces_that_need_the_end_alone_take_no_common_size(at_bench, apart):
    """.2498 in with .060 in of damaged corners keeps its sides; the other two are ground."""
    line, ids = apart(["4 thou", "4 thou", ""], damage=["depth", "depth", "corners"], reach=[".7", ".7", ".06"])
    page = by_page(at_bench, line)
    assert page["table"].ends_only == ("1-3",)
    assert "By their own plan, the end alone: 1-3." in html_of(at_bench, line)
    at_bench.post(f"/bench/{line}/plan", do="size", sizes=[str(page["sizes"][-1].nm)])
    assert where(ids) == ["ready_to_grind", "ready_to_grind", "inspected"]


def test_a_metric_tool_steps_in_millimetres(at_bench, apart):
    """The shop's step of .005 in is .1 mm for a tool of 6 mm: no 5.873 mm."""
    Family.objects.update(nominal_nm=6_000_000)
    line, _ids = apart(["4 thou", "6 thou"], diameter="5.98 mm")
    sizes = [row.nm for row in by_page(at_bench, line)["sizes"]]
    assert sizes
    assert all(nm % 100_000 == 0 for nm in sizes)


def test_a_size_that_costs_nobody_anything_is_proposed_and_ticked(at_bench, half_inch):
    line, _ids = half_inch(["5 thou", "5.2 thou"])
    page = by_page(at_bench, line)
    assert [row.nm for row in page["offered"]] == [round(0.44 * INCH)]
    assert "1-1, 1-2 can share .4400\u202fin: one setup fewer; how many regrinds are left is not known." in html_of(
        at_bench, line
    )
    assert all(fit.lost.endswith("of diameter, regrinds left not known") for fit in page["fits"])
