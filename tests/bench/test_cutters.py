"""Side cutters, saws and keyseat cutters over the bench: periphery and sides apart, saws never on their sides."""

import json
from datetime import date

import pytest
from django.db.models import Exists

from regrind.bench.models import FinalCheck, Plan
from regrind.bench.readings import diameter_loss
from regrind.bench.revisions import grind_of_sides
from regrind.office.papers.common import gather
from regrind.office.papers.job_lines import job_line
from regrind.office.papers.setup_card import setup_sheet
from regrind.record.models import Customer, Family, Line
from regrind.review.rows import Row
from regrind.review.sums import Sums
from regrind.shop.models import Wheel

from .conftest import Page
from .plan_pages import where

pytestmark = pytest.mark.django_db
MM = 1_000_000
READ = {"diameter": "99.7 mm", "diameter_source": "measured", "damage": "depth", "width": "10 mm"}


@pytest.fixture
def cutters(at_bench, make_batch):
    """cutters("saw", rim_depth="0.3 mm") -> a line of two 100 mm cutters with 20 teeth, inspected once for all."""

    def make(kind="sidecutter", narrowest=None, family=None, gullet_limit=None, reach_limit=None, **typed):
        known = {"material": "HSS", "teeth": 20} | (family or {})
        line = make_batch(2, of=Family.objects.create(kind=kind, nominal_nm=100 * MM, **known)).lines.get()
        limits = {"narrowest_nm": narrowest, "gullet_limit_nm": gullet_limit, "reach_limit_nm": reach_limit}
        Line.objects.filter(pk=line.pk).update(**limits)
        Customer.objects.update(unit="mm", under_nm=None, under_basis_points=None, smallest_nm=None)
        ids = list(line.pieces.order_by("number").values_list("pk", flat=True))
        answer = at_bench.post(f"/bench/{line}/inspect", pieces=ids, **READ | typed)
        assert answer.status_code == 302, dict(answer.context["form"].errors)
        return line, ids

    return make


def shown(at_bench, line):
    page = at_bench.get(f"/bench/{line}/plan")
    return page, dict(page.context.get("kind_figures") or ())


def allowed(page, name) -> float:
    return float(page.context["group"].case["allow"][name].removesuffix(" mm"))


def plan_shown(at_bench, line, ids):
    page, figures = shown(at_bench, line)
    key, option = page.context["group"].key, page.context["picked"]
    answer = at_bench.post(f"/bench/{line}/plan", do="keep", pieces=ids, option=option, group=key)
    assert answer.status_code == 302, dict(answer.context["form"].errors)
    return page, figures


def test_a_mark_on_the_periphery_takes_its_depth_and_the_runout_off_the_radius(at_bench, cutters):
    """R = D/2 − runout − depth − finish: with the total reading alone every tooth may be the lowest."""
    line, ids = cutters(rim_depth="0.3 mm", tir="0.05 mm", gullet="6 mm")
    page, figures = plan_shown(at_bench, line, ids)
    option = page.context["option"]
    off = 0.3 + 0.05 + allowed(page, "finish_radial")
    assert option["grind"] == ["periphery"]
    assert option["diameter_mm"] == pytest.approx(99.7 - 2 * off)
    assert option["gullet_depth_mm"] == pytest.approx(6 - off)
    assert figures["Width after"].startswith("10.000")
    plan = Plan.objects.get(copied_from=None)
    assert (plan.grinds, plan.verdict) == ("periphery", "grind")
    assert where(ids) == ["ready_to_grind"] * 2


def test_a_side_that_is_ground_makes_it_narrower_and_is_asked_about_until_a_width_is_agreed(at_bench, cutters):
    line, ids = cutters(left_depth="0.2 mm", left_reach="4 mm")
    page, _figures = shown(at_bench, line)
    sides, past = page.context["group"].options
    assert (sides["grind"], past["grind"]) == (["left"], ["periphery"])
    assert sides["width_mm"] == pytest.approx(10 - 0.2 - allowed(page, "finish_side"))
    assert past["diameter_mm"] == pytest.approx(99.7 - 2 * (4 + allowed(page, "finish_radial")))
    assert sides["reasons"] == ["width_not_agreed"]
    refused = at_bench.post(f"/bench/{line}/plan", do="keep", pieces=ids, option=0, group=page.context["group"].key)
    assert "has not agreed to a narrower cutter" in refused.content.decode()
    Line.objects.filter(pk=line.pk).update(narrowest_nm=95 * MM // 10)
    page, _figures = shown(at_bench, line)
    assert page.context["group"].options[0]["verdict"] == "grind"
    assert "left side" in page.content.decode()


def test_a_saw_is_never_ground_on_its_sides(at_bench, cutters):
    line, ids = cutters("saw", left_depth="0.1 mm", left_reach="1.5 mm", width="2 mm")
    page, _figures = shown(at_bench, line)
    assert [option["grind"] for option in page.context["group"].options] == [["periphery"]]
    refused = at_bench.post(f"/bench/{line}/plan", do="plain", pieces=ids, grinds=["left"])
    assert refused.status_code == 422
    assert "narrowest" not in at_bench.get(f"/bench/{line}/plan").context["form"].fields


def test_a_keyseat_cutter_tells_how_deep_it_still_reaches(at_bench, cutters):
    """R − neck/2: (99.7 − 2 (0.3 + finish) − 60) / 2."""
    line, _ids = cutters("keyseat", rim_depth="0.3 mm", neck="60 mm")
    page, figures = shown(at_bench, line)
    finish = allowed(page, "finish_radial")
    assert page.context["option"]["reach_mm"] == pytest.approx((99.7 - 60) / 2 - 0.3 - finish)
    assert "Reach below the neck" in figures


def test_what_is_lacking_is_named(at_bench, cutters):
    line, _ids = cutters(width="", rim_land="0.2 mm", family={"teeth": None})
    html = at_bench.get(f"/bench/{line}/plan").content.decode()
    assert "It lacks the number of teeth, the width, the rake for the wear land, the primary relief" in html
    form = at_bench.get(f"/bench/{line}/inspect").context["form"]
    assert form.asks_teeth
    assert "teeth" in form.fields


@pytest.mark.parametrize(
    ("shape", "words"),
    [("11V9", "Cup wheel: tooth rest below the centre"), ("1A1", "Straight wheel: its centre above the tool")],
)
def test_the_setup_card_says_how_rest_or_wheel_stands(at_bench, cutters, shape, words):
    """α 5°, R 49.4: rest 49.4 sin 5° = 4.31 below; wheel 75 sin 5° = 6.54 above, hollow over 1 mm land 0.0017, mean
    4.618° (handbook rule 0.0087 D α, and the arc's sagitta; docs/kinds-notes.md)."""
    line, ids = cutters(rim_depth="0.25 mm", primary="5", rake="10", land="1 mm", secondary="12")
    plan_shown(at_bench, line, ids)
    wheel = Wheel.objects.create(name="W", abrasive="CBN", shape=shape, grit="B91", bond="resin", diameter_nm=150 * MM)
    html = at_bench.get(f"/bench/{line}/setup-card?wheel={wheel.pk}&distance=&mode=wet").content.decode()
    assert words in html
    assert ("Hollow of the land" in html) == (shape == "1A1")
    assert "The settings of this are not worked out here" not in html


def test_each_step_behind_the_plan_has_its_words(at_bench, cutters):
    line, ids = cutters(rim_depth="0.3 mm", gullet="6 mm", rake="10", primary="6", secondary="12", land="1 mm")
    plan_shown(at_bench, line, ids)
    html = at_bench.get(f"/bench/{line}-1/explain").content.decode()
    for words in ("Radius that is left", "Width after", "Gullet left", "Rake at the new edge"):
        assert words in html, words


def test_the_check_holds_the_width_against_the_least_that_was_agreed(at_bench, cutters):
    line, ids = cutters(left_depth="0.2 mm", left_reach="4 mm", narrowest=95 * MM // 10)
    page, _figures = plan_shown(at_bench, line, ids)
    answer = at_bench.post(f"/bench/{line}/grind", pieces=ids, grinds=["left"], minutes="30")
    assert answer.status_code == 302, dict(answer.context["form"].errors)
    typed = {"pieces": ids, "passed": "yes", "diameter": "99.7 mm"}
    refused = at_bench.post(f"/bench/{line}/check", **typed, width="9.4 mm")
    assert "width" in str(refused.context["form"].errors["width"])
    good = at_bench.post(f"/bench/{line}/check", **typed, width="9.75 mm")
    assert good.status_code == 302, dict(good.context["form"].errors)
    states = {one["what"]: one["state"] for one in json.loads(FinalCheck.objects.get(in_full=True).findings)}
    assert states["width"] == "inside"
    assert page.context["option"]["grind"] == ["left"]


def test_the_job_sheet_has_room_for_the_width_and_says_it_after(at_bench, cutters):
    line, ids = cutters(rim_depth="0.3 mm")
    plan_shown(at_bench, line, ids)
    line = Line.objects.get(pk=line.pk)
    pieces = list(line.pieces.order_by("number"))
    sheet = job_line(line, pieces, gather(pieces))
    assert sheet.write_ins == ("⌀ as ground", "Width", "Runout", "By")
    assert "width after 10.000\u202fmm" in sheet.pieces[0].note
    assert sheet.pieces[0].diameter_after is not None


def test_only_the_damaged_teeth_of_a_saw_are_written_and_the_plan_names_the_worst(at_bench, cutters):
    """40 teeth, two of them written: R = D/2 − the tooth's height − its mark − finish, by hand."""
    saw = {"rim_depth": "", "tir": "0.06 mm", "width": "2 mm", "family": {"teeth": 40}}
    rows = {
        "row_1_number": "7",
        "row_1_tooth": "-0.02 mm",
        "row_1_rim_depth": "0.3 mm",
        "row_2_number": "31",
        "row_2_tooth": "-0.05 mm",
        "row_2_rim_depth": "0.2 mm",
    }
    line, ids = cutters("saw", **saw, **rows)
    page, figures = plan_shown(at_bench, line, ids)
    option = page.context["option"]
    assert option["diameter_mm"] == pytest.approx(99.7 - 2 * (0.02 + 0.3 + allowed(page, "finish_radial")))
    said = figures["Worst on the periphery"].replace("\u202f", " ")
    assert said == "tooth 7: 0.020 mm below the highest, damage 0.300 mm deep"
    measured = page.context["group"].case["measured"]
    assert len(measured["tooth_readings"]) == 40
    assert measured["tooth_readings"][0] == "-0.06 mm"
    assert measured["teeth_not_read"] == [n for n in range(1, 41) if n not in (7, 31)]
    html = page.content.decode()
    assert "teeth 1 to 6, 8 to 30, 32 to 40, not read: as low as the total reading allows" in html
    assert "no damage on teeth 1 to 6, 8 to 30, 32 to 40" in html
    again = at_bench.get(f"/bench/{line}/inspect?piece={ids[0]}").context["form"]
    assert [again[f"row_{n}_number"].value() for n in (1, 2, 3)] == ["7", "31", None]
    assert again["row_1_rim_depth"].value() == "0.3 mm"
    assert "row_1_left_depth" not in again.fields


def test_each_side_is_ground_by_its_deepest_tooth(at_bench, cutters):
    line, ids = cutters(
        rim_depth="",
        narrowest=9 * MM,
        row_1_number="3",
        row_1_left_depth="0.1 mm",
        row_1_left_reach="4 mm",
        row_2_number="12",
        row_2_left_depth="0.2 mm",
        row_2_left_reach="3 mm",
    )
    page, figures = plan_shown(at_bench, line, ids)
    assert page.context["option"]["width_mm"] == pytest.approx(10 - 0.2 - allowed(page, "finish_side"))
    assert figures["Worst on the left side"].startswith("tooth 12: damage 0.200")
    sheet = job_line(Line.objects.get(pk=line.pk), list(line.pieces.all()), gather(list(line.pieces.all())))
    assert "worst on the left side: tooth 12" in sheet.pieces[0].note
    html = at_bench.get(f"/bench/{line}/setup-card").content.decode()
    assert "Worst on the left side" in html


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"row_1_rim_depth": "0.2 mm"}, "row_1_number", "which tooth"),
        ({"row_1_number": "7"}, "row_1_rim_depth", "Write what was read on tooth 7"),
        ({"row_1_number": "21", "row_1_rim_depth": "0.2 mm"}, "row_1_number", "From 1 to 20 teeth"),
        ({"row_1_number": "7", "row_1_rim_depth": "0.2 mm", "row_1_rim_land": "0.2 mm"}, "row_1_rim_land", "one of"),
        ({"row_1_number": "7", "row_1_left_depth": "0.2 mm"}, "row_1_left_reach", "how far in"),
        ({"row_1_number": "7", "row_1_tooth": "-0.02 mm"}, "tir", "total reading"),
        ({"row_1_number": "7", "row_1_tooth": "-0.2 mm", "tir": "0.1 mm"}, "row_1_tooth", "Lower than the total"),
        (
            {"row_1_number": "7", "row_1_rim_depth": "0.2 mm", "row_2_number": "7", "row_2_tooth": "0 mm"},
            "row_2_number",
            "written above",
        ),
    ],
)
def test_what_is_wrong_with_a_tooth_stands_beside_it(at_bench, cutters, typed, field, words):
    line, ids = cutters(rim_depth="0.3 mm")
    page = at_bench.post(f"/bench/{line}/inspect", pieces=ids, **READ | {"rim_depth": "0.3 mm"} | typed)
    assert words in str(page.context["form"].errors[field])
    assert [part.key for part in page.context["form"].parts() if part.is_open] == [
        "more" if field == "tir" else "teeth"
    ]


def test_where_every_tooth_is_read_the_highest_is_0_and_no_total_is_asked_for(at_bench, cutters):
    family = {"teeth": 4}
    rows = {"rows": "6"} | {f"row_{n}_number": str(n) for n in range(1, 5)}
    heights = {f"row_{n}_tooth": f"-0.0{n} mm" for n in range(1, 5)}
    line, ids = cutters(rim_depth="0.3 mm", family=family, **rows, **heights | {"row_1_tooth": "0 mm"})
    page, figures = shown(at_bench, line)
    assert page.context["option"]["diameter_mm"] == pytest.approx(99.7 - 2 * (0.34 + allowed(page, "finish_radial")))
    assert "taken on the lowest tooth, since none was named" in figures["Worst on the periphery"]
    wrong = at_bench.post(f"/bench/{line}/inspect", pieces=ids, **READ | {"rim_depth": "0.3 mm"} | rows | heights)
    assert "highest tooth reads 0" in str(wrong.context["form"].errors["row_1_tooth"])
    both = rows | heights | {"row_1_tooth": "0 mm", "tir": "0.05 mm"}
    wrong = at_bench.post(f"/bench/{line}/inspect", pieces=ids, **READ | {"rim_depth": "0.3 mm"} | both)
    assert "leave the total reading empty" in str(wrong.context["form"].errors["tir"])


def test_more_rows_are_there_when_asked_for_and_what_was_typed_stays(at_bench, cutters):
    line, ids = cutters(rim_depth="0.3 mm")
    typed = {f"row_{n}_number": "" for n in range(1, 7)} | {"row_1_number": "7", "row_1_rim_depth": "0.2 mm"}
    form = at_bench.post(f"/bench/{line}/inspect", more="marks", pieces=ids, **READ | typed).context["form"]
    assert len(form.row_numbers) == 12
    assert form["row_1_rim_depth"].value() == "0.2 mm"
    assert [part.key for part in form.parts() if part.is_open] == ["teeth"]


def test_a_gullet_past_its_limit_is_scrap_and_the_message_names_the_limit(at_bench, cutters):
    """6 mm − 0.3 − finish falls under 5.9 mm: read tooth by tooth or not at all, the gullet decides."""
    line, _ids = cutters(rim_depth="0.3 mm", gullet="6 mm", gullet_limit=59 * MM // 10)
    page, _figures = shown(at_bench, line)
    assert page.context["option"]["verdict"] == "scrap"
    assert "past a limit: the least depth of the gullets agreed" in page.content.decode()
    Line.objects.filter(pk=line.pk).update(gullet_limit_nm=5 * MM)
    assert shown(at_bench, line)[0].context["option"]["verdict"] == "grind"


def test_a_reach_under_its_limit_is_asked_about(at_bench, cutters):
    line, _ids = cutters("keyseat", rim_depth="0.3 mm", neck="60 mm", reach_limit=198 * MM // 10)
    page, _figures = shown(at_bench, line)
    assert page.context["option"]["reasons"] == ["outside_reach"]
    html = page.content.decode()
    assert "past a limit: the least reach below the neck agreed" in html
    assert "reach below the neck 19.800" in html


@pytest.mark.parametrize(
    ("kind", "limit", "words"),
    [("saw", "gullet_limit", "the depth of the gullet"), ("keyseat", "reach_limit", "the diameter of the neck")],
)
def test_what_is_held_to_a_limit_has_to_be_read(at_bench, cutters, kind, limit, words):
    line, _ids = cutters(kind, rim_depth="0.3 mm", **{limit: 5 * MM})
    assert f"It lacks {words}, for" in at_bench.get(f"/bench/{line}/plan").content.decode()


def test_the_counter_agrees_the_limits_that_each_kind_has(front_desk, client, cutters):
    line, _ids = cutters("keyseat", rim_depth="0.3 mm")
    client.force_login(front_desk)
    desk = Page(client)
    form = desk.get(f"/receiving/line/{line}/change").context["form"]
    assert {"narrowest", "gullet_limit", "reach_limit", "smallest"} <= set(form.fields)
    assert not {"chamfer", "other_radius", "hole", "thickness_limit", "shortest"} & set(form.fields)
    typed = {name: form[name].value() or "" for name in form.fields} | {"gullet_limit": "3 mm", "reach_limit": "4 mm"}
    answer = desk.post(f"/receiving/line/{line}/change", **typed)
    assert answer.status_code == 302, dict(answer.context["form"].errors)
    line.refresh_from_db()
    assert (line.gullet_limit_nm, line.reach_limit_nm) == (3 * MM, 4 * MM)
    fresh = desk.get(f"/receiving/line/{line}/change").context["form"]
    typed |= {name: fresh[name].value() or "" for name in fresh.fields if fresh[name].is_hidden}
    wrong = desk.post(f"/receiving/line/{line}/change", **typed | {"gullet_limit": "0.001 mm"})
    assert "gullet_limit" in wrong.context["form"].errors


def test_what_a_saws_periphery_lost_counts_as_its_stock_and_a_drill_has_none(at_bench, cutters):
    """Read before and after on one piece, where the periphery was ground."""
    line, ids = cutters("saw", width="2 mm", rim_depth="0.2 mm", diameter="99.7 mm")
    page, _figures = plan_shown(at_bench, line, ids)
    size = f"{page.context['option']['diameter_mm']:.4f} mm"
    form = at_bench.get(f"/bench/{line}/grind").context
    assert "Grind to" in [figure.label for group in form["groups"] for figure in group.figures]
    answer = at_bench.post(f"/bench/{line}/grind", pieces=ids, grinds=["periphery"], minutes="30")
    assert answer.status_code == 302, dict(answer.context["form"].errors)
    answer = at_bench.post(f"/bench/{line}/check", pieces=ids, passed="yes", diameter=size, width="2 mm")
    assert answer.status_code == 302, dict(answer.context["form"].errors)
    of_radius = FinalCheck.objects.filter(Exists(grind_of_sides())).annotate(taken=diameter_loss())
    assert of_radius.get(in_full=True).taken == pytest.approx(
        997 * MM / 10 - float(size.removesuffix(" mm")) * MM, abs=1
    )
    assert Row(1, Sums(), family=line.family).loses_diameter
    assert not Row(1, Sums(), family=Family.objects.create(kind="drill", nominal_nm=8 * MM)).loses_diameter


def keep_shown(at_bench, line, ids, **typed):
    page, _figures = shown(at_bench, line)
    key, option = page.context["group"].key, page.context["picked"]
    return at_bench.post(f"/bench/{line}/plan", do="keep", pieces=ids, option=option, group=key, **typed)


def test_a_figure_past_an_agreed_limit_needs_the_customers_word_however_unsure_it_is(at_bench, cutters):
    """1 µm under the least that was agreed is less than the uncertainty, and past it all the same."""
    line, ids = cutters(rim_depth="0.1 mm", tir="0 mm")
    after = shown(at_bench, line)[0].context["option"]["diameter_mm"]
    Line.objects.filter(pk=line.pk).update(smallest_nm=round(after * MM) + 1_000)
    page, _figures = shown(at_bench, line)
    [limit] = [row for row in page.context["option"]["limits"] if row["limit"] == "diameter"]
    assert (limit["verdict"], limit["margin"] < 0) == ("too_close", True)
    refused = keep_shown(at_bench, line, ids, why="it will do")
    assert "past what" in refused.content.decode()
    assert (refused.status_code, Plan.objects.count()) == (422, 0)


def test_what_is_too_close_to_call_needs_a_reason_that_stands_on_the_setup_card(at_bench, cutters):
    line, ids = cutters(rim_depth="0.1 mm", tir="0 mm")
    after = shown(at_bench, line)[0].context["option"]["diameter_mm"]
    Line.objects.filter(pk=line.pk).update(smallest_nm=round(after * MM) - 1_000)
    refused = keep_shown(at_bench, line, ids)
    assert "too close to call: the customer" in refused.context["form"].errors["why"][0]
    assert (refused.status_code, Plan.objects.count()) == (422, 0)
    assert keep_shown(at_bench, line, ids, why="measured twice").status_code == 302
    card = at_bench.get(f"/bench/{line}/setup-card").content.decode()
    assert "Ground all the same: measured twice." in card
    [sheet] = setup_sheet(line, 1, date(2026, 3, 2)).cards
    assert "Ground all the same: measured twice." in sheet.warning


def test_a_size_by_hand_past_an_agreed_limit_needs_the_customers_word(at_bench, cutters):
    line, ids = cutters(family={"material": "tipped"}, rim_depth="0.1 mm")
    Line.objects.filter(pk=line.pk).update(smallest_nm=99 * MM)
    typed = {"do": "plain", "pieces": ids, "grinds": ["periphery"], "diameter": "98.9 mm"}
    assert "past what" in at_bench.post(f"/bench/{line}/plan", **typed, why="by hand").content.decode()
    typed["diameter"] = "99.2 mm"
    assert "decided by hand" in at_bench.post(f"/bench/{line}/plan", **typed).context["form"].errors["why"][0]
    assert at_bench.post(f"/bench/{line}/plan", **typed, why="agreed price").status_code == 302
