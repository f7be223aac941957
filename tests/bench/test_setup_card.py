"""The setup card, worked out from the stored plan."""

import json
import math
from dataclasses import replace

import pytest

from regrind.bench.grinding.card import set_up
from regrind.bench.grinding.card_sections import list_sections
from regrind.bench.grinding.wheel import find_speed, most_infeed_mm
from regrind.record.models import Family
from regrind.shop.models import ShopSettings, Wheel

from . import tray
from .setup_cards import WHERE, card_of, figures, steps
from .tray import ready_to_grind

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch):
    return make_batch(3, number=417).lines.get()


def test_the_stylus_height_carries_the_lag(line, bench_hand):
    """By hand: tip = r sin(relief - e tan(helix)/r), helix with the lead kept, at the plan's 6.1163 mm."""
    card = card_of(line, bench_hand)
    r = 6.11632 / 2
    lead_slope = math.tan(math.radians(30)) / (6.35 / 2)
    assert card.stylus.tip_below_mm == pytest.approx(r * math.sin(math.radians(12) - 1.5 * lead_slope), abs=0.002)
    assert card.tip_mm == abs(card.stylus.tip_below_mm)
    assert card.stylus.tip_below_mm < 0  # above centre: ignoring the lag would set it below
    ignoring = 12 + math.degrees(1.5 * lead_slope)
    assert f"would grind {ignoring:.1f}° instead of 12.0°" in steps(card, "sides")
    assert f"worth {math.degrees(lead_slope) * 0.254:.1f}°" in steps(card, "sides")


def test_the_secondary_has_a_stylus_height_of_its_own_where_it_is_ground_again(line, bench_hand):
    """By hand as for the primary, with the secondary's 24°; the land to leave is the one it had, .010 in."""
    card = card_of(line, bench_hand)
    card.option["secondary_needed"] = True
    by_label = figures(card, "secondary")
    r, lead_slope = 6.11632 / 2, math.tan(math.radians(30)) / (6.35 / 2)
    tip = r * math.sin(math.radians(24) - 1.5 * lead_slope)
    assert by_label["Stylus tip for the secondary, below the tool’s centre"] == pytest.approx(tip * 1e6, abs=2_000)
    assert by_label["Secondary relief"] == "24.0°"
    assert by_label["Primary land to leave"] == 254_000
    assert [section.name for section in list_sections(card)] == ["sides", "secondary", "end"]
    card.option["secondary_needed"] = False
    assert [section.name for section in list_sections(card)] == ["sides", "end"]


def test_the_travel_stop_counts_from_the_end_as_it_stands(line, bench_hand):
    """The flute's .750 in less the stylus' .060 in: the sides are ground before the end is cut back."""
    card = card_of(line, bench_hand)
    assert card.travel_mm == pytest.approx(0.690 * 25.4, abs=1e-6)
    assert card.travel_new_mm == pytest.approx(17.2212, abs=1e-4)  # the worked example's usable length


def test_the_drop_to_aim_for_is_that_of_the_section(line, bench_hand):
    """By hand along the tangent: r - sqrt((r - w tan a)^2 + w^2)."""
    card = card_of(line, bench_hand)
    r, w = 6.11632 / 2, card.drop_over_mm
    by_hand = r - math.sqrt((r - w * math.tan(math.radians(12))) ** 2 + w * w)
    assert card.drop.drop_mm == pytest.approx(by_hand, abs=1e-6)
    assert card.drop.least_mm < card.drop.drop_mm < card.drop.most_mm
    assert w <= 0.010 * 25.4


def test_the_infeeds_are_whole_steps_of_the_dial_within_the_grits_infeed(line, bench_hand, wheel):
    """.0047 in at .0001 in a step; at most .01 mm (.00039 in) a pass: three steps, and one for finishing."""
    card = card_of(line, bench_hand, wheel)
    assert most_infeed_mm(wheel) == 0.01
    assert card.passes.rough == ((14, 3),)
    assert card.passes.finish == ((5, 1),)
    taken = sum(count * size for count, size in (*card.passes.rough, *card.passes.finish)) * 0.00254
    assert taken + card.passes.rest_mm == pytest.approx(0.11938, abs=1e-6)
    assert figures(card, "sides")["Infeed roughing, on the radius"] == "14 passes of .0003\u202fin"


def test_the_dials_step_is_a_setting_of_the_shop(line, bench_hand, hand, wheel):
    ShopSettings.objects.create(dial_step_in_nm=5_080)
    ready_to_grind(line, bench_hand)
    page = hand.open(WHERE, wheel=wheel.pk, distance=".060").content.decode()
    assert "20 passes of .0002" in page  # 23 whole steps in the stock, three of them for finishing
    assert "3 passes of .0002" in page


def test_an_unknown_grit_has_no_infeed(line, bench_hand):
    card = card_of(line, bench_hand, Wheel(name="x", abrasive="diamond", grit="fine", diameter_nm=1))
    assert card.passes is None
    assert "as its maker says" in card.passes_refused


def test_a_speed_is_never_above_the_marking():
    """20 to 30 m/s is recommended for diamond on carbide, wet (table in shared/15, from makers)."""
    wheel = Wheel(name="x", abrasive="diamond", diameter_nm=100_000_000, marked_maximum_rpm=4500)
    speed = find_speed(wheel, "wet")
    assert speed.low_rpm == math.ceil(60_000 * 20 / (math.pi * 100))
    assert speed.high_rpm == 4500
    slow = find_speed(Wheel(name="x", abrasive="diamond", diameter_nm=100_000_000, marked_maximum_rpm=2000), "wet")
    assert (slow.low_rpm, slow.high_rpm) == (None, None)
    assert "marked 2000 rpm at most" in slow.refused


@pytest.mark.parametrize(
    ("wheel", "said"),
    [
        (None, "No wheel is chosen"),
        (Wheel(name="x", abrasive="diamond", diameter_nm=100_000_000), "No marked maximum is on record"),
        (Wheel(name="x", abrasive="SiC", diameter_nm=100_000_000, marked_maximum_rpm=3600), "as its maker says"),
    ],
)
def test_without_marking_or_recommendation_there_is_no_speed(wheel, said):
    speed = find_speed(wheel, "wet")
    assert (speed.low_rpm, speed.high_rpm) == (None, None)
    assert said in speed.refused


def test_a_left_hand_cut_asks_for_the_mirrored_setup(line, bench_hand, monkeypatch):
    tool = tray.CASE["tool"] | {"hand_of_cut": "left", "hand_of_helix": "right"}
    monkeypatch.setattr(tray, "CASE", tray.CASE | {"tool": tool})
    card = card_of(line, bench_hand)
    assert (card.mirrored, card.agree) == (True, False)
    assert card.stylus.tip_below_mm > card.stylus.tip_below_ignoring_lag_mm


def test_an_end_that_is_ground_alone_has_its_own_card(line, bench_hand, hand, wheel):
    """No diameter to grind to, no stylus, no order after sides that nobody grinds."""
    card = card_of(line, bench_hand, wheel, grinds="end")
    assert (card.stylus, card.drop, card.travel_mm, card.passes) == (None, None, None, None)
    assert [section.name for section in list_sections(card)] == ["end"]
    assert figures(card, "end")["Off the end"] == 304_800
    page = hand.open(WHERE, wheel=wheel.pk, distance=".060").content.decode()
    for word in ("Grind to", "after the sides", "The sides first", "presses the edge", "reversed", "stylus</li>"):
        assert word not in page
    assert "The sides are left alone" in page
    assert "so does the runout of .0004" in page  # as it was inspected: tooth readings 0 to -4 tenths


def test_what_is_cut_off_stands_above_the_passes_that_take_the_rest(line, bench_hand, wheel):
    """8.698 mm off the end: 8.190 are cut off, the last .508 ground; a short cut-back has no such figure."""
    short = card_of(line, bench_hand, wheel, grinds="end")
    assert "Cut off before the passes" not in figures(short, "end")
    long = set_up(replace(short.aim, end_nm=8_698_000), wheel, short.machine, short.unit)
    labels = list(figures(long, "end"))
    assert figures(long, "end")["Cut off before the passes"] == 8_190_000
    assert labels.index("Cut off before the passes") < labels.index("Infeed roughing, along the axis")
    assert len(long.end_passes.rough) >= 1


def test_sides_and_end_each_have_their_figures_and_steps(line, bench_hand, wheel):
    card = card_of(line, bench_hand, wheel)
    assert [section.name for section in list_sections(card)] == ["sides", "secondary", "end"]
    assert figures(card, "sides")["Grind to"] == 6_116_320
    assert "Grind to" not in figures(card, "end")
    assert figures(card, "end")["Infeed roughing, along the axis"].endswith("in")
    assert "The sides first" in steps(card, "end")


@pytest.mark.parametrize(("kind", "name"), [("radius", "corner"), ("ball", "ball")])
def test_a_corner_or_a_ball_is_formed_again_by_hand(line, bench_hand, kind, name):
    Family.objects.update(kind=kind, corner_radius_nm=500_000)
    card = card_of(line, bench_hand)
    assert name in [section.name for section in list_sections(card)]
    assert "by hand" in steps(card, name)


def test_the_card_says_between_which_corners_the_distance_is_measured(line, bench_hand):
    card = card_of(line, bench_hand)
    usual = "Stylus, from the wheel corner nearest the shank to the stylus corner nearest the wheel"
    assert figures(card, "sides")[usual] == 1_500_000
    assert figures(card, "sides")["Hand"] == "right-hand cut, right-hand helix"


def test_a_left_hand_spiral_is_measured_from_the_other_corners(line, bench_hand, monkeypatch):
    tool = tray.CASE["tool"] | {"hand_of_helix": "left"}
    monkeypatch.setattr(tray, "CASE", tray.CASE | {"tool": tool})
    card = card_of(line, bench_hand)
    other = "Stylus, from the wheel corner nearest the end to the stylus corner farthest from the wheel"
    assert figures(card, "sides")[other] == 1_500_000
    assert figures(card, "sides")["Hand"] == "right-hand cut, left-hand helix"


def test_an_assumed_helix_is_carried_into_the_relief_and_asked_for(line, bench_hand, hand, monkeypatch):
    """By hand: e (1 + tan²)/r times the helix' u, root sum of squares with what the setting brings, k = 2."""
    tool = {name: value for name, value in tray.CASE["tool"].items() if name != "helix_deg"}
    monkeypatch.setattr(tray, "CASE", tray.CASE | {"tool": tool})
    card = card_of(line, bench_hand)
    assert card.uncertainty.decided_by == "helix"
    r, slope = 6.11632 / 2, math.tan(card.helix_rad)
    default = next(item for item in json.loads(card.plan.answer)["defaults"] if item["field"] == "helix_deg")
    before, after = math.radians(default["value"]), math.radians(card.option["helix_deg"])
    u = math.radians(default["standard_uncertainty"]) * math.sin(2 * after) / math.sin(2 * before)
    helix = 1.5 * (1 + slope**2) / r * u
    rest = math.hypot(0.05 * slope / r, 0.01 / math.sqrt(r**2 - card.stylus.tip_below_mm**2))
    assert card.expanded_deg == pytest.approx(2 * math.degrees(math.hypot(helix, rest)), rel=1e-3)
    assert card.expanded_deg > 3
    page = hand.open(WHERE).content.decode()
    assert f"± {card.expanded_deg:.1f}°" in page
    assert "The helix is assumed, and it alone makes the relief this unsure" in page
