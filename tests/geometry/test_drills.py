"""A drill's point length and its helix at a radius, against the derived tables and a drawn helix."""

import math

import numpy as np
import pytest

from regrind.geometry.drills import find_helix_at, find_point_length
from regrind.geometry.errors import Refused
from regrind.geometry.tables import rows


def test_point_lengths_agree_with_the_derived_table():
    # shared/07b: derived
    table = rows("07b_drill_point_length")
    assert len(table) == 7
    for row in table:
        angle = math.radians(float(row["point_angle_deg"]))
        assert find_point_length(1.0, angle) == pytest.approx(float(row["PL_over_DC"]), abs=5.1e-7)
        assert find_point_length(10.0, angle) == pytest.approx(float(row["PL_mm_for_10mm"]), abs=5.1e-5)
        inch = find_point_length(12.7, angle) / 25.4
        assert inch == pytest.approx(float(row["PL_in_for_half_inch"]), abs=5.1e-6)


def test_common_practice_the_point_of_a_118_degree_drill_is_three_tenths_of_its_diameter():
    # common practice
    assert find_point_length(10.0, math.radians(118)) == pytest.approx(3, abs=0.01)


def test_helices_at_a_radius_agree_with_the_derived_table():
    # shared/07c: derived
    table = rows("07c_drill_helix_at_radius")
    assert len(table) == 16
    for row in table:
        local = find_helix_at(math.radians(float(row["helix_at_margin_deg"])), float(row["radius_fraction"]))
        assert math.degrees(local) == pytest.approx(float(row["local_helix_deg"]), abs=5.1e-5)


def test_the_helix_at_a_radius_is_the_slope_of_a_drawn_one_of_the_same_lead():
    helix, radius = math.radians(30), 5.0
    lead = 2 * math.pi * radius / math.tan(helix)
    for fraction in (0.2, 0.5, 0.9):
        axial = np.array([0.0, 1e-6])
        turn = 2 * math.pi * axial / lead
        points = np.column_stack([np.cos(turn), np.sin(turn)]) * fraction * radius
        slope = np.linalg.norm(points[1] - points[0]) / 1e-6
        assert find_helix_at(helix, fraction) == pytest.approx(math.atan(slope), rel=1e-6)


@pytest.mark.parametrize(
    ("field", "call"),
    [
        ("diameter_mm", lambda: find_point_length(0, 2)),
        ("point_angle_rad", lambda: find_point_length(10, math.pi)),
        ("point_angle_rad", lambda: find_point_length(10, math.nan)),
        ("helix_rad", lambda: find_helix_at(math.radians(90), 0.5)),
        ("radius_fraction", lambda: find_helix_at(0.5, 1.1)),
    ],
)
def test_impossible_drills_are_refused_by_name(field, call):
    with pytest.raises(Refused) as refused:
        call()
    assert refused.value.field == field
