"""What a final check finds against plan, terms and tables, and what may be released outside of them."""

import math

import pytest

from regrind.bench.checking.findings import compare, expanded
from regrind.bench.checking.relief import find as find_relief
from regrind.bench.models import FinalCheck
from regrind.record.models import Family, Line
from regrind.shop.models import Gauge, ShopSettings

from .check_page import READ, WHERE, found, nth
from .tray import INCH, ground, pieces_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch):
    return make_batch(12, number=417).lines.get()


def test_the_findings_compare_with_plan_and_terms(line, bench_hand, hand, gauges):
    ground(line, bench_hand)
    line.shortest_nm = INCH // 2
    line.save()
    hand.send(WHERE, **READ, **nth(line), usable=".678", gauge=gauges["v-anvil"].pk)
    told = found(1)
    assert {what: item["state"] for what, item in told.items() if item["state"]} == {
        "planned diameter": "inside",
        "smallest diameter": "inside",
        "shortest usable length": "inside",
        "runout on the sides": "inside",
        "primary relief": "inside",
    }
    assert told["planned diameter"]["most_nm"] - told["planned diameter"]["least_nm"] == 2 * 12_700
    assert found(2) == {}


def test_the_uncertainty_is_the_gauges_and_decides_what_is_too_close():
    """U = 2 sqrt(u^2 + a^2/12) (JCGM 100:2008, 4.3.7 and 6.2.1); judged as ISO 14253-1 has it."""
    gauge = Gauge(resolution_nm=2_540, uncertainty_nm=1_000)
    assert expanded(gauge) == round(2 * math.sqrt(1_000**2 + 2_540**2 / 12))
    states = [compare("x", 1_000_000 + off, 1_000_000, None, 2_000)["state"] for off in (2_000, 1_999, -1_999, -2_000)]
    assert states == ["inside", "too_close", "too_close", "outside"]


def test_a_release_outside_the_plan_needs_a_word(line, bench_hand, hand):
    ground(line, bench_hand)
    typed = READ | nth(line, p11=".2390")
    refused = hand.send(WHERE, **typed)
    pieces = {p.number: p.pk for p in pieces_of(line)}
    errors = refused.context["form"].errors
    assert refused.status_code == 422
    assert errors[f"diameter_{pieces[11]}"] == [
        "diameter: .2390\u202fin is outside the planned .2403\u202fin to .2413\u202fin."
    ]
    assert "why it may go back" in errors["released_because"][0]
    assert not FinalCheck.objects.exists()
    assert refused.context["form"]["diameter"].value() == ".2408"
    because = {"released_because": "the customer takes it as it is"}
    measured = [pieces[1], pieces[6], pieces[11]]
    assert hand.send(WHERE, **typed | because, pieces=measured).status_code == 302
    assert found(11)["planned diameter"]["state"] == "outside"
    assert FinalCheck.objects.get(piece=pieces[11]).released_because == because["released_because"]
    assert "released outside a limit: the customer takes it" in hand.open("/bench/417-1/checked").content.decode()


def test_what_was_not_measured_is_not_released_with_what_is_outside(line, bench_hand, hand):
    """A reason for one piece says nothing of a twin that nobody measured."""
    ground(line, bench_hand)
    refused = hand.send(WHERE, **READ | nth(line, p11=".2390"), released_because="the customer takes it")
    assert "1-2, 1-3, 1-4, 1-5, 1-7, 1-8 and 3 more were not measured" in refused.context["form"].errors["pieces"][0]
    assert not FinalCheck.objects.exists()


def test_a_relief_outside_the_window_of_the_card_is_said_beside_the_drop(line, bench_hand, hand):
    """.0005 in over .010 in is about 4°: far below 12° ± 1°. By hand: atan((r - sqrt((r-d)² - w²))/w)."""
    ground(line, bench_hand)
    refused = hand.send(WHERE, **READ | {"drop": ".0005"} | nth(line))
    r, w, d = 0.1204, 0.010, 0.0005
    by_hand = math.degrees(math.atan((r - math.sqrt((r - d) ** 2 - w * w)) / w))
    [error] = refused.context["form"].errors["drop"]
    assert error == f"primary relief: {by_hand:.1f}° is outside 11.0° to 13.0°."
    assert 'aria-invalid="true"' in refused.content.decode()


@pytest.mark.parametrize(("typed", "refused"), [(".0005", False), (".0006", True)])
def test_a_carbide_end_mills_runout_is_held_to_the_row_of_its_diameter(line, bench_hand, hand, typed, refused):
    """.0005 in for finishers of .112 in and over: a US maker's posted tolerances, read (shared/18)."""
    ground(line, bench_hand)
    answer = hand.send(WHERE, **READ | {"runout_sides": typed} | nth(line))
    assert ("runout_sides" in (answer.context["form"].errors if answer.context else {})) is refused


def test_the_customers_own_runout_goes_before_the_table(line, bench_hand, hand):
    ground(line, bench_hand)
    Line.objects.update(runout_limit_nm=25_400)
    assert hand.send(WHERE, **READ | {"runout_sides": ".0009"} | nth(line)).status_code == 302
    assert found(1)["runout on the sides"]["source"] == "the customer’s limit"


def test_without_a_limit_runout_is_told_and_not_judged(make_batch, bench_hand, hand):
    steel = Family.objects.create(kind="square", nominal_nm=INCH // 4, teeth=3, material="HSS")
    line = make_batch(1, number=430, of=steel).lines.get()
    ground(line, bench_hand)
    wide = READ | {"runout_sides": ".0019"}
    assert hand.send("/bench/430-1/check", **wide).status_code == 302
    assert "runout on the sides" not in found(1)
    assert "no limit is recorded, not judged" in hand.open("/bench/430-1/checked").content.decode()


def test_the_shops_own_runout_judges_the_other_kinds(make_batch, bench_hand, hand):
    ShopSettings.objects.create(runout_limit_nm=25_400)
    steel = Family.objects.create(kind="square", nominal_nm=INCH // 4, teeth=3, material="HSS")
    line = make_batch(1, number=430, of=steel).lines.get()
    ground(line, bench_hand)
    refused = hand.send("/bench/430-1/check", **READ | {"runout_sides": ".0019"})
    assert "is outside .0010\u202fin or less" in refused.context["form"].errors["runout_sides"][0]


def test_too_close_to_the_customers_smallest_needs_a_word(line, bench_hand, hand, gauges):
    ground(line, bench_hand)
    Line.objects.filter(pk=line.pk).update(smallest_nm=6_116_000, tolerance_nm=100_000)
    gauges["v-anvil"].uncertainty_nm = 2_000
    gauges["v-anvil"].save()
    refused = hand.send(WHERE, **READ, **nth(line), gauge=gauges["v-anvil"].pk)
    assert "too close to call against" in refused.content.decode()


def test_the_relief_is_worked_out_with_its_uncertainty(line, bench_hand, hand, gauges):
    ground(line, bench_hand)
    hand.send(WHERE, **READ, **nth(line), gauge=gauges["v-anvil"].pk, indicator=gauges["indicator"].pk)
    row = FinalCheck.objects.get(in_full=True)
    # the section by hand: height of the land at w is (r - d)^2 = (r - w tan a)^2 + w^2
    r, w, d = 0.2408 * 25.4 / 2, 0.254, 0.0018 * 25.4
    by_hand = math.degrees(math.atan((r - math.sqrt((r - d) ** 2 - w * w)) / w))
    assert row.relief_cdeg == round(by_hand * 100)
    assert row.drop_way == "tangent"
    told = found(1)["primary relief"]
    assert told["cdeg"] == row.relief_cdeg
    # half of .001 mm over .254 mm is worth about atan(.0005/.254) = .113 degrees
    assert told["half_digit_cdeg"] == pytest.approx(11, abs=1)
    assert told["expanded_cdeg"] > 0
    assert "± " in hand.open("/bench/417-1/checked").content.decode()


def test_the_handbooks_drop_gives_its_angle_back():
    """1/2 in cutter, .020 in: the handbook prints .0034 in for 12 degrees (geometry paper, from memory)."""
    found = find_relief(86_360, 508_000, "tangent", 12_700_000, None, None)
    assert found.cdeg / 100 == pytest.approx(12, abs=0.15)


def test_the_relief_is_said_while_it_is_typed(line, bench_hand, hand, gauges):
    ground(line, bench_hand)
    said = hand.open("/bench/417-1/relief", **READ, indicator=gauges["indicator"].pk)
    assert "primary relief" in said.content.decode()
    assert hand.open("/bench/417-1/relief", drop=".00").content.decode().strip() == ""
    assert "fit no relief" in hand.open("/bench/417-1/relief", **READ | {"drop": ".12"}).content.decode()


def test_a_matched_set_is_held_to_its_tolerance(line, bench_hand, hand):
    ground(line, bench_hand)
    Line.objects.update(matched=True, match_tolerance_nm=5_080)
    refused = hand.send(WHERE, **READ, **nth(line, p11=".2411"))
    assert (
        "spread of the matched set: .0003\u202fin is outside the agreed .0002\u202fin or less"
        in refused.content.decode()
    )
    assert hand.send(WHERE, **READ, **nth(line, p11=".2410")).status_code == 302
    assert found(1)["matched set"]["state"] == "inside"
