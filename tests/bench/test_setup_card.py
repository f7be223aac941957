"""The setup card, worked out from the stored plan."""

import math

import pytest

from regrind.bench.grinding.card import set_up, what_changes
from regrind.bench.grinding.prefill import aim
from regrind.bench.grinding.wheel import find_speed, most_infeed_mm
from regrind.bench.models import Plan
from regrind.bench.revisions import newest
from regrind.record.models import Family
from regrind.shop.models import Wheel

from . import tray
from .tray import INCH, pieces_of, ready_to_grind

pytestmark = pytest.mark.django_db
WHERE = "/bench/417-1/setup-card"


@pytest.fixture
def line(make_batch):
    return make_batch(3, number=417).lines.get()


def card_of(line, by, wheel=None, distance_mm=1.5, **more):
    pieces = ready_to_grind(line, by, **more)
    return set_up(aim(pieces, newest(Plan, pieces))[0], wheel, distance_mm, "in")


def test_the_stylus_height_carries_the_lag(line, bench_hand):
    """By hand: tip = r sin(relief - e tan(helix)/r), helix with the lead kept, at the plan's 6.1163 mm."""
    card = card_of(line, bench_hand)
    r = 6.11632 / 2
    lead_slope = math.tan(math.radians(30)) / (6.35 / 2)
    assert card.stylus.tip_below_mm == pytest.approx(r * math.sin(math.radians(12) - 1.5 * lead_slope), abs=0.002)
    assert card.tip_mm == abs(card.stylus.tip_below_mm)
    assert card.stylus.tip_below_mm < 0  # above centre: ignoring the lag would set it below
    assert card.ignoring_deg == pytest.approx(12 + math.degrees(1.5 * lead_slope), abs=0.1)
    assert card.per_step_deg == pytest.approx(math.degrees(lead_slope) * 0.254, abs=0.02)


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


def test_the_passes_take_the_whole_stock_within_the_grits_infeed(line, bench_hand, wheel):
    card = card_of(line, bench_hand, wheel)
    passes = card.passes
    taken = passes.rough * passes.rough_infeed_radial_mm + passes.finish * passes.finish_infeed_radial_mm
    assert taken == pytest.approx(0.11938, abs=1e-6)
    assert passes.rough_infeed_radial_mm <= most_infeed_mm(wheel) == 0.01


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


def test_the_card_is_shown_with_its_cautions(line, bench_hand, hand, wheel, holding):
    ready_to_grind(line, bench_hand)
    page = hand.open(WHERE, wheel=wheel.pk, holding=holding.pk, distance=".060", mode="wet").content.decode()
    for word in (
        "6000 rev/min",
        "above the tool’s centre",
        "presses the edge",
        "into the edge, light cuts",
        ".6900",
        "never a permission",
        "made to run both ways",
        "D64",
        "Work head, 6 mm collet",
        "not read: true it",
    ):
        assert word in page


def test_a_wheel_for_the_wrong_material_is_warned_of(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    cbn = Wheel.objects.create(name="B64", abrasive="CBN", diameter_nm=100_000_000, marked_maximum_rpm=6000)
    assert "CBN is for steel" in hand.open(WHERE, wheel=cbn.pk, distance=".060").content.decode()


@pytest.mark.parametrize(("typed", "said"), [("0.2.5", "is not a length"), ("90 in", "out of range")])
def test_a_wrong_distance_is_said_beside_the_field(line, bench_hand, hand, typed, said):
    ready_to_grind(line, bench_hand)
    answer = hand.open(WHERE, distance=typed)
    assert said in answer.content.decode()
    assert answer.context["form"]["distance"].value() == typed


def test_a_distance_at_which_the_edge_leaves_the_stylus_is_said(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    assert "No stylus height: the distance must be below" in hand.open(WHERE, distance="1.5 in").content.decode()


def test_between_two_settings_only_what_changes_is_named(line, bench_hand, hand):
    first, *others = pieces_of(line)
    ready_to_grind(line, bench_hand, pieces=[first])
    ready_to_grind(line, bench_hand, pieces=others, diameter_nm=6_000_000)
    page = hand.open(WHERE)
    cards = [card for card, _ in page.context["cards"]]
    assert len(cards) == 2
    assert what_changes(cards) == ["the diameter", "the stylus height", "the infeed"]
    assert "Between them changes the diameter, the stylus height, the infeed" in page.content.decode()


def test_what_is_assumed_is_marked(line, bench_hand, hand, monkeypatch):
    left_out = ("primary_relief_deg", "core_diameter")
    tool = {name: value for name, value in tray.CASE["tool"].items() if name not in left_out}
    monkeypatch.setattr(tray, "CASE", tray.CASE | {"tool": tool})
    ready_to_grind(line, bench_hand)
    page = hand.open(WHERE).content.decode()
    assert "Assumed, not measured: core diameter, primary relief" in page
    assert '<span class="mark assumed">assumed</span>' in page


def test_what_is_measured_is_not_marked(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    assert "Assumed, not measured" not in hand.open(WHERE).content.decode()


def test_a_left_hand_cut_asks_for_the_mirrored_setup(line, bench_hand, monkeypatch):
    tool = tray.CASE["tool"] | {"hand_of_cut": "left", "hand_of_helix": "right"}
    monkeypatch.setattr(tray, "CASE", tray.CASE | {"tool": tool})
    card = card_of(line, bench_hand)
    assert (card.mirrored, card.agree) == (True, False)
    assert card.stylus.tip_below_mm > card.stylus.tip_below_ignoring_lag_mm


def test_a_kind_that_is_not_computed_says_so(make_batch, bench_hand, hand):
    rougher = Family.objects.create(kind="rougher", nominal_nm=INCH // 2, teeth=4, material="carbide")
    ready_to_grind(make_batch(1, number=418, of=rougher).lines.get(), bench_hand)
    page = hand.open("/bench/418-1/setup-card").content.decode()
    assert "not worked out here" in page
    assert "sides are left alone" in page


def test_an_end_that_is_ground_alone_sets_no_stylus(line, bench_hand):
    card = card_of(line, bench_hand, grinds="end")
    assert (card.stylus, card.drop, card.travel_mm) == (None, None, None)


def test_an_empty_card_says_why(line, hand):
    assert "nothing to set up" in hand.open(WHERE).content.decode()


@pytest.mark.parametrize("count", [1, 10, 400])
def test_queries_do_not_grow_with_the_pieces(count, make_batch, bench_hand, hand, django_assert_num_queries):
    line = make_batch(count, number=500).lines.get()
    ready_to_grind(line, bench_hand)
    with django_assert_num_queries(18):
        hand.open("/bench/500-1/setup-card")
