"""Reamers over the bench: read, planned by the customer's hole, ground on the chamfer, held against the hole.

10 H7 is 10.000 to 10.015 (ISO 286), its new reamer 10.006 to 10.012: 15 % and 35 % of 15 µm, each up to a whole
micrometre (ISO 522 / DIN 1420, two makers' pages).
"""

import json
from datetime import date

import pytest

from regrind.bench.models import FinalCheck, Plan
from regrind.geometry.units import NARROW_SPACE
from regrind.office.papers.setup_card import setup_sheet
from regrind.record.models import Customer, Family, Line
from tests.receiving.conftest import Counter

from .plan_pages import where

pytestmark = pytest.mark.django_db
MM = 1_000_000
READ = {
    "diameter": "10.008 mm",
    "diameter_source": "measured",
    "damage": "depth",
    "worn_margin": "0.6 mm",
    "chamfer_length": "1.5 mm",
}


@pytest.fixture
def reamers(at_bench, make_batch):
    """reamers(hole="H7", worn_margin="0.6 mm") -> a line of three 10 mm reamers, inspected once for all."""

    def make(hole="H7", smaller="", family=None, **typed):
        known = {"flute_length_nm": 38 * MM, "material": "HSS", "teeth": 6} | (family or {})
        reamer = Family.objects.create(kind="reamer", nominal_nm=10 * MM, **known)
        line = make_batch(3, of=reamer).lines.get()
        Line.objects.filter(pk=line.pk).update(hole=hole, smaller_holes=smaller)
        Customer.objects.update(unit="mm")
        ids = list(line.pieces.order_by("number").values_list("pk", flat=True))
        answer = at_bench.post(f"/bench/{line}/inspect", pieces=ids, **READ | typed)
        assert answer.status_code == 302, dict(answer.context["form"].errors)
        return line, ids

    return make


def shown(at_bench, line):
    page = at_bench.get(f"/bench/{line}/plan")
    return page, dict(page.context.get("kind_figures") or ())


def planned(at_bench, line, ids):
    page, figures = shown(at_bench, line)
    option = page.context["picked"]
    at_bench.post(f"/bench/{line}/plan", do="keep", pieces=ids, option=option, group=page.context["group"].key)
    return page, figures


def test_a_worn_reamer_is_ground_on_its_chamfer_and_its_hole_is_judged(at_bench, reamers):
    line, ids = reamers()
    page, figures = planned(at_bench, line, ids)
    option = page.context["option"]
    finish = float(page.context["group"].case["allow"]["finish"].removesuffix(" mm"))
    assert option["grind"] == ["chamfer"]
    assert option["cut_back_mm"] == pytest.approx(0.6 + finish)
    assert option["chamfer_length_mm"] == pytest.approx(1.5 + 0.6 + finish)
    assert option["usable_length_mm"] == pytest.approx(38 - 1.5 - 0.6 - finish)
    hole = option["hole"]
    assert (hole["hole_lower_mm"], hole["hole_upper_mm"]) == (10.0, 10.015)
    assert (hole["reamer_lower_mm"], hole["reamer_upper_mm"]) == (10.006, 10.012)
    assert (option["verdict"], figures["In that hole"]) == ("grind", "fits as a new reamer does")
    assert where(ids) == ["ready_to_grind"] * 3
    assert Plan.objects.get(copied_from=None).grinds == "chamfer"


@pytest.mark.parametrize(
    ("diameter", "verdict", "words"),
    [
        ("10.003 mm", "grind", "below a new reamer, and serves"),
        ("9.996 mm", "ask", "too small for it"),
        ("10.014 mm", "ask", "above a new reamer: a test hole decides"),
    ],
)
def test_the_hole_decides(at_bench, reamers, diameter, verdict, words):
    line, _ids = reamers(diameter=diameter)
    page, figures = shown(at_bench, line)
    assert (page.context["option"]["verdict"], figures["In that hole"]) == (verdict, words)


def test_without_a_hole_the_page_says_where_to_write_it_and_the_customers_rule_stands_in(at_bench, reamers):
    line, _ids = reamers(hole="")
    page, figures = shown(at_bench, line)
    assert figures["Hole to ream"] == "not named: write it on the line"
    Customer.objects.update(hole="H7")
    page, figures = shown(at_bench, line)
    assert figures["Hole to ream"].startswith("10.000")
    assert "reams H7" in page.content.decode()


def test_a_smaller_hole_is_offered_and_the_customer_is_asked_first(at_bench, reamers):
    """9.8 H7: a new reamer goes up to 9.8 + 0.015 - 0.003 = 9.812; ground down to that it is always asked about."""
    line, ids = reamers(diameter="9.990 mm", smaller="9.8 H7")
    page, _figures = shown(at_bench, line)
    as_it_is, down = page.context["group"].options
    assert as_it_is["reasons"][0] == "outside_hole_lower"
    assert (down["grind"], down["diameter_mm"]) == (["margins", "chamfer"], 9.812)
    assert "new_size_to_agree" in down["reasons"]
    html = page.content.decode()
    assert "the customer is asked first" in at_bench.get(f"/bench/{line}/plan?option=1").content.decode()
    assert 'name="do"' in html
    refused = at_bench.post(f"/bench/{line}/plan", do="keep", pieces=ids, option=1, group=page.context["group"].key)
    assert refused.status_code == 422
    assert "has not agreed to a smaller hole" in refused.content.decode()


def test_what_the_plan_needs_besides_is_named(at_bench, reamers):
    line, _ids = reamers(chamfer_length="")
    assert "It lacks the length of the chamfer" in at_bench.get(f"/bench/{line}/plan").content.decode()


def test_a_hole_is_typed_on_the_line_and_a_wrong_one_is_refused_beside_it(front_desk, client, reamers):
    line, _ids = reamers()
    client.force_login(front_desk)
    counter = Counter(client)
    form = client.get(f"/receiving/line/{line}/change").context["form"]
    fields = {bound.html_name: str(bound.value()) for bound in form if bound.value() not in (None, "", False)}
    for text, said in (("10 D8", "class must be"), ("wide", "is no hole"), ("9 -0.1 -0.1", "upper")):
        answer = counter.post(f"/receiving/line/{line}/change", **fields | {"hole": text})
        assert answer.status_code == 422
        assert said in str(answer.context["form"].errors["hole"]), text
        assert text in answer.content.decode()
    answer = counter.post(f"/receiving/line/{line}/change", **fields | {"hole": "10 +0.040 +0.062"})
    assert answer.status_code == 302, dict(answer.context["form"].errors)
    assert Line.objects.get(pk=line.pk).hole_to_ream() == {
        "nominal": "10 mm",
        "lower_deviation": "0.04 mm",
        "upper_deviation": "0.062 mm",
    }


def test_the_setup_card_and_the_steps_behind_the_plan(at_bench, reamers):
    line, ids = reamers()
    planned(at_bench, line, ids)
    card = at_bench.get(f"/bench/{line}/setup-card").content.decode()
    for words in ("Chamfer, to the axis", "45°", "Chamfer after", "The margins are left alone", "test hole"):
        assert words in card, words
    assert "The settings of this are not worked out here" not in card
    steps = at_bench.get(f"/bench/{line}-1/explain").content.decode()
    for words in ("Cut-back that the wear needs", "A new reamer for the hole, at most", "Wear left to the hole"):
        assert words in steps, words


def test_the_check_holds_the_diameter_against_the_hole(at_bench, reamers):
    line, ids = reamers(diameter="10.003 mm")
    planned(at_bench, line, ids)
    answer = at_bench.post(f"/bench/{line}/grind", pieces=ids, grinds=["chamfer"], minutes="30")
    assert answer.status_code == 302, dict(answer.context["form"].errors)
    typed = {"pieces": ids, "passed": "yes", "chamfer_length": "2.2 mm"}
    refused = at_bench.post(f"/bench/{line}/check", **typed, diameter="9.999 mm")
    assert "hole to ream" in str(refused.context["form"].errors["diameter"])
    good = at_bench.post(f"/bench/{line}/check", **typed, diameter="10.003 mm")
    assert good.status_code == 302, dict(good.context["form"].errors)
    states = {one["what"]: one["state"] for one in json.loads(FinalCheck.objects.get(in_full=True).findings)}
    assert states["hole to ream"] == "inside"
    assert set(where(ids)) == {"released"}


def plain(text: str) -> str:
    return text.replace(NARROW_SPACE, " ")


def test_card_and_check_say_the_hole_and_what_is_accepted(at_bench, reamers):
    """Planned within ± 0.013 mm would be up to 10.021; the hole's reamer ends at 10.012 (ISO 522 / DIN 1420)."""
    line, ids = reamers()
    Customer.objects.update(under_nm=None, under_basis_points=None, smallest_nm=None)
    planned(at_bench, line, ids)
    limits = {figure.label: plain(figure.text) for figure in setup_sheet(line, 1, date(2026, 3, 2)).cards[0].limits}
    assert limits["Hole to ream"] == "10 mm H7 · 10.000 mm to 10.015 mm"
    assert limits["A new reamer for it"] == "10.006 mm to 10.012 mm"
    at_bench.post(f"/bench/{line}/grind", pieces=ids, grinds=["chamfer"], minutes="10")
    page = at_bench.get(f"/bench/{line}/check")
    told = {figure.label: plain(figure.text) for figure in page.context["planned"]}
    assert [text for label, text in told.items() if label.startswith("Accepted")] == ["10.000 mm to 10.012 mm"]
    assert told["Hole to ream"].endswith("10.000 mm to 10.015 mm")
    field = page.context["form"].fields["diameter"].widget.attrs
    assert (field["data-least"], field["data-most"]) == (10 * MM, 10_012_000)


def test_the_page_says_how_far_the_chamfer_can_grow_and_where_the_hole_is_too_close(at_bench, reamers):
    """By hand, 45°: the front shrinks by twice what comes off, so it lasts for its diameter over twice the cut."""
    line, _ids = reamers(worn_margin="1.4 mm", diameter="10.012 mm")
    page, figures = shown(at_bench, line)
    option = page.context["option"]
    more = int(option["front_diameter_mm"] / (2 * option["cut_back_mm"]))
    assert f"can grow {more} more times, then the front is cut back" in figures["Diameter of its front"]
    assert [row["verdict"] for row in option["limits"] if row["limit"] == "reamer_upper"] == ["too_close"]
    assert figures["In that hole"] == "fits as a new reamer does by its figure; the reading is too unsure to call it"
    html = page.content.decode()
    assert "At least" not in html
    assert "at most" in html
    assert "not under" not in html
