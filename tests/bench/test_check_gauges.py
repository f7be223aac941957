"""The gauges of the final check: which fit, which are offered, and what an overdue one says."""

import pytest

from regrind.bench.checking.actions import check
from regrind.bench.grinding.actions import grind
from regrind.bench.inspecting.actions import inspect
from regrind.bench.models import Reading
from regrind.geometry.units import parse
from regrind.record.models import Family
from regrind.record.moves import move
from regrind.shop.models import Gauge

from .check_page import READ, WHERE, nth
from .tray import ground, pieces_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch):
    return make_batch(12, number=417).lines.get()


def test_every_reading_names_its_gauge_and_its_state(line, bench_hand, hand, gauges):
    ground(line, bench_hand)
    hand.send(WHERE, **READ, **nth(line), gauge=gauges["v-anvil"].pk, indicator=gauges["indicator"].pk)
    by = dict(
        Reading.objects.filter(final_check__isnull=False, final_check__piece__number=1).values_list(
            "quantity", "gauge_name"
        )
    )
    assert by == {
        "diameter": "v-anvil 1",
        "runout_sides": "indicator 1",
        "drop": "indicator 1",
        "drop_over": "indicator 1",
    }
    assert Reading.objects.filter(final_check__piece__number=6).get().calibration == "not calibrated"


@pytest.mark.parametrize(
    ("anvil", "teeth", "fits"), [(6_000, 3, True), (10_800, 5, True), (12_857, 7, True), (6_000, 5, False)]
)
def test_a_v_anvil_serves_the_teeth_that_fit_its_angle(line, bench_hand, hand, gauges, anvil, teeth, fits):
    """180° - 360°/N: 60, 108 and 128.57 degrees (shared/13)."""
    ground(line, bench_hand)
    Gauge.objects.filter(what="v-anvil").update(anvil_cdeg=anvil)
    Family.objects.update(teeth=teeth)
    answer = hand.send(WHERE, **READ | nth(line), method="v-anvil", gauge=gauges["v-anvil"].pk)
    assert (answer.status_code == 302) is fits
    if not fits:
        assert "5 teeth need 108°" in answer.context["form"].errors["gauge"][0]


def test_a_method_that_does_not_fit_unequal_index_is_refused(line, bench_hand, hand):
    ground(line, bench_hand)
    Family.objects.update(unequal_index=True)
    assert hand.open(WHERE).context["form"]["method"].value() == "swept"
    refused = hand.send(WHERE, **READ, **nth(line), method="v-anvil")
    assert "evenly spaced teeth" in refused.content.decode()


def test_an_overdue_gauge_is_said_at_entry_and_after(line, bench_hand, hand):
    ground(line, bench_hand)
    old = Gauge.objects.create(
        name="Old mic", what="v-anvil", anvil_cdeg=6_000, resolution_nm=1_000, calibrated_until="2020-01-31"
    )
    form_page = hand.send(WHERE, **READ, gauge=old.pk).content.decode()
    assert "Old mic: calibration overdue since 31 Jan 2020" in form_page
    hand.send(WHERE, **READ, **nth(line), gauge=old.pk)
    assert (
        "Old mic: calibration overdue since 31 Jan 2020. The report will say so."
        in hand.open("/bench/417-1/checked").content.decode()
    )


def test_a_micrometer_is_never_offered_as_the_indicator(line, bench_hand, hand, gauges):
    """Core and flute length go by the micrometer as the diameter does; so does the diameter at the back."""
    micrometer, indicator = gauges["v-anvil"], gauges["indicator"]
    inspect(
        by=bench_hand,
        pieces=pieces_of(line),
        expected={},
        damage="nothing",
        gauge=micrometer,
        indicator=indicator,
        typed={
            "diameter": parse(".2498 in"),
            "tir": parse(".0002 in"),
            "core": parse(".150 in"),
            "flute_length": parse(".75 in"),
        },
    )
    move(pieces=pieces_of(line), to="ready_to_grind", by=bench_hand)
    grind(by=bench_hand, pieces=pieces_of(line), expected={}, grinds=["sides"])
    offered = hand.open(WHERE).context["form"].initial
    assert (offered["gauge"], offered["indicator"]) == (micrometer.pk, indicator.pk)


def test_nor_is_it_from_the_familys_last_check(make_batch, bench_hand, hand, gauges):
    micrometer, first = gauges["v-anvil"], make_batch(1, number=416).lines.get()
    ground(first, bench_hand)
    check(
        by=bench_hand,
        pieces=pieces_of(first),
        expected={},
        gauge=micrometer,
        typed={"diameter": parse(".2408 in"), "back_diameter": parse(".2408 in")},
    )
    ground(make_batch(1, number=418).lines.get(), bench_hand)
    assert "indicator" not in hand.open("/bench/418-1/check").context["form"].initial


def test_a_gauge_that_was_retired_meanwhile_is_kept_with_its_readings(line, bench_hand, hand, gauges):
    ground(line, bench_hand)
    sent = hand.fill(WHERE, **READ, gauge=gauges["v-anvil"].pk, indicator=gauges["indicator"].pk)
    Gauge.objects.update(in_use=False)
    again = hand.client.post(WHERE, sent)  # the diameters of the 6th and the 11th are missing
    assert again.status_code == 422
    assert "gauge" not in again.context["form"].errors
    assert f'value="{gauges["v-anvil"].pk}" selected' in again.content.decode()
    assert hand.client.post(WHERE, sent | nth(line)).status_code == 302
    assert set(Reading.objects.filter(final_check__isnull=False).values_list("gauge_name", flat=True)) == {
        "v-anvil 1",
        "indicator 1",
    }


def test_a_gauge_too_small_for_the_diameter_says_so_and_is_refused(line, bench_hand, hand, gauges):
    """A .1 in gauge cannot span a 1/4 in tool."""
    ground(line, bench_hand)
    Gauge.objects.filter(what="v-anvil").update(most_nm=2_540_000)
    page = hand.open(WHERE).content.decode()
    assert page.count("too small for this tool") == 1
    refused = hand.send(WHERE, **READ, **nth(line), gauge=gauges["v-anvil"].pk)
    [error] = refused.context["form"].errors["gauge"]
    assert error.endswith("measures up to .1000\u202fin, and the diameter is .2408\u202fin. Choose another gauge.")


def test_a_length_that_its_gauge_cannot_span_names_no_gauge(line, bench_hand, hand, gauges):
    """A .06 in indicator reads the runout, and cannot have read an overall length of 2.5 in."""
    ground(line, bench_hand)
    Gauge.objects.filter(what="indicator").update(most_nm=1_524_000)
    hand.send(WHERE, **READ, **nth(line), overall="2.5 in", indicator=gauges["indicator"].pk)
    named = dict(Reading.objects.filter(final_check__isnull=False).values_list("quantity", "gauge_name"))
    assert named["runout_sides"] == gauges["indicator"].name
    assert named["overall"] == ""
