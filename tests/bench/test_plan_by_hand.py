"""Tools that the plan does not work out: decided by hand, or read again."""

import re

import pytest

from regrind.bench.models import Inspection, Plan
from regrind.record.models import Family

from .plan_pages import where

pytestmark = pytest.mark.django_db
INCH = 25_400_000


@pytest.mark.parametrize(
    ("kind", "why"),
    [("rougher", "form-relieved"), ("form", "form-relieved")],
)
def test_the_sides_of_a_kind_that_loses_by_it_are_refused_with_the_reason(at_bench, of_kind, kind, why):
    line, ids = of_kind(kind)
    answer = at_bench.post(f"/bench/{line}/plan", do="plain", pieces=ids, grinds=["sides"])
    assert answer.status_code == 422
    assert why in answer.content.decode()
    assert Plan.objects.count() == 0


def test_a_step_drill_is_decided_by_hand(at_bench, of_kind):
    line, ids = of_kind("stepdrill")
    assert at_bench.post(f"/bench/{line}/plan", do="plain", pieces=ids).status_code == 422
    at_bench.post(f"/bench/{line}/plan", do="plain", pieces=ids, grinds=["point"], cut_back=".02")
    first = Plan.objects.order_by("pk").first()
    assert (first.grinds, first.cut_back_nm, first.case, first.decision) == ("point", 508_000, "", "grind")
    assert where(ids) == ["ready_to_grind"] * 2
    assert Inspection.objects.count() == 2
    assert at_bench.get("/bench/piece/1-1-1/plan").status_code == 200


@pytest.mark.parametrize(
    ("family", "said"),
    [({"nominal_nm": None}, "It lacks the nominal diameter"), ({"teeth": None}, "It lacks the number of teeth")],
)
def test_what_a_plan_lacks_is_said_with_where_to_give_it(at_bench, make_batch, inspect_typed, family, said):
    like = {"kind": "square", "nominal_nm": INCH // 4, "teeth": 3} | family
    line = make_batch(1, of=Family.objects.create(**like)).lines.get()
    typed = inspect_typed | ({"teeth": "", "method": ""} if "teeth" in family else {})
    at_bench.post(f"/bench/{line}/inspect", pieces=list(line.pieces.values_list("pk", flat=True)), **typed)
    html = at_bench.get(f"/bench/{line}/plan").content.decode()
    assert said in html
    assert "Inspect again" in html


def test_a_tool_that_cannot_be_computed_says_so_in_words_and_can_still_be_decided(at_bench, make_batch, inspect_typed):
    line = make_batch(1).lines.get()
    ids = list(line.pieces.values_list("pk", flat=True))
    at_bench.post(f"/bench/{line}/inspect", pieces=ids, sure="on", **inspect_typed | {"damage_depth": ".1"})
    html = at_bench.get(f"/bench/{line}/plan").content.decode()
    assert "Damage depth: reaches the core" in html
    assert "damage[" not in html
    at_bench.post(f"/bench/{line}/plan", do="returned_unground", pieces=ids, reason="cracked to the core")
    assert where(ids) == ["released"]


def test_the_one_thing_that_is_ground_on_a_step_drill_is_ticked(at_bench, of_kind):
    line, _ids = of_kind("stepdrill")
    assert re.search(r'name="grinds" value="point"[^>]*checked', at_bench.get(f"/bench/{line}/plan").content.decode())
