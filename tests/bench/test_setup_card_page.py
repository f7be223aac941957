"""The setup card's page: cautions, what is assumed, and what is asked for."""

import html

import pytest

from regrind.bench.grinding.card import what_changes
from regrind.geometry.units import show_with_unit
from regrind.record.models import Family
from regrind.shop.models import Wheel

from . import tray
from .setup_cards import WHERE
from .tray import INCH, pieces_of, ready_to_grind

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch):
    return make_batch(3, number=417).lines.get()


def test_the_card_is_shown_with_its_cautions(line, bench_hand, hand, wheel, holding):
    ready_to_grind(line, bench_hand)
    page = hand.open(WHERE, wheel=wheel.pk, holding=holding.pk, distance=".060", mode="wet").content.decode()
    for word in (
        "6000 rev/min",
        "above the tool’s centre",
        "presses the edge",
        "light cuts",
        ".6900",
        "never a permission",
        "made for both directions",
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
    cards = [item.card for item in page.context["cards"]]
    assert len(cards) == 2
    assert what_changes(cards) == ["the diameter", "the stylus height", "the infeed"]
    assert "They differ in the diameter, the stylus height, the infeed;" in page.content.decode()


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


def test_a_kind_that_is_not_computed_says_so(make_batch, bench_hand, hand):
    cutter = Family.objects.create(kind="form", nominal_nm=INCH // 2, teeth=4, material="carbide")
    ready_to_grind(make_batch(1, number=418, of=cutter).lines.get(), bench_hand)
    page = hand.open("/bench/418-1/setup-card").content.decode()
    assert "not worked out here" in page
    assert "sides are left alone" in page


def test_a_known_helix_is_not_asked_for(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    assert "The helix is assumed" not in hand.open(WHERE).content.decode()


@pytest.mark.parametrize(
    ("material", "words", "absent"),
    [
        ("HSS", "High-speed steel burns", "not quenched"),
        ("HSS-Co", "Cobalt goes into the coolant", "not quenched"),
        ("carbide", "Hot carbide is not quenched", "steel burns"),
    ],
)
def test_the_cautions_are_those_of_the_material(line, bench_hand, hand, material, words, absent):
    Family.objects.update(material=material)
    ready_to_grind(line, bench_hand)
    page = html.unescape(hand.open(WHERE).content.decode())
    assert words in page
    assert absent not in page
    assert "No gloves, loose sleeves, jewellery or loose hair near a turning wheel" in page
    assert "with the wheel stopped" in page


def test_an_empty_card_says_why(line, hand):
    assert "nothing to set up" in hand.open(WHERE).content.decode()


@pytest.mark.parametrize("count", [1, 10, 400])
def test_queries_do_not_grow_with_the_pieces(count, make_batch, bench_hand, hand, django_assert_num_queries):
    line = make_batch(count, number=500).lines.get()
    ready_to_grind(line, bench_hand)
    with django_assert_num_queries(15):
        hand.open("/bench/500-1/setup-card")


def test_the_sides_show_the_stylus_beside_the_wheel(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    page = hand.open(WHERE)
    [card] = page.context["cards"]
    [sides] = [shown for shown in card.sections if shown.section.name == "sides"]
    height = {figure.label: figure for figure in [*sides.first, *sides.others]}["Stylus tip, above the tool’s centre"]
    assert f"Along the axis: stylus tip {show_with_unit(height.nm, 'in')} above centre" in sides.drawing
    assert sides.drawing in page.content.decode()
