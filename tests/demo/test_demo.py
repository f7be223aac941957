"""The demo shop is worked through by the same actions as the pages, so it must hold what they promise."""

import io
import json
import math

import pytest
from django.core.management import call_command
from django.http import QueryDict
from django.utils import timezone
from reportlab.pdfgen.canvas import Canvas

from regrind.bench.checking import relief
from regrind.bench.grinding.card import set_up
from regrind.bench.grinding.machine import machine_of
from regrind.bench.grinding.prefill import aim
from regrind.bench.models import FinalCheck, Grind, Inspection, Plan
from regrind.bench.planning.picture import draw_planned
from regrind.bench.revisions import canonical
from regrind.demo.clock import REAL_NOW
from regrind.geometry.case import read
from regrind.geometry.kinds.plan import answer_case
from regrind.geometry.kinds.registry import find_kind
from regrind.geometry.plan import work_out
from regrind.geometry.result import as_dict
from regrind.paper.svg_drawing import SvgDrawing
from regrind.record.models import Batch, Family, FamilyMonth, Piece, Step, Tool
from regrind.record.moves import reconcile
from regrind.record.rollup_rebuild import differences
from regrind.review.families import all_rows
from regrind.review.filters import ReviewFilter
from regrind.review.pieces import pieces_behind
from regrind.review.verdicts import FEW, LOTS, NOT, PRICE, WORTH
from regrind.shop.models import History, Person
from regrind.shop.owner.settings import shop_settings
from regrind.shop.undo import UNDO_FOR
from tests.kept import kept

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker):
    yield from kept(django_db_blocker, lambda: call_command("demo", verbosity=0))


def test_the_demo_holds_two_years_of_about_four_hundred_pieces_in_every_state(demo, capsys):
    assert 350 <= Piece.objects.count() <= 480
    days = [batch.received_at for batch in Batch.objects.order_by("received_at")]
    assert (days[-1] - days[0]).days > 600
    there = set(Piece.objects.values_list("status", flat=True))
    assert there >= {
        "arrived",
        "inspected",
        "waiting",
        "ready_to_grind",
        "ground",
        "at_coater",
        "released",
        "left",
        "recycled",
        "missing",
    }
    for batch in Batch.objects.all():
        counts = reconcile(batch)
        assert counts["received"] == sum(n for name, n in counts.items() if name != "received")
    assert all(row.sums.received for row in all_rows(ReviewFilter()))
    call_command("demo", verbosity=0)
    assert "not empty" in capsys.readouterr().out


def test_the_demos_sums_equal_a_recount_of_all(demo):
    assert FamilyMonth.objects.exists()
    assert list(differences()) == []


def test_nothing_in_the_demo_went_past_the_steps_and_every_change_has_an_actor(demo):
    assert Step.objects.exists()
    assert Inspection.objects.exists()
    assert Plan.objects.filter(copied_from=None).exclude(case="").exists()
    assert FinalCheck.objects.filter(passed=True).exists()
    assert not History.objects.filter(event=None, table="record_piece").exists()


def test_the_demo_was_recorded_when_it_was_done_so_nothing_of_it_is_just_now(demo):
    assert timezone.now is REAL_NOW
    newest = Step.objects.order_by("-event__recorded_at").first()
    assert newest.recorded_at == newest.done_at
    assert newest.recorded_at < timezone.now() - UNDO_FOR


def test_one_tool_of_the_demo_came_back_smaller_each_time_and_now_waits_for_an_answer(demo):
    visits = list(Tool.objects.get(customer_number="MC-0417").visits.order_by("batch__number"))
    sizes = [check.diameter_nm for check in FinalCheck.objects.filter(piece__in=visits).order_by("pk")]
    assert len(visits) == 5
    assert sizes == sorted(sizes, reverse=True)
    assert visits[-1].status == "waiting"
    assert Piece.objects.exclude(complaint_of=None).filter(batch__closed=False).exists()


def test_the_demos_families_page_shows_every_verdict_and_a_plan_that_is_off(demo, client):
    rows = all_rows(ReviewFilter())
    assert {row.verdict.code for row in rows} == {WORTH, LOTS, PRICE, NOT, FEW}
    client.force_login(Person.objects.get(name="Oda"))
    offered = [row for row in rows if client.get(f"/review/{row.key}").context["offers"]]
    assert [(row.family.nominal_nm, row.family.coating) for row in offered] == [(6_000_000, "TiN")]


def test_the_regrinds_left_of_a_family_open_the_pieces_whose_plans_predicted_them(demo):
    told = [row for row in all_rows(ReviewFilter()) if row.sums.left_n]
    assert told
    for row in told:
        behind = pieces_behind(Family.objects.get(pk=row.key), ReviewFilter(), QueryDict("result=left"))
        assert behind.count() == row.sums.left_n


def test_every_relief_of_the_demo_is_what_the_program_finds_in_its_drop(demo):
    checks = [row for row in FinalCheck.objects.filter(copied_from=None) if "drop" in row.readings]
    assert len(checks) > 40
    for check in checks:
        drop, over, diameter = (check.readings[name] for name in ("drop", "drop_over", "diameter"))
        found = relief.find(drop.nm, over.nm, check.drop_way, diameter.nm, drop.gauge, diameter.gauge)
        assert check.relief_cdeg == found.cdeg


def test_every_relief_of_the_demo_that_was_ground_lies_within_its_cards_window(demo):
    judged = 0
    for check in FinalCheck.objects.filter(copied_from=None).select_related("grind__plan__copied_from", "piece"):
        if check.grind is None or check.grind.plan is None or "drop" not in check.readings:
            continue
        card = set_up(
            aim([check.piece], {check.piece_id: check.grind.plan})[0], None, machine_of(shop_settings()), "mm"
        )
        if card.relief_deg is not None:
            judged += 1
            off = abs(check.relief_cdeg / 100 - card.relief_deg)
            assert off <= 1 + check_digit_deg(check), (check.piece, check.relief_cdeg, card.relief_deg)
    assert judged > 20


def check_digit_deg(check):
    """What one digit of the indicator is worth in relief at the distance that was taken."""
    return math.degrees(math.atan(check.readings["drop"].resolution_nm / check.readings["drop_over"].nm))


def test_every_planned_figure_of_the_demo_is_what_the_pure_module_gives_for_its_case(demo):
    plans = Plan.objects.exclude(case="")
    assert len(plans) > 40
    for plan in plans:
        case = json.loads(plan.case)
        kind = find_kind(case)
        answer = answer_case(case, kind) if kind else as_dict(work_out(read(case)))
        assert canonical(answer) == plan.answer
        if plan.chosen is not None:
            option = answer["options"][plan.chosen]
            for nm, name in ((plan.diameter_nm, "diameter_mm"), (plan.usable_nm, "usable_length_mm")):
                assert nm == (round(option[name] * 1e6) if name in option else None)
            assert plan.regrinds_left == option.get("regrinds_left")


def test_what_the_demo_ground_is_what_was_planned(demo):
    grinds = Grind.objects.filter(infeed_radial_nm__isnull=False).select_related("plan__copied_from", "piece")
    assert len(grinds) > 40
    for row in grinds:
        assert row.infeed_radial_nm == aim([row.piece], {row.piece_id: row.plan})[0].infeed_nm


def test_each_plan_of_the_demo_has_a_picture_that_a_screen_and_a_paper_can_show(demo):
    """What a quote shows of an option is drawn for every kind that has a plan; the paper knows each part of it."""
    shown = 0
    for plan in Plan.objects.filter(copied_from=None).exclude(answer="").select_related("piece__line__family"):
        for index, option in enumerate(json.loads(plan.answer)["options"]):
            drawing = draw_planned(plan, index, plan.piece.line.family, "in")
            if drawing:
                SvgDrawing(str(drawing), 200).drawOn(Canvas(io.BytesIO()), 0, 0)
                shown += 1
            else:
                assert not option["grind"]
    assert shown > 100
