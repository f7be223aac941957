"""Registers of gauges, wheels and work holdings."""

from datetime import timedelta

import pytest
from django.utils import timezone

from regrind.shop.models import Gauge, History, Wheel, WorkHolding

pytestmark = pytest.mark.django_db
GAUGE = {
    "name": "Mic 1",
    "what": "micrometer",
    "resolution": ".0001",
    "uncertainty": ".00004",
    "in_use": "on",
    "calibrated_until": "2030-05-01",
}
WHEEL = {
    "name": "D64 cup",
    "abrasive": "diamond",
    "grit": "D64",
    "bond": "resin",
    "shape": "11V9",
    "diameter": "4.0",
    "width": ".25",
    "marked_maximum_rpm": "6000",
    "trued_runout": ".0002",
    "in_use": "on",
}


def test_a_gauge_is_added_with_its_resolution_uncertainty_and_calibration(hand, bench_hand):
    assert hand.send("/bench/gauges", **GAUGE)["Location"] == "/bench/gauges"
    gauge = Gauge.objects.get()
    assert (gauge.resolution_nm, gauge.uncertainty_nm, f"{gauge.calibrated_until}", gauge.in_use) == (
        2_540,
        1_016,
        "2030-05-01",
        True,
    )
    assert History.objects.get(table="shop_gauge").who == bench_hand.name


def test_a_gauge_shows_again_what_was_kept(hand, gauges):
    fields = hand.fill(f"/bench/gauges/{gauges['indicator'].pk}")
    assert hand.client.post(f"/bench/gauges/{gauges['indicator'].pk}", fields).status_code == 302
    again = Gauge.objects.get(pk=gauges["indicator"].pk)
    assert (again.resolution_nm, again.uncertainty_nm, again.calibrated_until) == (1_000, 0, None)


@pytest.mark.parametrize(
    ("nm", "shown"), [(100_000_000, "100 mm"), (5_080, "0.0002 in"), (1_000, "0.001 mm"), (6_350_000, "0.25 in")]
)
def test_a_stored_length_stands_in_its_field_exactly(hand, gauges, nm, shown):
    Gauge.objects.update(uncertainty_nm=nm)
    form = hand.open(f"/bench/gauges/{gauges['indicator'].pk}").context["form"]
    assert form["uncertainty"].value() == shown


def test_an_overdue_gauge_is_said_plainly(hand):
    Gauge.objects.create(
        name="Old mic",
        what="micrometer",
        resolution_nm=1_000,
        calibrated_until=timezone.localdate() - timedelta(days=1),
    )
    page = hand.open("/bench/gauges").content.decode()
    assert "Old mic is in use, calibration overdue since" in page
    Gauge.objects.update(in_use=False)
    assert "Old mic is in use" not in hand.open("/bench/gauges").content.decode()


def test_a_wheel_is_added_with_its_marked_maximum(hand):
    assert hand.send("/bench/wheels", **WHEEL).status_code == 302
    wheel = Wheel.objects.get()
    assert (wheel.diameter_nm, wheel.width_nm, wheel.marked_maximum_rpm, wheel.trued_runout_nm) == (
        101_600_000,
        6_350_000,
        6000,
        5_080,
    )


def test_a_wheel_without_a_marked_maximum_is_told_apart(hand):
    hand.send("/bench/wheels", **WHEEL | {"marked_maximum_rpm": ""})
    assert "none on record" in hand.open("/bench/wheels").content.decode()


def test_four_marks_give_the_trued_runout(hand):
    """Readings e cos(theta): .0002, 0, -.0002, 0 in is an offset of .0002 in and .0004 in in all."""
    marks = {"mark_1": ".0002", "mark_2": "0", "mark_3": "-.0002", "mark_4": "0"}
    answer = hand.send("/bench/wheels", **WHEEL | marks | {"trued_runout": ""})
    assert answer.status_code == 302
    wheel = Wheel.objects.get()
    assert wheel.trued_runout_nm == 10_160
    assert (wheel.mark_1_nm, wheel.mark_2_nm, wheel.mark_3_nm, wheel.mark_4_nm) == (5_080, 0, -5_080, 0)
    page = hand.open("/bench/wheels").content.decode()
    assert "Trued runout .00040\u202fin; its centre stands .00020\u202fin off" in page


def test_marks_and_a_runout_that_say_otherwise_are_not_kept(hand):
    """.0002 typed as the total, and marks whose highest less lowest is .0003 in: neither changes the other unsaid."""
    marks = {"mark_1": ".0002", "mark_2": "0", "mark_3": "-.0001", "mark_4": "0"}
    answer = hand.send("/bench/wheels", **WHEEL | marks)
    assert answer.status_code == 422
    assert "The four marks say .00030\u202fin, not .0002" in answer.content.decode()
    assert not Wheel.objects.exists()
    assert hand.send("/bench/wheels", **WHEEL | marks | {"trued_runout": ".0003"}).status_code == 302


def test_marks_read_anew_give_the_runout_anew_and_show_what_was_read(hand):
    marks = {"mark_1": ".0002", "mark_2": "0", "mark_3": "-.0002", "mark_4": "0"}
    hand.send("/bench/wheels", **WHEEL | marks | {"trued_runout": ""})
    where = f"/bench/wheels/{Wheel.objects.get().pk}"
    assert hand.open(where).context["form"]["mark_3"].value() == "-0.0002 in"
    assert hand.send(where, mark_3="0").status_code == 302
    assert Wheel.objects.get().trued_runout_nm == 5_080


def test_a_work_holding_is_added_and_taken_out_of_use(hand, holding):
    hand.send("/bench/holdings", name="Air-bearing fixture", note="with fingers")
    hand.send(f"/bench/holdings/{holding.pk}", in_use=None)
    assert {(h.name, h.in_use) for h in WorkHolding.objects.all()} == {
        ("Air-bearing fixture", True),
        ("Work head, 6 mm collet", False),
    }


@pytest.mark.parametrize(
    ("where", "field", "typed", "said"),
    [
        ("gauges", "resolution", "0", "from .0000"),
        ("gauges", "resolution", "2 in", "out of range"),
        ("gauges", "resolution", "5", "5 thou"),
        ("gauges", "resolution", "", "Resolution is required"),
        ("gauges", "name", "", "Name is required"),
        ("gauges", "calibrated_until", "1970-01-01", "from 2000-01-01"),
        ("gauges", "calibrated_until", "spring", "2026-01-31"),
        ("gauges", "what", "ruler", "ruler"),
        ("wheels", "marked_maximum_rpm", "0", "greater than or equal to 1"),
        ("wheels", "marked_maximum_rpm", "1e400", "whole number"),
        ("wheels", "diameter", "0.2.5", "is not a length"),
        ("wheels", "width", "5.0", "wider than the wheel"),
        ("wheels", "mark_1", ".001", "four marks"),
    ],
)
def test_wrong_input_is_said_beside_the_field_and_kept(hand, where, field, typed, said):
    whole = GAUGE if where == "gauges" else WHEEL
    answer = hand.send(f"/bench/{where}", **whole | {field: typed})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert field in answer.context["form"].errors or field == "mark_1"
    assert answer.context["form"][field].value() == typed
    assert not Gauge.objects.exists()
    assert not Wheel.objects.exists()


def test_a_name_is_taken_once(hand, gauges):
    answer = hand.send("/bench/gauges", **GAUGE | {"name": "MICROMETER 1"})
    assert answer.status_code == 422
    assert "There is a MICROMETER 1 already" in answer.content.decode()


def test_two_people_mending_one_gauge_meet_a_conflict_and_nothing_is_overwritten(hand, gauges):
    where = f"/bench/gauges/{gauges['indicator'].pk}"
    mine, theirs = hand.fill(where, name="Indicator, mine"), hand.fill(where, name="Indicator, theirs")
    assert hand.client.post(where, theirs).status_code == 302
    late = hand.client.post(where, mine)
    assert late.status_code == 409
    assert ".00004\u202fin = 0.0010\u202fmm" in late.content.decode()  # its resolution, one micrometre
    assert "Indicator, theirs" in late.content.decode()
    assert "Indicator, mine" in late.content.decode()
    assert Gauge.objects.get(pk=gauges["indicator"].pk).name == "Indicator, theirs"


def test_the_same_form_sent_twice_adds_one(hand):
    sent = hand.fill("/bench/gauges", **GAUGE)
    assert hand.client.post("/bench/gauges", sent)["Location"] == hand.client.post("/bench/gauges", sent)["Location"]
    assert Gauge.objects.count() == 1


def test_the_front_desk_stays_out(client, front_desk, gauges):
    client.force_login(front_desk)
    for where in ("gauges", "wheels", "holdings", f"gauges/{gauges['indicator'].pk}"):
        assert client.get(f"/bench/{where}").status_code == 403


def test_an_empty_register_says_what_it_is_for(hand):
    assert "None yet. Add the first below" in hand.open("/bench/wheels").content.decode()
    assert hand.open("/bench/wheels/999").status_code == 404
