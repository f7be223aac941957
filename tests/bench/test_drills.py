"""Twist drills over the bench: what is read, what the plan says, its steps and its setup card."""

import json
import re

import pytest

from regrind.bench.models import FinalCheck, Inspection, Plan
from regrind.record.models import Family, Line

from .plan_pages import where

pytestmark = pytest.mark.django_db
MM = 1_000_000
READ = {"diameter": "9.985 mm", "diameter_source": "measured", "damage": "depth", "worn_margin": "1.2 mm"}


@pytest.fixture
def drills(at_bench, make_batch):
    """drills(worn_margin="1.2 mm") -> a line of three 10 mm drills, inspected once for all, with its pieces."""

    def make(family=None, count=3, **typed):
        known = {"flute_length_nm": 87 * MM, "point_angle_cdeg": 11_800, "material": "HSS"} | (family or {})
        drill = Family.objects.create(kind="drill", nominal_nm=10 * MM, **known)
        line = make_batch(count, of=drill).lines.get()
        ids = list(line.pieces.order_by("number").values_list("pk", flat=True))
        answer = at_bench.post(f"/bench/{line}/inspect", pieces=ids, **READ | typed)
        assert answer.status_code == 302, dict(answer.context["form"].errors)
        return line, ids

    return make


def shown(at_bench, line):
    page = at_bench.get(f"/bench/{line}/plan")
    return page, dict(page.context.get("kind_figures") or ())


def test_a_tray_of_drills_is_inspected_with_two_readings_and_planned_on_the_page(at_bench, drills):
    line, ids = drills()
    page, figures = shown(at_bench, line)
    option = page.context["option"]
    assert option["grind"] == ["point"]
    assert option["cut_back_mm"] == pytest.approx(1.2 + finish_mm(page))
    assert figures["Lip relief at the corner"] == "12° ± 2°"
    assert "Web after" not in figures
    at_bench.post(f"/bench/{line}/plan", do="keep", pieces=ids, option=0, group=page.context["group"].key)
    assert where(ids) == ["ready_to_grind"] * 3
    plan = Plan.objects.get(copied_from=None)
    assert (plan.grinds, plan.verdict) == ("point", "grind")
    assert plan.cut_back_nm == round(option["cut_back_mm"] * MM)
    assert json.loads(plan.case)["measured"]["diameter_at"] == "1.2 mm"


def finish_mm(page) -> float:
    """The shop's own finish allowance of an end, in mm."""
    text = page.context["group"].case["allow"]["finish"]
    return float(text.removesuffix(" mm"))


def test_the_worked_drill_comes_out_the_same_on_the_page(at_bench, drills):
    """10 mm, 118°, a chip of 0.5 mm square to the lip at the corner: 0.5 / sin 59° = 0.583 (right triangle)."""
    line, _ids = drills(worn_margin="", lip_chip="0.5 mm", web="1.5 mm")
    page, figures = shown(at_bench, line)
    assert page.context["option"]["cut_back_mm"] == pytest.approx(0.5 / 0.8571673 + finish_mm(page), abs=1e-6)
    assert figures["Web after"].endswith("thin it")


def test_a_sharp_drill_is_sound(at_bench, drills):
    line, _ids = drills(damage="nothing", worn_margin="")
    page, figures = shown(at_bench, line)
    assert page.context["option"]["verdict"] == "sound"
    assert figures["Cut-back"] == "nothing"


def test_a_diameter_read_over_the_worn_margin_is_asked_about(at_bench, drills):
    line, _ids = drills(diameter_worn="on")
    page, _figures = shown(at_bench, line)
    assert page.context["option"]["reasons"] == ["diameter_read_on_wear"]
    assert "read it behind the wear" in page.content.decode()


def test_worn_without_a_reading_and_sound_with_one_are_refused_beside_the_field(at_bench, make_batch):
    line = make_batch(1, of=Family.objects.create(kind="drill", nominal_nm=10 * MM)).lines.get()
    ids = list(line.pieces.values_list("pk", flat=True))
    for typed, name, said in (
        ({"worn_margin": ""}, "worn_margin", "Write worn margin or corner chip"),
        ({"damage": "nothing"}, "damage", "Choose worn or chipped"),
    ):
        answer = at_bench.post(f"/bench/{line}/inspect", pieces=ids, **READ | typed)
        assert answer.status_code == 422
        assert said in str(answer.context["form"].errors[name])
    assert Inspection.objects.count() == 0


def test_a_flute_that_nobody_knows_is_asked_for_beside_the_wear(at_bench, drills):
    line, _ids = drills({"flute_length_nm": None})
    html = at_bench.get(f"/bench/{line}/plan").content.decode()
    assert "It lacks the flute length" in html
    assert [bound.name for bound in at_bench.get(f"/bench/{line}/inspect").context["form"].damage_fields()] == [
        "worn_margin",
        "corner_chip",
        "flute_length",
    ]


@pytest.mark.parametrize(("material", "degrees"), [("HSS", "118°"), ("carbide", "140°"), ("HSS-Co", "135°")])
def test_a_point_angle_that_nobody_gave_is_the_usual_one_and_said_to_be_assumed(at_bench, drills, material, degrees):
    """Usual point angles by material of the drill: common practice."""
    line, _ids = drills({"point_angle_cdeg": None, "material": material})
    page, _figures = shown(at_bench, line)
    assert any(degrees in words and "point angle" in words for words in page.context["group"].assumed)


def test_more_than_half_of_the_flute_is_asked_about(at_bench, drills):
    line, _ids = drills(worn_margin="50 mm")
    page, _figures = shown(at_bench, line)
    assert page.context["option"]["verdict"] == "ask"
    assert "more than half of the flute" in page.content.decode()


def test_the_setup_card_says_how_the_point_is_ground(at_bench, drills):
    line, ids = drills(web="1.6 mm")
    page, _figures = shown(at_bench, line)
    at_bench.post(f"/bench/{line}/plan", do="keep", pieces=ids, option=0, group=page.context["group"].key)
    html = at_bench.get(f"/bench/{line}/setup-card").content.decode()
    for words in ("Point angle", "118°", "Lip relief at the corner", "Thin the web", "never sharpened", "binds"):
        assert words in html, words
    assert "118° point before, 118° point after" in html  # the sketch that the paper has
    assert "The settings of this are not worked out here" not in html
    grind = at_bench.get(f"/bench/{line}/grind").content.decode()
    assert "Off the point" in grind
    assert "Off the end" not in grind
    assert "Off the point" in at_bench.get(f"/bench/{line}/").content.decode()
    assert at_bench.get(f"/bench/piece/{line}-1/plan").status_code == 200


def test_each_step_of_a_drills_plan_has_its_formula_and_source(at_bench, drills):
    line, ids = drills(web="1.6 mm", corner_chip="0.8 mm")
    page, _figures = shown(at_bench, line)
    at_bench.post(f"/bench/{line}/plan", do="keep", pieces=ids, option=0, group=page.context["group"].key)
    explained = at_bench.get(f"/bench/{line}-1/explain")
    html = explained.content.decode()
    for words in ("Cut-back that the wear needs", "Web after", "Deepest hole after", "Lip relief at the corner"):
        assert words in html, words
    items = [item for _, part in explained.context["parts"] for item in part]
    assert all(item.source.text if hasattr(item.source, "text") else str(item.source) for item in items)


def ground_of(at_bench, line, ids):
    """Planned and ground by what the pages offer."""
    page, _figures = shown(at_bench, line)
    at_bench.post(f"/bench/{line}/plan", do="keep", pieces=ids, option=0, group=page.context["group"].key)
    answer = at_bench.post(f"/bench/{line}/grind", pieces=ids, grinds=["point"], minutes="30")
    assert answer.status_code == 302, dict(answer.context["form"].errors)


def test_the_check_holds_point_angle_and_lip_height_against_the_drills_own_limits(at_bench, drills):
    """118° ± 3° (common practice); an oversize of 0.05 mm lets the lips differ by 0.05 cot 59° = 0.0300 mm."""
    line, ids = drills()
    Line.objects.filter(pk=line.pk).update(oversize_nm=50_000)
    ground_of(at_bench, line, ids)
    typed = {"pieces": ids, "passed": "yes", "overall": "130 mm", "point_angle": "122", "lip_height": "0.04 mm"}
    refused = at_bench.post(f"/bench/{line}/check", **typed)
    assert refused.context["form"].errors.keys() >= {"point_angle", "lip_height"}
    assert "121.0°" in str(refused.context["form"].errors["point_angle"])
    good = at_bench.post(f"/bench/{line}/check", **typed | {"point_angle": "119", "lip_height": "0.02 mm"})
    assert good.status_code == 302, dict(good.context["form"].errors)
    findings = json.loads(FinalCheck.objects.get(in_full=True).findings)
    states = {one["what"]: one["state"] for one in findings}
    assert states == {"point angle": "inside", "lip height difference": "inside"}
    lip = next(one for one in findings if one["what"] == "lip height difference")
    assert lip["most_nm"] == pytest.approx(30_043, abs=1)
    html = at_bench.get(f"/bench/{line}/checked").content.decode()
    assert "Lip height difference" in html
    assert set(where(ids)) == {"released"}


def test_the_customers_holes_are_limits_of_the_plan(at_bench, drills):
    """Flute 87 less 1.5 diameters of 9.985 for the chips, less the cut-back: 72.02 less the cut (read: one maker)."""
    line, _ids = drills()
    Line.objects.filter(pk=line.pk).update(hole_depth_nm=60 * MM)
    page, _figures = shown(at_bench, line)
    limit = next(one for one in page.context["option"]["limits"] if one["limit"] == "hole_depth")
    assert limit["verdict"] == "inside"
    assert limit["value"] == pytest.approx(87 - 1.5 * 9.985 - page.context["option"]["cut_back_mm"])
    assert page.context["option"]["regrinds_left"] == int((limit["value"] - 60) / page.context["option"]["cut_back_mm"])
    Line.objects.filter(pk=line.pk).update(hole_depth_nm=75 * MM)
    page, _figures = shown(at_bench, line)
    assert page.context["option"]["verdict"] == "ask"
    assert "the customer&#x27;s deepest hole" in page.content.decode()


def test_the_counter_asks_for_holes_where_the_point_is_ground_alone(front_desk, client, drills, make_batch):
    line, _ids = drills()
    client.force_login(front_desk)
    assert "hole_depth" in client.get(f"/receiving/line/{line}/change").context["form"].fields
    other = make_batch(1, number=7).lines.get()
    assert "hole_depth" not in client.get(f"/receiving/line/{other}/change").context["form"].fields


def test_the_point_is_drawn_before_and_after_at_one_scale(at_bench, drills):
    """118° of 10 mm: the tip stands 9.985/2 cot 59° = 3.000 before the corner, then as now (right triangle)."""
    line, _ids = drills()
    page, _figures = shown(at_bench, line)
    drawing = str(page.context["sketches"][0])
    assert "118° point before, 118° point after" in drawing
    tips = {look: _tip_y(drawing, look) for look in ("was", "will")}
    corners = {look: _corner_y(drawing, look) for look in ("was", "will")}
    assert corners["was"] - tips["was"] == pytest.approx(corners["will"] - tips["will"], abs=0.2)
    px = (corners["was"] - tips["was"]) / 3.0
    assert (corners["will"] - corners["was"]) / px == pytest.approx(page.context["option"]["cut_back_mm"], abs=0.02)


def _points(drawing, look):
    path = re.search(rf'<path d="M([^"]*)" class="{look}"', drawing)[1]
    return [tuple(map(float, point.split())) for point in path.replace("Z", "").split(" L")]


def _tip_y(drawing, look):
    return min(y for _, y in _points(drawing, look))


def _corner_y(drawing, look):
    return sorted(y for _, y in _points(drawing, look))[2]
