"""Settings for end teeth and corners against the handbook's table, outlines built of points, and worked sizes."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from regrind.geometry.end_setup import find_end_drop, set_corner, set_end_teeth
from regrind.geometry.errors import Refused
from regrind.geometry.inputs import SQUARE, Corner, EndTeeth
from regrind.geometry.tables import rows

MM_PER_IN = 25.4
DROPS = rows("02_relief_drop_axial")
ANGLES = [row for row in rows("27b_endform_angles") if row["dish_deg"] and row["axial_primary_relief_deg"]]


@pytest.mark.parametrize("row", DROPS, ids=lambda row: f"{row['relief_deg']}-{row['checking_distance_in']}")
def test_the_drop_of_an_end_tooth_is_the_handbooks_to_its_digit(row):
    """Source: shared/02_relief_drop_axial.csv, a handbook's indicator drops for side and end teeth, from memory."""
    drop = find_end_drop(math.radians(float(row["relief_deg"])), float(row["checking_distance_in"]) * MM_PER_IN)
    printed = row["drop_table_in"]
    digit = 10.0 ** -len(f"{float(printed):.5f}".rstrip("0").partition(".")[2])
    assert drop / MM_PER_IN == pytest.approx(float(printed), abs=digit / 2 + 1e-9)


def test_all_54_drops_are_there():
    assert len(DROPS) == 54


def _middle(text):
    low, _, high = text.partition("-")
    return (float(low) + float(high or low)) / 2


@pytest.mark.parametrize("row", ANGLES, ids=lambda row: f"{row['tool']}, {row['flutes']}, {row['size_band'][:6]}")
def test_tilt_and_swing_are_the_makers_reliefs_and_dish(row):
    """Source: shared/27b_endform_angles.csv, a maker's regrind data; the centre's drop by a line at that dish."""
    relief, dish = _middle(row["axial_primary_relief_deg"]), _middle(row["dish_deg"])
    setup = set_end_teeth(EndTeeth(dish_deg=dish, primary_relief_deg=relief), 5.0)
    assert (math.degrees(setup.tilt_rad), math.degrees(setup.swing_rad)) == (pytest.approx(relief), pytest.approx(dish))
    edge = np.array([math.cos(math.radians(dish)), math.sin(math.radians(dish))])
    assert setup.centre_drop_mm == pytest.approx(edge[1] * 5.0 / edge[0])


def test_the_dish_that_is_ground_counts_and_the_edge_ends_at_its_inner_radius():
    end = EndTeeth(dish_deg=3, dish_to_deg=2, inner_radius_nm=1_000_000, primary_relief_deg=8, secondary_relief_deg=18)
    setup = set_end_teeth(end, 5.0)
    assert math.degrees(setup.swing_rad) == pytest.approx(2)
    assert math.degrees(setup.secondary_tilt_rad) == pytest.approx(18)
    assert setup.centre_drop_mm == pytest.approx(4 * math.tan(math.radians(2)))


@pytest.mark.parametrize("angle", range(0, 91, 10))
def test_a_swing_about_the_centre_runs_into_end_and_sides(angle):
    """Points at one radius about the centre: on the end at 0 degrees, on the sides at 90, nowhere outside."""
    for corner, size in ((Corner("radius", 1_000_000), 1.0), (Corner("ball"), 5.0)):
        setup = set_corner(corner, 5.0)
        z = setup.centre_behind_mm - size * math.cos(math.radians(angle))
        x = setup.centre_off_axis_mm + size * math.sin(math.radians(angle))
        assert z >= -1e-12
        assert x <= 5.0 + 1e-12
        assert z == pytest.approx(0, abs=1e-12) or angle > 0
        assert x == pytest.approx(5.0) or angle < 90


@given(st.floats(0.05, 4.0))
def test_a_chamfers_plane_cuts_its_leg_off_end_and_sides(leg):
    """The plane at 45 degrees passes through both ends of the legs: its distance from the sharp corner, by vectors."""
    setup = set_corner(Corner("chamfer", round(leg * 1e6)), 5.0)
    on_end, on_side, sharp = np.array([0.0, 5.0 - leg]), np.array([leg, 5.0]), np.array([0.0, 5.0])
    along = (on_side - on_end) / np.linalg.norm(on_side - on_end)
    away = sharp - on_end
    distance = abs(along[0] * away[1] - along[1] * away[0])
    assert setup.off_sharp_corner_mm == pytest.approx(distance, abs=1e-6)
    assert math.degrees(setup.angle_rad) == pytest.approx(45)


def test_a_square_corner_needs_no_setting():
    setup = set_corner(SQUARE, 5.0)
    assert (setup.centre_off_axis_mm, setup.centre_behind_mm, setup.angle_rad, setup.off_sharp_corner_mm) == (None,) * 4


WIDE = EndTeeth(dish_deg=2, primary_relief_deg=8, inner_radius_nm=6_000_000)


@pytest.mark.parametrize(
    ("field", "call"),
    [
        ("end_primary_relief_deg", lambda: set_end_teeth(EndTeeth(dish_deg=2), 5.0)),
        ("dish_deg", lambda: set_end_teeth(EndTeeth(primary_relief_deg=8), 5.0)),
        (
            "radius_mm",
            lambda: set_end_teeth(WIDE, 5.0),
        ),
        ("radius_mm", lambda: set_corner(SQUARE, 0.0)),
        ("corner.radius", lambda: set_corner(Corner("radius", 6_000_000), 5.0)),
        ("corner.width", lambda: set_corner(Corner("chamfer", 6_000_000), 5.0)),
        ("relief_rad", lambda: find_end_drop(math.radians(60), 0.5)),
        ("distance_mm", lambda: find_end_drop(0.1, 0.0)),
    ],
)
def test_what_cannot_be_set_is_refused_by_name(field, call):
    with pytest.raises(Refused) as refused:
        call()
    assert refused.value.field == field
