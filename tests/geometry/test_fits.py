"""Shank and cutting-diameter tolerances against a general library and catalogues; reamers; stiffness."""

import math
import re

import pressfit
import pytest

from regrind.geometry.errors import Refused
from regrind.geometry.fits import find_hole_tolerance, find_reamer_sizes, find_shaft_deviations
from regrind.geometry.stiffness import find_stiffness_ratio
from regrind.geometry.tables import rows

SHAFTS = rows("12_iso286_shaft_deviations")
# the general library knows IT5 to IT11
COVERED = [row for row in SHAFTS if 5 <= int(re.sub(r"\D", "", row["class"])) <= 11]


@pytest.mark.parametrize("row", COVERED, ids=lambda row: f"{row['class']} to {row['up_to_incl_mm']}")
def test_iso_286_shaft_deviations_agree_with_a_general_library(row):
    # shared/12: "memory: ISO 286-1/-2 tables", compared here afresh with pressfit
    low, high = float(row["over_mm"]), float(row["up_to_incl_mm"])
    letter, grade = re.match(r"([a-z]+)(\d+)", row["class"]).groups()
    for nominal in (low + 0.001, (low + high) / 2, high):
        found = find_shaft_deviations(row["class"], nominal)
        width = pressfit.it_value(nominal, int(grade))
        # the library leaves js, a zone centred on the size, to its caller
        upper = width / 2 if letter == "js" else pressfit.shaft_deviation(nominal, letter, int(grade))
        # js11 from 3 to 6 mm is 37.5 um
        assert (found.upper_um, found.lower_um) == (upper, upper - width)


def test_iso_286_rows_read_in_catalogues_agree():
    # shared/12: read in two makers' catalogues
    read = [row for row in SHAFTS if row["read_catalogue_um"]]
    assert len(read) == 29
    for row in read:
        for printed in row["read_catalogue_um"].split(" ; "):
            upper, lower = re.match(r"(-?\d+)/(-?\d+)", printed).groups()
            found = find_shaft_deviations(row["class"], float(row["up_to_incl_mm"]))
            assert (found.upper_um, found.lower_um) == (float(upper), float(lower))


def test_the_grades_beyond_the_library_keep_the_standards_steps():
    # memory: ISO 286-1, from IT6 on every fifth grade is ten times as wide; js is centred, h hangs from zero
    for row in SHAFTS:
        letter, grade = re.match(r"([a-z]+)(\d+)", row["class"]).groups()
        if int(grade) < 12:
            continue
        nominal = float(row["up_to_incl_mm"])
        found = find_shaft_deviations(row["class"], nominal)
        width = 10 * pressfit.it_value(nominal, int(grade) - 5)
        # the standard's own rounding at IT13 and IT14 differs by a few per cent from ten times IT8 and IT9
        assert found.upper_um - found.lower_um == pytest.approx(width, rel=0.04)
        assert found.upper_um == (0 if letter == "h" else -found.lower_um)


def test_reamers_for_h7_agree_with_the_remembered_table():
    # shared/08b: "memory: DIN 1420 / ISO 522 rule and its H7 table"; IT7 from the general library
    table = rows("08b_reamer_tolerance_H7")
    assert len(table) == 6
    for row in table:
        grade = pressfit.it_value(float(row["up_to_incl_mm"]), 7)
        assert grade == int(row["IT7_um"])
        lower, upper = find_reamer_sizes(0, grade * 1000)
        assert f"{upper / 1000:g}/{lower / 1000:g}" == row["table_um"]


def test_stiffness_agrees_with_the_derived_table():
    # shared/21: derived
    table = rows("21_stiffness_ratio")
    assert len(table) == 10
    for row in table:
        after = 10 * (1 - float(row["diameter_reduction_pct"]) / 100)
        ratio = find_stiffness_ratio(10.0, after)
        assert ratio == pytest.approx(float(row["stiffness_ratio_D4"]), abs=5.1e-7)
        assert 1 / ratio == pytest.approx(float(row["deflection_ratio"]), abs=5.1e-7)


def test_twice_the_overhang_bends_eight_times_and_twice_the_diameter_a_sixteenth():
    # read: a maker's learning page (shared/18), 0.2 to 1.6 mm and 25 um to 1.5625 um
    table = {row["item"]: row for row in rows("18_practice_and_tolerances")}
    overhang = float(table["deflection when overhang doubles"]["value"])
    assert 1 / find_stiffness_ratio(10, 10, 30, 60) == pytest.approx(overhang)
    diameter = float(table["deflection when diameter doubles"]["value"])
    assert 1 / find_stiffness_ratio(10, 20) == pytest.approx(diameter)


@pytest.mark.parametrize(
    ("field", "call"),
    [
        ("tolerance_class", lambda: find_shaft_deviations("h99", 6)),
        ("nominal_mm", lambda: find_shaft_deviations("h6", 0)),
        ("nominal_mm", lambda: find_shaft_deviations("h6", 50.1)),
        ("nominal_mm", lambda: find_shaft_deviations("h6", math.nan)),
        ("grade", lambda: find_hole_tolerance("IT5", 6)),
        ("nominal_mm", lambda: find_hole_tolerance("IT7", 80.1)),
        ("hole_upper_nm", lambda: find_reamer_sizes(10_000_000, 10_000_000)),
        ("diameter_after_mm", lambda: find_stiffness_ratio(10, 0)),
        ("overhang_after_mm", lambda: find_stiffness_ratio(10, 9, 20, -1)),
    ],
)
def test_impossible_sizes_are_refused_by_name(field, call):
    with pytest.raises(Refused) as refused:
        call()
    assert refused.value.field == field
