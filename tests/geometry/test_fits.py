"""Shank and cutting-diameter tolerances against a general library and catalogues; reamers."""

import math
import re

import pressfit
import pytest

from regrind.geometry.errors import Refused
from regrind.geometry.fits import find_hole_tolerance, find_reamer_sizes, find_shaft_deviations
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
    ],
)
def test_impossible_sizes_are_refused_by_name(field, call):
    with pytest.raises(Refused) as refused:
        call()
    assert refused.value.field == field
