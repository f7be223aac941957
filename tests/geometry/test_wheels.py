"""Wheel speed, its marking, grit, infeed, concentration and trued runout, against published tables."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from regrind.geometry.errors import Refused
from regrind.geometry.grit import find_grit, find_most_infeed
from regrind.geometry.tables import rows
from regrind.geometry.wheels import (
    check_rpm,
    find_marked_rpm,
    find_rpm,
    find_surface_speed,
    read_trued_runout,
    recommend_speed,
    warn_of_abrasive,
)
from tests.long_form import FULL

EXAMPLES = 5000 if FULL else 100
SPEEDS = rows("15b_wheel_rpm")
ANY = 500_000.0


def test_every_speed_of_the_table_agrees():
    # shared/15b: two rows read on makers' pages, the rest derived
    assert len(SPEEDS) == 68
    for row in SPEEDS:
        rpm = find_rpm(float(row["wheel_dia_mm"]), float(row["speed_m_s"]), ANY)
        assert rpm == pytest.approx(float(row["rpm_exact"]), abs=0.0051)
        back = find_surface_speed(float(row["wheel_dia_mm"]), float(row["rpm_exact"]))
        assert back == pytest.approx(float(row["speed_m_s"]), rel=1e-5)


def test_the_two_published_speeds_agree_to_a_tenth_of_a_percent():
    # read: microproducts.co.in wheel speed table; moderngrindingtechnology.com dresser page (shared/15b)
    published = [row for row in SPEEDS if row["rpm_published"]]
    assert [row["rpm_published"] for row in published] == ["15280", "1410"]
    for row in published:
        rpm = find_rpm(float(row["wheel_dia_mm"]), float(row["speed_m_s"]), ANY)
        assert rpm == pytest.approx(float(row["rpm_published"]), rel=0.001)


def test_surface_feet_are_the_same_speed():
    # n = 12 S/(pi D) with S in feet per minute and D in inches, shared/15b
    for row in SPEEDS:
        inch, feet = float(row["wheel_dia_in"]), float(row["speed_sfpm"])
        expected = 12 * feet / (math.pi * inch)
        rpm = find_rpm(float(row["wheel_dia_mm"]), float(row["speed_m_s"]), ANY)
        assert rpm == pytest.approx(expected, rel=2e-4)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.floats(1, 500), st.floats(0.1, 200), st.floats(10, 100_000))
def test_no_speed_is_ever_given_above_the_marked_maximum(diameter, speed, marked):
    # the hard rule of shared/16: WAC 296-806-40512, Cal/OSHA title 8 s.3580, 29 CFR 1910.243(c)(5), read
    wanted = speed * 1000 / (math.pi * diameter) * 60
    if wanted > marked * (1 + 1e-12):
        with pytest.raises(Refused, match=r"surface_speed_m_s: would need .* rpm; this wheel is marked"):
            find_rpm(diameter, speed, marked)
    else:
        assert find_rpm(diameter, speed, marked * (1 + 1e-12)) == pytest.approx(wanted)


def test_a_spindle_speed_above_the_marking_is_refused_and_one_at_it_is_not():
    check_rpm(4000.0, 4000.0)
    with pytest.raises(Refused, match="rpm: must be above 0 and at most the marked maximum, 4000 rpm"):
        check_rpm(4000.1, 4000.0)


def test_of_two_markings_the_lower_rules_and_without_one_there_is_no_speed():
    assert find_marked_rpm(100.0, marked_rpm=7000, marked_m_s=35) == pytest.approx(6684.51, abs=0.005)
    assert find_marked_rpm(100.0, marked_rpm=6000, marked_m_s=35) == 6000
    with pytest.raises(Refused, match="marked_rpm: is required"):
        find_marked_rpm(100.0)


def test_recommended_bands_are_the_read_guideline_and_the_remembered_one_agrees():
    # read: a maker's selection page; "memory: general superabrasive guides" (shared/15)
    expected = {
        ("diamond", "wet"): (20, 30, "carbide"),
        ("diamond", "dry"): (11.67, 20, "carbide"),
        ("CBN", "wet"): (25, 40, "HSS"),
        ("CBN", "dry"): (20, 25, "HSS"),
    }
    for (abrasive, mode), (low, high, work) in expected.items():
        band = recommend_speed(abrasive, mode)
        assert (band.low_m_s, band.high_m_s, band.work) == (low, high, work)
        assert band.source.startswith("read")
    for row in rows("15_wheel_speed_recommended"):
        band = recommend_speed(row["abrasive"], row["mode"].split(",")[0])
        assert (band.low_m_s, band.high_m_s) == (float(row["low_m_s"]), float(row["high_m_s"]))
        assert row["unit"] == "m/s" or float(row["low"]) / 60 == pytest.approx(band.low_m_s, abs=0.005)


def test_common_practice_diamond_for_carbide_and_cbn_for_high_speed_steel():
    # common practice
    assert warn_of_abrasive("diamond", "carbide") is None
    assert warn_of_abrasive("CBN", "HSS") is None
    assert warn_of_abrasive("diamond", "hss") == "diamond_on_steel"
    assert warn_of_abrasive("CBN", "Carbide ") == "cbn_on_carbide"
    assert warn_of_abrasive("CBN", "cermet") is None


def test_every_grit_size_is_found_by_either_name():
    # shared/14: read on a maker's page citing FEPA and ISO 6106, the coarsest and D252 from memory
    table = rows("14_superabrasive_grit")
    assert len(table) == 17
    for row in table:
        for name in (row["fepa_diamond"], row["fepa_cbn"].lower()):
            grit = find_grit(name)
            assert grit.name == name.upper()
            assert f"{grit.mesh_coarse}/{grit.mesh_fine}" == row["us_mesh"]
            assert (grit.sieve_upper_um, grit.sieve_lower_um) == (
                float(row["sieve_upper_um"]),
                float(row["sieve_lower_um"]),
            )


def test_a_grits_name_is_its_upper_sieve_rounded_up():
    # read: the rule "D = upper size + 1" (shared/14); D252 names a wide range and keeps 250 + 2
    for row in rows("14_superabrasive_grit"):
        grit = find_grit(row["fepa_diamond"])
        assert int(grit.name[1:]) - grit.sieve_upper_um == (2 if grit.name == "D252" else 1)


def test_infeeds_are_the_published_guideline_and_never_more_between_its_lines():
    # read: a maker's selection page (shared/15c)
    published = {140: 0.025, 170: 0.020, 220: 0.015, 325: 0.010, 400: 0.005}
    assert {mesh: find_most_infeed(mesh).most_mm for mesh in published} == published
    for mesh in range(16, 2001):
        allowed = [most for line, most in published.items() if line >= mesh]
        assert find_most_infeed(mesh).most_mm == (allowed[0] if allowed else 0.005)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.floats(0, 0.05), st.floats(-3, 3), st.floats(-1, 1))
def test_four_opposed_readings_give_back_the_offset_they_were_made_with(offset, direction, zero):
    # common practice: wheels are trued at four opposed marks, lifting the stylus between them
    readings = [zero + offset * math.cos(k * math.pi / 2 - direction) for k in range(4)]
    found = read_trued_runout(readings)
    assert found.offset_mm == pytest.approx(offset, abs=1e-12)
    assert found.unround_mm == pytest.approx(0, abs=1e-12)
    whole = zero + offset * np.cos(np.linspace(0, 2 * math.pi, 3601))
    assert found.total_mm <= whole.max() - whole.min() + 1e-9
    if offset > 1e-6:
        turned = math.cos(found.offset_direction_rad - direction)
        assert turned == pytest.approx(1, abs=1e-6)


def test_what_an_offset_cannot_explain_is_out_of_round():
    oval = read_trued_runout([0.004, 0.0, 0.004, 0.0])
    assert (oval.offset_mm, oval.unround_mm, oval.total_mm) == (0, 0.002, 0.004)


@pytest.mark.parametrize(
    ("field", "call"),
    [
        ("wheel_diameter_mm", lambda: find_surface_speed(0, 3000)),
        ("rpm", lambda: find_surface_speed(100, -1)),
        ("rpm", lambda: find_surface_speed(100, math.nan)),
        ("surface_speed_m_s", lambda: find_rpm(100, 0, 4000)),
        ("surface_speed_m_s", lambda: find_rpm(100, math.inf, 4000)),
        ("marked_max_rpm", lambda: find_rpm(100, 18, 0)),
        ("marked_max_rpm", lambda: check_rpm(100, math.nan)),
        ("rpm", lambda: check_rpm(math.nan, 4000)),
        ("rpm", lambda: check_rpm(0, 4000)),
        ("diameter_new_mm", lambda: find_marked_rpm(-1, marked_rpm=4000)),
        ("marked_rpm", lambda: find_marked_rpm(100, marked_rpm=-5)),
        ("marked_m_s", lambda: find_marked_rpm(100, marked_m_s=0)),
        ("abrasive", lambda: recommend_speed("corundum", "wet")),
        ("mode", lambda: recommend_speed("CBN", "damp")),
        ("abrasive", lambda: warn_of_abrasive("", "HSS")),
        ("readings_mm", lambda: read_trued_runout([0.0, 0.0, 0.0])),
        ("readings_mm", lambda: read_trued_runout([0.0, 0.0, 0.0, math.nan])),
        ("grit", lambda: find_grit("D65")),
        ("grit", lambda: find_grit("")),
        ("grit", lambda: find_grit("64")),
        ("mesh", lambda: find_most_infeed(0)),
    ],
)
def test_impossible_wheels_are_refused_by_name(field, call):
    with pytest.raises(Refused) as refused:
        call()
    assert refused.value.field == field
