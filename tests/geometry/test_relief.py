"""Relief from a drop and back: the handbook's tables, the paper's examples, and sampled geometry."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from regrind.geometry.errors import Refused
from regrind.geometry.handbook import find_handbook_relief
from regrind.geometry.hollow import find_hollow_depth, find_hollow_drop, find_mean_relief
from regrind.geometry.relief import Way, aim_drop, find_drop, find_relief, read_relief
from regrind.geometry.tables import rows
from tests.long_form import FULL

EXAMPLES = 5000 if FULL else 80
MM = 25.4
# shared/01: "memory: Machinery's Handbook, table of indicator drops for checking radial relief on peripheral teeth"
RADIAL = rows("01_relief_drop_radial_flat")
# shared/02: "memory: Machinery's Handbook, indicator drops for side and end teeth"
AXIAL = rows("02_relief_drop_axial")


def drop_in(row: dict[str, str], way: Way) -> float:
    radius, distance = float(row["cutter_dia_in"]) * MM / 2, float(row["checking_distance_in"]) * MM
    return find_drop(math.radians(float(row["relief_deg"])), distance, way, radius) / MM


def prints_as(value_in: float, printed: str) -> bool:
    """Whether a value rounds to the printed digits (half a digit, and 1e-9 for the last binary one)."""
    digits = len(printed.partition(".")[2]) if "e" not in printed else 5
    return abs(value_in - float(printed)) <= 0.5 * 10**-digits + 1e-9


def test_eighty_of_86_remembered_handbook_drops_agree_to_the_printed_digit():
    agreeing = [row for row in RADIAL if prints_as(drop_in(row, Way.TANGENT), row["drop_table_in"])]
    assert (len(agreeing), len(RADIAL)) == (80, 86)
    assert all(row["test_use"] == "exact" for row in agreeing)


def test_the_worst_of_the_remembered_handbook_drops_differs_by_eleven_hundred_thousandths():
    worst = max(abs(drop_in(row, Way.TANGENT) - float(row["drop_table_in"])) for row in RADIAL)
    assert worst == pytest.approx(0.00011, abs=0.000005)


def test_the_six_doubtful_handbook_drops_are_those_that_disagree():
    doubtful = [row for row in RADIAL if row["test_use"].startswith("doubtful")]
    assert len(doubtful) == 6
    assert not any(prints_as(drop_in(row, Way.TANGENT), row["drop_table_in"]) for row in doubtful)


def test_the_handbook_measured_along_the_tangent_and_not_along_the_land_or_the_arc():
    def agreeing(way: Way) -> int:
        return sum(prints_as(drop_in(row, way), row["drop_table_in"]) for row in RADIAL)

    assert agreeing(Way.LAND) < agreeing(Way.TANGENT)
    assert agreeing(Way.ARC) < agreeing(Way.TANGENT)


def test_all_54_of_54_remembered_end_tooth_drops_agree():
    drops = [
        find_drop(math.radians(float(row["relief_deg"])), float(row["checking_distance_in"]), Way.TRAVERSED)
        for row in AXIAL
    ]
    agreeing = [prints_as(drop, row["drop_table_in"]) for drop, row in zip(drops, AXIAL, strict=True)]
    assert (sum(agreeing), len(agreeing)) == (54, 54)


@pytest.mark.parametrize(
    ("way", "column", "digits"),
    [
        (Way.TANGENT, "drop_calc_tangent_in", 6),
        (Way.LAND, "drop_calc_along_land_in", 6),
        (Way.ARC, "drop_calc_arc_in", 6),
    ],
)
def test_each_way_agrees_with_the_tables_own_derived_column(way, column, digits):
    for row in RADIAL:
        assert drop_in(row, way) == pytest.approx(float(row[column]), abs=0.51 * 10**-digits)


def test_angles_read_back_from_the_printed_drops_agree_with_the_derived_column():
    for row in RADIAL:
        radius, distance = float(row["cutter_dia_in"]) * MM / 2, float(row["checking_distance_in"]) * MM
        angle = find_relief(float(row["drop_table_in"]) * MM, distance, Way.TANGENT, radius)
        assert math.degrees(angle) == pytest.approx(float(row["angle_from_table_drop_deg"]), abs=0.0006)


def test_half_a_tenth_is_worth_the_angle_the_derived_column_says_and_at_most_half_a_degree_or_so():
    found = []
    for row in RADIAL:
        radius, distance = float(row["cutter_dia_in"]) * MM / 2, float(row["checking_distance_in"]) * MM
        drop = find_drop(math.radians(float(row["relief_deg"])), distance, Way.TANGENT, radius)
        reading = read_relief(drop, distance, Way.TANGENT, radius, digit_mm=0.0001 * MM)
        found.append(math.degrees(reading.half_digit_rad))
        assert found[-1] == pytest.approx(float(row["angle_change_per_0.00005in_drop_deg"]), abs=0.004)
    assert max(found) == pytest.approx(0.53, abs=0.005)  # the paper's worst case, a 3/32 in cutter


def test_paper_example_of_a_half_inch_cutter():
    # worked by independent models before the paper was written; the handbook prints .0024 and .0034
    for degrees, millimetres, inches in ((9, 0.05991, 0.002359), (12, 0.08734, 0.003439)):
        drop = find_drop(math.radians(degrees), 0.508, Way.TANGENT, 6.35)
        assert drop == pytest.approx(millimetres, abs=5e-6)
        assert drop / MM == pytest.approx(inches, abs=5e-7)


def test_paper_example_of_one_land_in_four_ways():
    expected = {Way.TANGENT: 0.05433, Way.LAND: 0.05375, Way.ARC: 0.05388, Way.TRAVERSED: 0.07053}
    for way, drop in expected.items():
        assert find_drop(math.radians(10), 0.4, way, 5.0) == pytest.approx(drop, abs=5e-6)


def sampled_drop(way: Way, relief: float, distance: float, radius: float) -> float:
    """The same drop by walking along the land and looking for the place the indicator stands at."""

    def at(t: float) -> tuple[float, float]:
        return -t * math.cos(relief), radius - t * math.sin(relief)

    goals = {
        Way.TANGENT: lambda t: -at(t)[0] - distance,
        Way.LAND: lambda t: math.dist(at(t), (0.0, radius)) - distance,
        Way.ARC: lambda t: radius * math.atan2(-at(t)[0], at(t)[1]) - distance,
    }
    return radius - math.hypot(*at(brentq(goals[way], 0, 5 * radius, xtol=1e-14)))


tools = st.tuples(st.floats(0.5, 200), st.floats(0.01, 0.5), st.floats(0.0, 35.0))


@settings(max_examples=EXAMPLES, deadline=None)
@given(tools, st.sampled_from([Way.TANGENT, Way.LAND, Way.ARC]))
def test_a_drop_is_where_the_land_passes_under_the_indicator(tool, way):
    radius, share, degrees = tool
    relief, distance = math.radians(degrees), share * radius
    expected = sampled_drop(way, relief, distance, radius)
    assert find_drop(relief, distance, way, radius) == pytest.approx(expected, abs=1e-9 * radius)


@settings(max_examples=EXAMPLES, deadline=None)
@given(tools, st.sampled_from(list(Way)))
def test_a_relief_read_from_its_own_drop_is_the_same_relief(tool, way):
    radius, share, degrees = tool
    relief, distance = math.radians(degrees), share * radius
    drop = find_drop(relief, distance, way, radius)
    assert find_relief(drop, distance, way, radius) == pytest.approx(relief, abs=1e-9)


@settings(max_examples=EXAMPLES, deadline=None)
@given(tools, st.sampled_from(list(Way)))
def test_the_uncertainty_is_the_numeric_slope_by_each_reading(tool, way):
    radius, share, degrees = tool
    distance = share * radius
    drop = find_drop(math.radians(degrees), distance, way, radius)
    step = 1e-5 * distance

    def shifted(d: float = 0.0, w: float = 0.0, r: float = 0.0) -> float:
        return find_relief(drop + d, distance + w, way, radius + r)

    for name, moved in (("drop_u_mm", "d"), ("distance_u_mm", "w"), ("radius_u_mm", "r")):
        slope = (shifted(**{moved: step}) - shifted(**{moved: -step})) / (2 * step)
        u = read_relief(drop, distance, way, radius, **{name: 0.01 * distance}).standard_uncertainty_rad
        assert u == pytest.approx(abs(slope) * 0.01 * distance, rel=1e-4, abs=1e-9)


def test_a_digit_adds_its_twelfth_root_and_independent_parts_add_as_squares():
    alone = read_relief(0.05, 0.4, Way.LAND, 5.0, digit_mm=0.001)
    given_u = read_relief(0.05, 0.4, Way.LAND, 5.0, drop_u_mm=0.001 / math.sqrt(12))
    assert alone.standard_uncertainty_rad == pytest.approx(given_u.standard_uncertainty_rad, rel=1e-12)
    parts = [
        read_relief(0.05, 0.4, Way.LAND, 5.0, **part).standard_uncertainty_rad
        for part in ({"drop_u_mm": 0.001}, {"distance_u_mm": 0.01}, {"radius_u_mm": 0.01})
    ]
    every = read_relief(0.05, 0.4, Way.LAND, 5.0, drop_u_mm=0.001, distance_u_mm=0.01, radius_u_mm=0.01)
    assert every.standard_uncertainty_rad == pytest.approx(math.hypot(*parts), rel=1e-12)
    assert every.expanded_uncertainty_rad == 2 * every.standard_uncertainty_rad
    assert read_relief(0.05, 0.4, Way.LAND, 5.0).standard_uncertainty_rad == 0


def test_the_drop_to_aim_for_reads_back_as_the_relief_and_its_tolerance():
    aim = aim_drop(math.radians(12), math.radians(1), 0.25, Way.TANGENT, 3.0581, land_mm=0.4695)
    angles = [
        math.degrees(find_relief(drop, 0.25, Way.TANGENT, 3.0581)) for drop in (aim.least_mm, aim.drop_mm, aim.most_mm)
    ]
    assert angles == pytest.approx([11, 12, 13], abs=1e-9)


def test_the_indicator_has_to_stay_on_the_land():
    with pytest.raises(Refused, match=r"distance_mm: must stay on the land, at most 0\.2 mm"):
        aim_drop(math.radians(12), 0.0, 0.25, Way.LAND, 3.0, land_mm=0.2)


@pytest.mark.parametrize(
    ("field", "arguments"),
    [
        ("distance_mm", (0.05, 0.0, Way.LAND, 5.0)),
        ("distance_mm", (0.05, 5.0, Way.LAND, 5.0)),
        ("distance_mm", (0.05, math.nan, Way.LAND, 5.0)),
        ("radius_mm", (0.05, 0.4, Way.LAND, None)),
        ("radius_mm", (0.05, 0.4, Way.ARC, -5.0)),
        ("radius_mm", (0.05, 0.4, Way.TANGENT, math.inf)),
        ("drop_mm", (5.0, 0.4, Way.LAND, 5.0)),
        ("drop_mm", (0.5, 0.4, Way.LAND, 5.0)),
        ("drop_mm", (4.8, 0.4, Way.TANGENT, 5.0)),
        ("drop_mm", (math.nan, 0.4, Way.ARC, 5.0)),
        ("drop_mm", (math.inf, 0.4, Way.TRAVERSED, None)),
    ],
)
def test_impossible_readings_are_refused_by_name(field, arguments):
    with pytest.raises(Refused) as refused:
        find_relief(*arguments)
    assert refused.value.field == field
    assert refused.value.message


@pytest.mark.parametrize("degrees", [-90, 90, 91, math.nan, math.inf])
def test_a_relief_of_a_right_angle_is_refused(degrees):
    with pytest.raises(Refused, match="relief_rad: must be between -90 and 90 degrees"):
        find_drop(math.radians(degrees), 0.4, Way.LAND, 5.0)


def test_reliefs_beyond_what_a_way_can_show_are_refused():
    with pytest.raises(Refused, match="relief_rad: must be below"):
        find_drop(math.radians(89), 0.4, Way.TANGENT, 5.0)
    with pytest.raises(Refused, match="relief_rad: must be above"):
        find_drop(math.radians(-89), 0.4, Way.ARC, 5.0)


def test_paper_example_of_a_hollow_flank():
    # "the hollow flank drops about 0.0017 mm less than a flat one"
    flat = find_drop(math.radians(10), 0.5, Way.LAND, 50.0)
    assert flat - find_hollow_drop(50.0, 0.5, math.radians(10), 75.0) == pytest.approx(0.0017, abs=0.0001)


def test_mean_reliefs_of_hollow_lands_agree_with_the_derived_table():
    # shared/04b, "derived: circle through the edge", there with the land's width taken along the tangent
    table = rows("04b_disc_wheel_hollow_land")
    assert len(table) == 5
    for row in table:
        wheel, relief = float(row["wheel_dia_mm"]) / 2, math.radians(float(row["set_clearance_deg"]))
        width, expected = float(row["land_width_mm"]), float(row["mean_relief_over_land_deg"])
        assert math.degrees(find_mean_relief(relief, width, wheel)) == pytest.approx(expected, abs=0.01)
        along = land_spanning(width, relief, wheel)
        assert math.degrees(find_mean_relief(relief, along, wheel)) == pytest.approx(expected, abs=0.0001)


def land_spanning(width_mm: float, relief: float, wheel: float) -> float:
    """The land whose shadow on the tangent is `width_mm` wide."""

    def excess(land: float) -> float:
        return land * math.cos(find_mean_relief(relief, land, wheel)) - width_mm

    return brentq(excess, width_mm, 2 * width_mm)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.floats(25, 200), st.floats(0.1, 3), st.floats(3, 30), st.floats(3, 100))
def test_the_hollow_is_where_the_wheels_circle_runs(wheel, land, degrees, radius):
    """The wheel drawn as a circle through the edge, the heel found on it by stepping along."""
    relief = math.radians(degrees)
    centre = -wheel * math.sin(relief), radius + wheel * math.cos(relief)

    def at(turn: float) -> tuple[float, float]:
        angle = relief - math.pi / 2 - turn
        return centre[0] + wheel * math.cos(angle), centre[1] + wheel * math.sin(angle)

    assert at(0) == pytest.approx((0.0, radius), abs=1e-9)
    heel = at(brentq(lambda turn: math.dist(at(turn), at(0)) - land, 0, 1))
    middle = at(brentq(lambda turn: math.dist(at(turn), at(0)) - math.dist(at(turn), heel), 0, 1))
    chord_middle = heel[0] / 2, (heel[1] + radius) / 2
    if math.atan2(radius - heel[1], -heel[0]) > 1e-6 and land < radius:
        drop = find_hollow_drop(radius, land, relief, wheel)
        assert drop == pytest.approx(radius - math.hypot(*heel), abs=1e-8)
    assert find_hollow_depth(land, wheel) == pytest.approx(math.dist(middle, chord_middle), abs=1e-8)


def test_a_hollow_land_without_relief_left_is_refused():
    with pytest.raises(Refused, match="land_mm: must be below"):
        find_mean_relief(math.radians(1), 4.0, 50.0)
    with pytest.raises(Refused, match="wheel_radius_mm"):
        find_hollow_depth(0.5, 0.0)


def test_the_handbooks_line_is_that_of_the_largest_diameter_not_above_the_cutter():
    assert find_handbook_relief(1.58) is None
    for row in RADIAL:
        line = find_handbook_relief(float(row["cutter_dia_in"]) * MM + 0.001)
        assert line is not None
        assert line.diameter_mm == pytest.approx(float(row["cutter_dia_in"]) * MM)
        end = line.least_relief_rad if row["range_end"] == "min" else line.most_relief_rad
        assert math.degrees(end) == pytest.approx(float(row["relief_deg"]))
        assert line.widest_land_mm == pytest.approx(float(row["max_primary_land_in"]) * MM)
        assert line.checking_distance_mm == pytest.approx(float(row["checking_distance_in"]) * MM)
    assert find_handbook_relief(12.69999).diameter_mm < find_handbook_relief(12.7).diameter_mm


def test_the_handbook_checks_its_own_lands_inside_their_widest():
    assert all(float(row["checking_distance_in"]) < float(row["max_primary_land_in"]) for row in RADIAL)
