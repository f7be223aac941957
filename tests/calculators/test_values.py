"""The bench book's pages show the values of the tables in shared/, whose rows name their source."""

import math

import pytest
from django.urls import reverse

from regrind.calculators.pages import PAGES
from regrind.geometry.tables import rows

pytestmark = pytest.mark.django_db


@pytest.fixture
def hand(client, bench_hand):
    client.force_login(bench_hand)
    return client


def answer(hand, what, code, unit="mm", /, **changed):
    """The result of a page's worked example with other things typed."""
    typed = {"by": code, "unit": unit, **PAGES[what].way(code).form.example(unit), **changed}
    response = hand.get(reverse("calculators:page", args=[what]), typed)
    assert response.status_code == 200, response.context["form"].errors
    return response.context["result"]


def number(text: str) -> float:
    """The number of a figure as it is read: .0024 in, −3.60°, 3342 rpm."""
    return float(text.split("\u202f")[0].rstrip("°").replace("\u2212", "-"))


def figure(result, label: str) -> float:
    return next(number(each.value) for each in result.figures if each.label == label)


def step_result(result, start: str) -> str:
    return next(line.result for line in result.working if line.result.startswith(start))


def some(name: str, every: int, keep=lambda row: True) -> list[dict[str, str]]:
    kept = [row for row in rows(name) if keep(row)]
    return kept[::every]


def exact(row) -> bool:
    return row["test_use"] == "exact"


@pytest.mark.parametrize("row", some("01_relief_drop_radial_flat", 9, exact), ids=lambda r: r["cutter_dia_frac_in"])
def test_a_drop_along_the_tangent_is_the_handbooks_to_its_digit(hand, row):
    """shared/01: a handbook's table of drops for radial relief, from memory; distance along the tangent."""
    result = answer(
        hand,
        "relief",
        "aim",
        "in",
        diameter=f"{row['cutter_dia_in']} in",
        land="",
        distance=f"{row['checking_distance_in']} in",
        relief=row["relief_deg"],
        way="tangent",
    )
    assert number(step_result(result, "d = ")[4:]) == pytest.approx(float(row["drop_table_in"]), abs=0.000051)


@pytest.mark.parametrize("row", some("02_relief_drop_axial", 9), ids=lambda r: str(list(r.values())[:2]))
def test_a_drop_traversed_over_the_end_is_the_handbooks(hand, row):
    """shared/02: a handbook's table of drops for end teeth, from memory; d = w tan(relief)."""
    distance = next(value for key, value in row.items() if "distance_in" in key)
    drop = next(value for key, value in row.items() if key.startswith("drop_table_in"))
    result = answer(
        hand,
        "relief",
        "aim",
        "in",
        diameter="4.0 in",
        land="",
        distance=f"{distance} in",
        relief=row["relief_deg"],
        way="traversed",
    )
    assert number(step_result(result, "d = ")[4:]) == pytest.approx(float(drop), abs=0.000051)


@pytest.mark.parametrize(
    "row",
    some("04_wheel_offset", 11, lambda r: "straight" in r["setup"] and exact(r)),
    ids=lambda r: f"{r['diameter_in']} in, {r['clearance_deg']}",
)
def test_a_straight_wheel_stands_as_high_as_the_handbooks(hand, row):
    """shared/04: a handbook's disc-wheel table, from memory, and the exact offset R sin(relief)."""
    result = answer(
        hand,
        "stylus",
        "straight",
        "in",
        wheel=f"{row['diameter_in']}.0 in",
        relief=row["clearance_deg"],
        edge_above="0",
        land="",
    )
    assert number(step_result(result, "H = ")[4:]) == pytest.approx(float(row["offset_exact_in"]), abs=6e-6)


@pytest.mark.parametrize(
    "row",
    rows("04b_disc_wheel_hollow_land"),
    ids=lambda r: f"{r['wheel_dia_mm']} {r['set_clearance_deg']} {r['land_width_mm']}",
)
def test_a_periphery_leaves_the_mean_relief_of_the_derived_table(hand, row):
    """shared/04b: circle through the edge, derived; to 0.01 degrees."""
    result = answer(
        hand,
        "stylus",
        "straight",
        wheel=f"{row['wheel_dia_mm']} mm",
        relief=row["set_clearance_deg"],
        land=f"{row['land_width_mm']} mm",
        edge_above="0",
        diameter="100 mm",
    )
    said = float(row["mean_relief_over_land_deg"])
    assert figure(result, "Mean relief of the land") == pytest.approx(said, abs=0.0101)


@pytest.mark.parametrize("row", rows("13_odd_flute_measurement"), ids=lambda r: r["flutes"])
def test_heights_and_chords_of_odd_flutes_are_the_brute_forced_ones(hand, row):
    """shared/13: derived, checked by brute force: a tool of 10 mm, its height in the V, its chords."""
    height, teeth = 10 * float(row["H_over_D_apex_to_top"]), row["flutes"]
    result = answer(hand, "odd-flute", "vee", teeth=teeth, height=f"{height:.6f} mm")
    assert figure(result, "Diameter") == pytest.approx(10, abs=1e-3)
    assert figure(result, "V-anvil’s angle") == pytest.approx(float(row["v_angle_deg"]), abs=0.006)
    for steps, column in (("1", "adjacent_chord_over_D"), (str(int(teeth) // 2), "longest_chord_over_D")):
        chord = answer(hand, "odd-flute", "chord", teeth=teeth, steps=steps, chord=f"{10 * float(row[column]):.6f} mm")
        assert figure(chord, "Diameter") == pytest.approx(10, abs=1e-3)


@pytest.mark.parametrize("row", rows("13c_odd_flute_over_pin"), ids=lambda r: f"{r['flutes']} {r['diameter_mm']}")
def test_readings_over_a_pin_give_the_tabled_diameters(hand, row):
    """shared/13c: derived."""
    result = answer(
        hand,
        "odd-flute",
        "pin",
        teeth=row["flutes"],
        pin=f"{row['pin_dia_mm']} mm",
        reading=f"{row['M_over_tooth_and_pin_mm']} mm",
    )
    assert figure(result, "Diameter") == pytest.approx(float(row["diameter_mm"]), abs=1e-3)


@pytest.mark.parametrize("row", some("15b_wheel_rpm", 5), ids=lambda r: f"{r['wheel_dia_mm']} {r['speed_m_s']}")
def test_spindle_speeds_are_the_tabled_ones(hand, row):
    """shared/15b: read from makers' pages where published (to 0.1 %), else derived; the page rounds down."""
    result = answer(
        hand,
        "wheel-speed",
        "rpm",
        marked="50000",
        wheel=f"{row['wheel_dia_mm']} mm",
        speed=f"{float(row['speed_m_s']):g} m/s",
    )
    assert figure(result, "Spindle speed") == math.floor(float(row["rpm_exact"]))
    if row["rpm_published"]:
        assert figure(result, "Spindle speed") == pytest.approx(float(row["rpm_published"]), rel=0.0011)


@pytest.mark.parametrize("row", some("19_rake_after_od_regrind", 3), ids=lambda r: f"{r['D0_mm']} {r['D1_mm']}")
def test_rakes_down_a_measured_and_a_straight_face_are_the_derived_ones(hand, row):
    """shared/19: derived from intersecting arcs; to 0.001 degrees."""
    result = answer(
        hand,
        "zero-rake",
        "face",
        diameter=f"{row['D0_mm']} mm",
        core=f"{0.4 * float(row['D0_mm']):.3f} mm",
        rake=row["rake0_deg"],
        arc=f"{row['hook_radius_mm']} mm",
        after=f"{row['D1_mm']} mm",
        stock="",
    )
    curved, straight = (
        step_result(result, "γ = ")
        if k == 0
        else next(line.result for line in result.working if line.formula.startswith("a straight face"))
        for k in range(2)
    )
    said = number(curved.removeprefix("γ = ").split("°")[0])
    assert said == pytest.approx(float(row["rake1_circular_hook_deg"]), abs=0.00101)
    beside = number(straight.removeprefix("γ = ").split("°")[0])
    assert beside == pytest.approx(float(row["rake1_flat_face_deg"]), abs=0.00101)


def test_the_rake_is_drawn_as_a_curve_in_the_unit_of_the_page(hand):
    """6.35 mm, core 3.81, 8 degrees: 2.903 at 6.096 mm, gone at 5.9551, a straight face 8.336 (independent model)."""
    for unit, words in (("mm", "diameter, mm"), ("in", "diameter, in")):
        curve = str(answer(hand, "zero-rake", "face", unit).drawings[0])
        for said in (words, "straight face", "curved face", "2.90°", "D₀", 'aria-label="Rake against diameter'):
            assert said in curve
    result = answer(hand, "zero-rake", "face")
    assert any(line.result.startswith("γ = 8.336°") for line in result.working)


def test_the_limit_that_ends_the_regrinds_is_named(hand):
    """Radial .127 from 6.35: 6.096, 5.842, 5.588, 5.334; the zero of rake is 5.955, least diameter 5.5 (by hand)."""

    def ends(**changed):
        return {each.label: each.other for each in answer(hand, "zero-rake", "face", **changed).figures}

    assert ends()["Regrinds left"] == "the 2nd passes the least rake, on the assumed face"
    assert ends()["By hard limits alone"] == "the 4th passes the least diameter"
    assert ends(usable="13.0 mm")["Regrinds left"].startswith("the 1st passes the least length")
    assert ends(least="", usable="", stock="1.0 mm", after="6.0 mm")["Regrinds left"].startswith("the 1st passes")


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_surface_speeds_are_in_the_unit_of_the_page(hand, unit):
    result = answer(hand, "wheel-speed", "surface", unit)
    right, wrong = ("ft/min", "m/s") if unit == "in" else ("m/s", "ft/min")
    assert right in result.figures[0].value
    assert wrong in result.figures[0].other
    assert right in str(result.drawing)
    assert wrong not in str(result.drawing)


def test_a_standard_uncertainty_counts_like_a_digit(hand):
    """By hand: D = 2H/3 in a V of 60 degrees; u(H) .003 gives U(D) = 2 * 2/3 * .003; a digit of .003 √12 as much."""
    plain = {"teeth": "3", "height": "15.0 mm", "height_digit": ""}
    for given in ({"height_u": "0.003 mm"}, {"height_digit": "0.010392 mm"}):
        assert answer(hand, "odd-flute", "vee", **(plain | given)).figures[0].sure == "± 0.0040\u202fmm"
    both = answer(hand, "odd-flute", "vee", **(plain | {"height_u": "0.003 mm", "height_digit": "0.010392 mm"}))
    assert both.figures[0].sure == "± 0.0057\u202fmm"
    assert "u 0.003" in next(line.numbers for line in both.working if line.formula.startswith("U("))


def test_a_runout_rests_on_two_readings(hand):
    """By hand: two readings of .001 each: 2 √2 .001/√12 = .0008."""
    result = answer(hand, "odd-flute", "gauge-pin", reading_digit="0.001 mm")
    assert next(each.sure for each in result.figures if each.label.startswith("Runout")) == "± 0.0008\u202fmm"


def test_a_wrong_corner_of_the_wheel_and_a_shrinking_tool_are_said(hand):
    """6.35 mm, 30°, 12°, a wheel 1.5 mm wide: 15.6° off, so the heel rubs; at 5.842 the relief is 11.68° (models)."""
    result = answer(
        hand,
        "stylus",
        "cup",
        diameter="6.35 mm",
        relief="12",
        helix="30",
        gap="1.5 mm",
        wheel_width="1.5 mm",
        after="5.842 mm",
    )
    wrong = next(each for each in result.figures if "other corner" in each.label)
    assert (wrong.value, wrong.other) == ("−3.6°", "the heel rubs")
    assert figure(result, "Relief at 5.842\u202fmm, stylus not moved") == 11.68


UNSURE = {
    "V-anvil’s angle",
    "Half a digit of the drop is worth",
    "Marked maximum",
    "Regrinds left",
    "By hard limits alone",
}  # by definition, a count, or as marked


@pytest.mark.parametrize(("what", "code"), [(what, way.code) for what, page in PAGES.items() for way in page.ways])
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_every_figure_says_how_sure_it_is_and_never_that_it_is_exact(hand, what, code, unit):
    for each in answer(hand, what, code, unit).figures:
        assert each.sure.startswith("± ") or each.label in UNSURE, each
        assert not each.sure or any(digit in "123456789" for digit in each.sure)
