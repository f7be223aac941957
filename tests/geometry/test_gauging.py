"""Measuring across teeth, against polygons of tooth tips laid between jaws and into V's by optimisation."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq, linprog, minimize_scalar

from regrind.geometry.bridging import (
    find_chord,
    find_diameter_from_chord,
    find_diameter_over_pin,
    find_over_pin,
    read_against_pin,
)
from regrind.geometry.errors import Refused
from regrind.geometry.gauging import (
    check_method,
    find_flat_anvil_range,
    find_swept_diameter,
    find_vee_angle,
    find_vee_diameter,
    find_vee_height,
    read_micrometer,
    read_vee,
)
from regrind.geometry.tables import rows
from tests.long_form import FULL

EXAMPLES = 3000 if FULL else 40
MM = 25.4
# shared/13, 13c and 05b: derived (13 brute-force checked), no published figures
VEES = rows("13_odd_flute_measurement")
PINS = rows("13c_odd_flute_over_pin")


def tips(radii, turn=0.0):
    """The tooth tips as points, tooth 1 uppermost, the next ones anticlockwise."""
    angles = math.pi / 2 + turn + 2 * math.pi * np.arange(len(radii)) / len(radii)
    return np.column_stack([radii * np.cos(angles), radii * np.sin(angles)])


def lay_in_vee(radii, half_angle, turn=0.0):
    """The height of the highest tip over the apex when the points settle as low as they go in a V.

    Faces through the origin, inward normals (+-cos, sin) of the half angle. The tool slides, without turning.
    """
    points = tips(np.asarray(radii, float), turn)
    cosine, sine = math.cos(half_angle), math.sin(half_angle)
    normals = np.array([[cosine, sine], [-cosine, sine]])
    least = np.array([(points @ normal).min() for normal in normals])
    low = linprog([0, 1], A_ub=-normals, b_ub=least, bounds=[(None, None), (None, None)])
    return low.x[1] + points[:, 1].max()


def width_between_jaws(teeth, turn):
    points = tips(np.full(teeth, 0.5), turn)
    return points[:, 1].max() - points[:, 1].min()


@pytest.mark.parametrize("row", VEES, ids=lambda row: row["flutes"])
def test_vee_angles_heights_chords_and_flat_anvils_agree_with_the_derived_table(row):
    teeth = int(row["flutes"])
    assert math.degrees(find_vee_angle(teeth)) == pytest.approx(float(row["v_angle_deg"]), abs=1e-6)
    assert find_vee_height(0.5, teeth) == pytest.approx(float(row["H_over_D_apex_to_top"]), abs=1e-8)
    assert find_vee_diameter(1.0, teeth) == pytest.approx(float(row["D_over_H"]), abs=1e-8)
    travel = find_vee_height(5.25, teeth) - find_vee_height(5.0, teeth)
    assert travel == pytest.approx(float(row["spindle_travel_mm_per_0.5mm_of_diameter"]), abs=1e-6)
    assert find_chord(1.0, 1, teeth) == pytest.approx(float(row["adjacent_chord_over_D"]), abs=1e-8)
    longest = (teeth - 1) // 2
    assert find_chord(1.0, longest, teeth) == pytest.approx(float(row["longest_chord_over_D"]), abs=1e-8)
    assert find_diameter_from_chord(1.0, longest, teeth) == pytest.approx(float(row["D_over_longest_chord"]), abs=1e-8)
    least, most = find_flat_anvil_range(1.0, teeth)
    assert least == pytest.approx(float(row["min_flat_anvil_reading_over_D"]), abs=1e-8)
    assert most == pytest.approx(find_chord(1.0, longest, teeth))


def test_the_derived_table_has_the_five_odd_counts():
    assert [int(row["flutes"]) for row in VEES] == [3, 5, 7, 9, 11]


def test_the_papers_vee_angles():
    angles = [math.degrees(find_vee_angle(teeth)) for teeth in (3, 5, 7)]
    assert angles == pytest.approx([60, 108, 128.57], abs=0.005)


def test_paper_example_of_one_high_tooth_in_a_vee():
    # "one tooth of a 10 mm tool 0.010 mm high: reads 10.0067, sweeps 10.020"
    radii = [5.010, 5.0, 5.0]
    assert [round(read_vee(radii, top), 4) for top in (1, 2, 3)] == [10.0067] * 3
    assert find_swept_diameter(read_vee(radii, 1), [0, -0.01, -0.01]) == pytest.approx(10.020)


radii_of_odd_tools = st.sampled_from([3, 5, 7, 9]).flatmap(
    lambda teeth: st.lists(st.floats(0, 0.05), min_size=teeth, max_size=teeth)
)


@settings(max_examples=EXAMPLES, deadline=None)
@given(radii_of_odd_tools, st.floats(3, 20))
def test_a_vee_reads_what_a_polygon_of_tips_does_when_it_settles_in_one(below, radius):
    radii = radius - np.array(below)
    teeth = len(radii)
    half = find_vee_angle(teeth) / 2
    for top in range(1, teeth + 1):
        turned = np.roll(radii, 1 - top)
        # between the neighbours, the tooth on top is the highest: a tip 0.05 down is still above 5 mm cos(40)
        height = lay_in_vee(turned, half)
        assert read_vee(list(radii), top) == pytest.approx(find_vee_diameter(height, teeth), abs=1e-7)


@pytest.mark.parametrize("teeth", [3, 5, 7, 9, 11])
def test_rocking_an_even_tool_in_its_vee_reads_most_where_the_radii_are_square_to_the_faces(teeth):
    half = find_vee_angle(teeth) / 2
    heights = [lay_in_vee(np.full(teeth, 5.0), half, turn) for turn in np.linspace(-0.2, 0.2, 41) / teeth]
    assert max(heights) == pytest.approx(find_vee_height(5.0, teeth), abs=1e-9)
    assert int(np.argmax(heights)) == 20


@settings(max_examples=EXAMPLES, deadline=None)
@given(radii_of_odd_tools, st.floats(3, 20))
def test_the_mean_of_the_readings_gives_the_swept_diameter(below, radius):
    below = np.array(below) - min(below)
    radii = list(radius - below)
    mean = float(np.mean([read_vee(radii, top) for top in range(1, len(radii) + 1)]))
    assert mean == pytest.approx(2 * float(np.mean(radii)), abs=1e-9)
    assert find_swept_diameter(mean, list(-below)) == pytest.approx(2 * max(radii), abs=1e-9)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.lists(st.floats(0, 0.05), min_size=3, max_size=3), st.floats(3, 20))
def test_three_teeth_read_their_mean_whichever_is_on_top(below, radius):
    radii = [radius - drop for drop in below]
    for top in (1, 2, 3):
        assert read_vee(radii, top) == pytest.approx(2 * sum(radii) / 3, abs=1e-9)


@pytest.mark.parametrize("teeth", [3, 5, 7, 9])
def test_flat_anvils_read_between_the_least_and_the_greatest_width_of_the_tips(teeth):
    widths = [width_between_jaws(teeth, turn) for turn in np.linspace(0, 2 * math.pi / teeth, 7201)]
    least, most = find_flat_anvil_range(1.0, teeth)
    assert (min(widths), max(widths)) == pytest.approx((least, most), abs=1e-6)


def test_common_practice_a_plain_micrometer_cannot_span_three_teeth():
    # common practice; the most it can read over a 1/2 in tool is more than a millimetre short
    with pytest.raises(Refused, match="method: a plain micrometer needs an even number of teeth"):
        check_method("micrometer", 3)
    assert find_flat_anvil_range(12.7, 3)[1] < 12.7 - 1


def test_a_micrometer_reads_the_largest_pair_as_jaws_closing_on_the_tips_would():
    radii = [5.0, 4.99, 5.004, 4.97, 5.003, 4.995]
    jaws = [tips(np.roll(radii, -shift))[0, 1] - tips(np.roll(radii, -shift))[3, 1] for shift in range(3)]
    assert read_micrometer(radii) == pytest.approx(max(jaws), abs=1e-12)


@pytest.mark.parametrize(
    ("method", "teeth", "unequal", "field"),
    [
        ("micrometer", 3, False, "method"),
        ("micrometer", 5, False, "method"),
        ("v-anvil", 4, False, "method"),
        ("v-anvil", 2, False, "method"),
        ("v-anvil", 5, True, "unequal_index"),
        ("micrometer", 4, True, "unequal_index"),
        ("calliper", 4, False, "method"),
        ("swept", 1, False, "teeth"),
        ("swept", 100, False, "teeth"),
    ],
)
def test_methods_that_cannot_give_the_diameter_are_refused_by_name(method, teeth, unequal, field):
    with pytest.raises(Refused) as refused:
        check_method(method, teeth, unequal_index=unequal)
    assert refused.value.field == field


def test_the_swept_diameter_fits_every_tool():
    for teeth in range(2, 100):
        check_method("swept", teeth, unequal_index=True)
        check_method("v-anvil" if teeth % 2 else "micrometer", teeth)


@pytest.mark.parametrize("row", PINS, ids=lambda row: f"{row['flutes']} flutes {row['diameter_mm']} mm")
def test_readings_over_a_pin_agree_with_the_derived_table(row):
    teeth, diameter, pin = int(row["flutes"]), float(row["diameter_mm"]), float(row["pin_dia_mm"])
    reading = find_over_pin(diameter, pin, teeth)
    assert reading == pytest.approx(float(row["M_over_tooth_and_pin_mm"]), abs=1e-6)
    assert find_diameter_over_pin(reading, pin, teeth) == pytest.approx(diameter, abs=1e-9)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.sampled_from([3, 5, 7, 9]), st.floats(2, 40), st.floats(1.001, 2))
def test_a_pin_over_two_tips_settles_where_it_touches_both(teeth, diameter, wider):
    """The pin lowered towards the axis until it meets the nearer of the tips."""
    pin = wider * 2 * diameter * math.sin(math.pi / (2 * teeth))
    points = tips(np.full(teeth, diameter / 2))
    lowest = points[:, 1].min()
    below = points[points[:, 1] < lowest + 1e-9]

    def clearance(centre: float) -> float:
        return min(math.dist((0.0, -centre), point) for point in below) - pin / 2

    centre = brentq(clearance, abs(lowest), 4 * diameter + pin)
    expected = diameter / 2 + centre + pin / 2
    assert find_over_pin(diameter, pin, teeth) == pytest.approx(expected, abs=1e-9)
    assert find_diameter_over_pin(expected, pin, teeth) == pytest.approx(diameter, abs=1e-6 * diameter)


@pytest.mark.parametrize("teeth", [3, 5, 7])
def test_a_thinner_pin_is_refused_where_its_reading_stops_growing_with_the_tool(teeth):
    pin, step = 3.0, math.pi / teeth

    def shrinking(radius: float) -> float:
        reach = math.sqrt((pin / 2) ** 2 - (radius * math.sin(step)) ** 2)
        return -(radius * (1 + math.cos(step)) + reach + pin / 2)

    bounds = (0.1, pin / 2 / math.sin(step))
    widest = minimize_scalar(shrinking, bounds=bounds, method="bounded", options={"xatol": 1e-9})
    largest = 2 * widest.x
    find_over_pin(largest * 0.9999, pin, teeth)
    with pytest.raises(Refused, match="pin_diameter_mm: must be at least"):
        find_over_pin(largest * 1.0001, pin, teeth)
    assert find_diameter_over_pin(-widest.fun - 1e-9, pin, teeth) == pytest.approx(largest, abs=1e-3)
    with pytest.raises(Refused, match="reading_mm"):
        find_diameter_over_pin(-widest.fun + 1e-6, pin, teeth)


def test_chords_are_the_distances_between_drawn_tips():
    for teeth in (3, 5, 7, 8):
        points = tips(np.full(teeth, 6.0))
        for steps in range(1, teeth):
            assert find_chord(12.0, steps, teeth) == pytest.approx(math.dist(points[0], points[steps]))
            assert find_diameter_from_chord(find_chord(12.0, steps, teeth), steps, teeth) == pytest.approx(12)


def test_a_gauge_pin_gives_each_tooths_radius_at_any_index():
    assert read_against_pin(9.98, [0.012, -0.003, 0.0]) == pytest.approx([5.002, 4.987, 4.99])


@pytest.mark.parametrize(
    ("field", "call"),
    [
        ("method", lambda: find_vee_angle(4)),
        ("teeth", lambda: find_vee_angle(101)),
        ("teeth", lambda: find_vee_angle(1)),
        ("radius_mm", lambda: find_vee_height(-1.0, 3)),
        ("height_mm", lambda: find_vee_diameter(math.nan, 3)),
        ("top", lambda: read_vee([5, 5, 5], 4)),
        ("top", lambda: read_vee([5, 5, 5], 0)),
        ("radii_mm", lambda: read_vee([5, 5, math.inf], 1)),
        ("method", lambda: read_micrometer([5, 5, 5])),
        ("radii_mm", lambda: read_micrometer([5, 0])),
        ("heights_mm", lambda: find_swept_diameter(10, [0, 0.01, 0])),
        ("heights_mm", lambda: find_swept_diameter(10, [-0.02, -0.01, -0.01])),
        ("vee_mean_mm", lambda: find_swept_diameter(0, [0, 0, 0])),
        ("method", lambda: find_flat_anvil_range(10, 4)),
        ("steps", lambda: find_chord(10, 3, 3)),
        ("steps", lambda: find_chord(10, 0, 3)),
        ("chord_mm", lambda: find_diameter_from_chord(0, 1, 3)),
        ("method", lambda: find_over_pin(10, 8, 4)),
        ("pin_diameter_mm", lambda: find_over_pin(10, 5, 3)),
        ("reading_mm", lambda: find_diameter_over_pin(8, 8, 5)),
        ("readings_mm", lambda: read_against_pin(6, [0.0])),
        ("readings_mm", lambda: read_against_pin(6, [0.0, 4.0])),
        ("readings_mm", lambda: read_against_pin(6, [0.0, math.nan])),
    ],
)
def test_impossible_readings_are_refused_by_name(field, call):
    with pytest.raises(Refused) as refused:
        call()
    assert refused.value.field == field
