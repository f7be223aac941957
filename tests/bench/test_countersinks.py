"""Countersinks and chamfer mills over the bench: by the face, indexed, the angle kept."""

import json
import math

import pytest

from regrind.bench.models import FinalCheck, Plan
from regrind.record.models import Customer, Family, Line
from regrind.shop.models import Wheel

from .plan_pages import where

pytestmark = pytest.mark.django_db
MM = 1_000_000
READ = {"diameter": "20 mm", "diameter_source": "measured", "damage": "depth", "rim_land": "0.25 mm", "primary": "10"}


@pytest.fixture
def sinks(at_bench, make_batch):
    """sinks(rim_land="0.3 mm") -> a line of two 20 mm countersinks of 90° with 3 flutes, inspected once for all."""

    def make(family=None, number=None, **typed):
        known = {"material": "HSS", "teeth": 3, "point_angle_cdeg": 9_000} | (family or {})
        sink = Family.objects.create(kind="chamfer", nominal_nm=20 * MM, **known)
        line = make_batch(2, of=sink, **({"number": number} if number else {})).lines.get()
        Customer.objects.update(unit="mm", under_nm=None, under_basis_points=None, smallest_nm=None)
        ids = list(line.pieces.order_by("number").values_list("pk", flat=True))
        answer = at_bench.post(f"/bench/{line}/inspect", pieces=ids, **READ | typed)
        assert answer.status_code == 302, dict(answer.context["form"].errors)
        return line, ids

    return make


def plan_shown(at_bench, line, ids):
    page = at_bench.get(f"/bench/{line}/plan")
    key, option = page.context["group"].key, page.context["picked"]
    answer = at_bench.post(f"/bench/{line}/plan", do="keep", pieces=ids, option=option, group=key)
    assert answer.status_code == 302, dict(answer.context["form"].errors)
    return page


def test_the_face_goes_back_by_the_wear_and_the_diameter_by_the_relief(at_bench, sinks):
    """f = wear + finish; index f / (D/2) rad; D₁ = D − 2 f tan 10° (docs/kinds-notes.md)."""
    line, ids = sinks()
    page = plan_shown(at_bench, line, ids)
    option = page.context["option"]
    stock = 0.25 + float(page.context["group"].case["allow"]["finish"].removesuffix(" mm"))
    assert (option["grind"], option["verdict"]) == (["face"], "grind")
    assert option["face_stock_mm"] == pytest.approx(stock)
    assert option["index_deg"] == pytest.approx(math.degrees(stock / 10))
    assert option["diameter_mm"] == pytest.approx(20 - 2 * stock * math.tan(math.radians(10)))
    assert (Plan.objects.get(copied_from=None).grinds, set(where(ids))) == ("face", {"ready_to_grind"})


def test_a_relief_that_nobody_read_is_said_to_be_assumed(at_bench, sinks):
    line, _ids = sinks(primary="")
    page = at_bench.get(f"/bench/{line}/plan")
    assert [row[0] for row in page.context["defaults"]] == ["relief"]


def test_what_is_lacking_is_named(at_bench, sinks):
    line, _ids = sinks({"point_angle_cdeg": None, "teeth": None})
    assert "It lacks the included angle, the number of teeth" in at_bench.get(f"/bench/{line}/plan").content.decode()


def test_card_steps_and_check(at_bench, sinks):
    line, ids = sinks()
    plan_shown(at_bench, line, ids)
    card = at_bench.get(f"/bench/{line}/setup-card").content.decode()
    for words in ("Index each flute by", "never feed parallel to the face", "Depth stop, set back by"):
        assert words in card, words
    steps = at_bench.get(f"/bench/{line}-1/explain").content.decode()
    assert "Index of each flute" in steps
    answer = at_bench.post(f"/bench/{line}/grind", pieces=ids, grinds=["face"], minutes="20")
    assert answer.status_code == 302, dict(answer.context["form"].errors)
    check = at_bench.get(f"/bench/{line}/check").content.decode()
    for words in ("borrowed for every tool ground on its face", "countersink, included angle 90°"):
        assert words in check, words
    typed = {"pieces": ids, "passed": "yes", "diameter": "19.9 mm", "overall": "60 mm"}
    refused = at_bench.post(f"/bench/{line}/check", **typed, point_angle="93")
    assert "included angle" in str(refused.context["form"].errors["point_angle"])
    good = at_bench.post(f"/bench/{line}/check", **typed, point_angle="90")
    assert good.status_code == 302, dict(good.context["form"].errors)
    states = {one["what"]: one["state"] for one in json.loads(FinalCheck.objects.get(in_full=True).findings)}
    assert states["included angle"] == "inside"


def test_a_tooth_that_gets_too_thin_is_scrap_and_has_to_be_read_for_its_limit(at_bench, sinks):
    """t − f: 2 mm − (0.25 + finish) is under 1.9 mm (docs/kinds-notes.md)."""
    line, _ids = sinks()
    Line.objects.filter(pk=line.pk).update(thickness_limit_nm=19 * MM // 10)
    page = at_bench.get(f"/bench/{line}/plan")
    assert "It lacks the thickness of a tooth, for its limit" in page.content.decode()
    thin, _ids = sinks({"teeth": 4}, number=7, tooth_thickness="2 mm")
    Line.objects.filter(pk=thin.pk).update(thickness_limit_nm=19 * MM // 10)
    page = at_bench.get(f"/bench/{thin}/plan")
    assert page.context["option"]["verdict"] == "scrap"
    assert "past a limit: the least thickness of a tooth agreed" in page.content.decode()


def test_the_grind_page_shows_what_comes_off_the_face_and_whose_wheel_it_offers(at_bench, sinks, wheel):
    other, other_ids = sinks({"teeth": 4}, number=77)
    plan_shown(at_bench, other, other_ids)
    Wheel.objects.update(abrasive="CBN")
    typed = {"pieces": other_ids, "grinds": ["face"], "minutes": "9", "wheel": wheel.pk, "wheel_sure": "on"}
    assert at_bench.post(f"/bench/{other}/grind", **typed).status_code == 302
    line, ids = sinks()
    Line.objects.filter(pk=line.pk).update(smallest_nm=16 * MM)
    page = plan_shown(at_bench, line, ids)
    assert "not under" in page.content.decode()
    grind = at_bench.get(f"/bench/{line}/grind")
    figures = {figure.label: figure.text for figure in grind.context["groups"][0].figures}
    assert figures["Index each flute by"] == dict(page.context["kind_figures"])["Index each flute by"]
    assert figures["Off the face, along the rim"].startswith("0.263")
    assert grind.context["hints"]["wheel"] == "as last used on other tools: choose what suits these"
    assert "What was taken, note, time" in grind.content.decode()
