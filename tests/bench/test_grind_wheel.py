"""The wheel of a grind: which is offered, which is asked about, and what is recorded of it."""

import pytest

from regrind.bench.grinding.actions import grind
from regrind.bench.models import Grind
from regrind.bench.setups.waiting import find_waiting
from regrind.record.models import Family
from regrind.shop.models import Wheel

from .tray import INCH, pieces_of, ready_to_grind

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch):
    return make_batch(3, number=417).lines.get()


WHERE = "/bench/417-1/grind"


def test_wheel_and_holding_are_offered_as_last_used_for_these_tools(line, bench_hand, hand, wheel, holding):
    pieces = ready_to_grind(line, bench_hand)
    grind(by=bench_hand, pieces=pieces[:1], expected={}, grinds=["sides"], wheel=wheel, holding=holding)
    form = hand.open(WHERE).context["form"]
    assert (form["wheel"].value(), form["holding"].value()) == (wheel.pk, holding.pk)


def test_an_end_is_offered_the_wheel_that_ends_were_ground_with(line, bench_hand, hand, wheel):
    pieces = ready_to_grind(line, bench_hand, grinds="end")
    own = Wheel.objects.create(name="D46 cup", abrasive="diamond", diameter_nm=75_000_000)
    grind(by=bench_hand, pieces=pieces[:1], expected={}, grinds=["end"], wheel=own)
    grind(by=bench_hand, pieces=pieces[1:2], expected={}, grinds=["sides", "end"], wheel=wheel)
    assert hand.open(WHERE).context["form"]["wheel"].value() == own.pk


def test_other_tools_are_offered_a_wheel_that_ground_the_same_part_and_no_holding(
    line, make_batch, bench_hand, hand, wheel, holding
):
    pieces = ready_to_grind(line, bench_hand)
    grind(by=bench_hand, pieces=pieces, expected={}, grinds=["sides"], wheel=wheel, holding=holding)
    new = Family.objects.create(kind="square", nominal_nm=INCH // 2, teeth=4, material="carbide")
    ends, sides = (make_batch(1, number=number, of=new).lines.get() for number in (418, 419))
    gashing = Wheel.objects.create(name="D91 gashing wheel", abrasive="diamond", shape="1V1", diameter_nm=100_000_000)
    ready_to_grind(ends, bench_hand, grinds="end")
    assert hand.open(f"/bench/{ends}/grind").context["form"]["wheel"].value() is None
    ready_to_grind(sides, bench_hand, grinds="sides")
    page = hand.open(f"/bench/{sides}/grind")
    assert (page.context["form"]["wheel"].value(), page.context["form"]["holding"].value()) == (wheel.pk, None)
    assert "holding" not in page.context["hints"]
    grind(by=bench_hand, pieces=pieces_of(ends), expected={}, grinds=["end"], wheel=gashing)
    other = make_batch(1, number=420, of=Family.objects.create(kind="square", nominal_nm=INCH)).lines.get()
    ready_to_grind(other, bench_hand, grinds="sides")
    assert hand.open(f"/bench/{other}/grind").context["form"]["wheel"].value() == wheel.pk
    usual = {lot.line.pk: lot.usual.wheel for stage in find_waiting().stages for lot in stage.lots}
    assert usual == {sides.pk: wheel, other.pk: wheel}


def test_wheels_for_another_material_stand_apart_and_are_named_so(line, bench_hand, hand, wheel):
    ready_to_grind(line, bench_hand)
    cbn = Wheel.objects.create(name="A, B64 cup", abrasive="CBN", diameter_nm=100_000_000)
    [_, first, (apart, others)] = hand.open(WHERE).context["form"].fields["wheel"].choices
    assert (first[0].value, apart, [value.value for value, _ in others]) == (wheel.pk, "not for carbide", [cbn.pk])
    assert '<optgroup label="not for carbide">' in hand.open("/bench/417-1/setup-card").content.decode()


def test_a_wheel_for_the_wrong_material_is_asked_about(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    cbn = Wheel.objects.create(name="B64 cup", abrasive="CBN", diameter_nm=100_000_000)
    refused = hand.send(WHERE, minutes="5", wheel=cbn.pk)
    assert refused.status_code == 422
    assert "CBN is for steel: diamond is for carbide" in refused.content.decode()
    assert not Grind.objects.exists()
    assert hand.send(WHERE, minutes="5", wheel=cbn.pk, wheel_sure="on").status_code == 302


def test_a_wheel_of_another_abrasive_says_nothing_and_breaks_nothing(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    other = Wheel.objects.create(name="White", abrasive="Al2O3", diameter_nm=150_000_000, marked_maximum_rpm=3600)
    assert hand.send(WHERE, minutes="5", wheel=other.pk).status_code == 302


def test_diamond_is_not_offered_for_high_speed_steel(make_batch, bench_hand, hand, wheel, line):
    grind(by=bench_hand, pieces=ready_to_grind(line, bench_hand), expected={}, grinds=["sides"], wheel=wheel)
    steel = Family.objects.create(kind="square", nominal_nm=INCH // 4, teeth=4, material="HSS-Co")
    ready_to_grind(make_batch(1, number=418, of=steel).lines.get(), bench_hand)
    assert hand.open("/bench/418-1/grind").context["form"]["wheel"].value() is None


def test_a_wheel_without_a_marked_maximum_is_named_on_the_page(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    Wheel.objects.create(name="Old cup", abrasive="diamond", diameter_nm=100_000_000)
    page = hand.open(WHERE).content.decode()
    assert "No marked maximum is on record for Old cup" in page
    assert "Old cup, diamond, NO MARKED MAXIMUM" in page


def test_a_wheel_that_was_retired_after_its_last_setup_is_kept_with_the_grind(make_batch, bench_hand, hand, wheel):
    line = make_batch(1, number=418).lines.get()
    ready_to_grind(line, bench_hand)
    sent = hand.fill("/bench/418-1/grind", minutes="10", wheel=wheel.pk)
    Wheel.objects.update(in_use=False)
    refused = hand.client.post("/bench/418-1/grind", sent | {"minutes": "ten"})
    assert f'value="{wheel.pk}" selected' in refused.content.decode()  # not lost beside another error
    strange = hand.client.post("/bench/418-1/grind", sent | {"wheel": "99999"})
    assert strange.context["form"].errors["wheel"] == ["That is not in the register. Choose one from the list."]
    assert hand.client.post("/bench/418-1/grind", sent).status_code == 302
    assert Grind.objects.get().wheel == wheel


def test_the_wheels_directions_are_recorded_when_somebody_says_them(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    assert hand.send(WHERE, minutes="10", roughing="onto_rest").status_code == 302
    assert set(Grind.objects.values_list("roughing", "finishing")) == {("onto_rest", "")}
