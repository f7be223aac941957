"""The bench book's pages answer the worked examples of independent models, by hand, or of tables."""

import re

import pytest

from tests.calculators.book_pages import ask, example, shown


@pytest.mark.parametrize(
    ("way", "drop"), [("tangent", "0.05433"), ("land", "0.05375"), ("arc", "0.05388"), ("traversed", "0.07053")]
)
def test_10_mm_at_0_4_and_10_degrees_in_each_way(hand, way, drop):
    """Independent models of the section: D 10, w 0.4, 10°."""
    typed = example("relief", "aim", diameter="10 mm", distance="0.4 mm", relief="10", way=way)
    assert f"d = {drop} mm" in shown(ask(hand, "relief", **typed))
    back = example("relief", "drop", diameter="10 mm", distance="0.4 mm", drop=f"{drop} mm", way=way)
    assert ask(hand, "relief", **back).context["result"].figures[0].value == "10.00°"


def test_a_drop_agrees_with_the_printed_table(hand):
    """Half an inch, .020 in along the tangent: .0024 in at 9° and .0034 in at 12° (a handbook's table, from memory)."""
    for relief, mm, inch, printed in (("9", "0.05991", ".002359", ".0024"), ("12", "0.08734", ".003439", ".0034")):
        typed = example("relief", "aim", "in", diameter=".5", distance=".020", relief=relief)
        text = shown(ask(hand, "relief", **typed))
        assert f"d = {inch} in = {mm} mm" in text
        assert f"{printed} in" in text


def test_the_stylus_stands_where_the_helix_modelled_in_space_puts_it(hand):
    """6.35 mm, 30°, 12°, e 1.5 mm: .201 mm above centre, 27.6° if ignored; 1.472 below where the hands differ."""
    said = {"diameter": "6.35 mm", "relief": "12", "helix": "30", "gap": "1.5 mm"}
    text = shown(ask(hand, "stylus", **example("stylus", "cup", **said)))
    for words in ("Stylus tip above centre", "0.201 mm", "27.6°", "10.4° per mm", "tip 0.66012 mm", "α′ = 11.68°"):
        assert words in text
    typed = example("stylus", "cup", **said, hand="left", wheel_width="0 mm", stylus_width="0 mm")
    differ = shown(ask(hand, "stylus", **typed))
    for words in ("Stylus tip below centre", "1.472 mm", "−3.6°", "the heel rubs"):
        assert words in differ


def test_a_left_hand_cut_is_told_of_the_mirrored_setup(hand):
    text = shown(ask(hand, "stylus", **example("stylus", "cup", cut="left", hand="left")))
    assert "mirrored set-up: unmirrored its face looks up" in text
    assert "unmirrored" not in shown(ask(hand, "stylus", **example("stylus", "cup")))


def test_a_straight_wheel_of_3_inches_at_7_degrees(hand):
    """A handbook's table, from memory: a 3 in wheel stands .183 in high at 7°; here 1.5 sin 7° = .182804."""
    typed = example("stylus", "straight", "in", wheel="3.0", relief="7", edge_above="0")
    assert "H = .182804 in" in shown(ask(hand, "stylus", **typed))


def test_a_straight_wheel_of_150_leaves_half_a_millimetre_hollow(hand):
    """R 75, 10°, w 0.5, r 50: the heel drops about 0.0017 mm less than on a flat land (0.00164 exactly)."""
    typed = example("stylus", "straight", wheel="150 mm", relief="10", land="0.5 mm", diameter="100 mm")
    assert "0.00164 mm less than on a flat land" in shown(ask(hand, "stylus", **typed))


def test_three_flutes_in_a_v_of_60_degrees_stand_one_and_a_half_diameters_high(hand):
    text = shown(ask(hand, "odd-flute", **example("odd-flute", "vee", teeth="3", height="15.0 mm")))
    assert "D = 10.00000 mm" in text
    assert "60.00°" in text
    assert "it would read from 7.500 mm to 8.660 mm" in text


def test_a_v_reads_less_than_a_tool_with_runout_sweeps(hand):
    """One tooth of a 10 mm tool 0.010 mm high: the V reads 10.0067, the tool sweeps 10.020 (independent model)."""
    typed = example("odd-flute", "mean", tooth_1="0", tooth_2="-0.010 mm", tooth_3="-0.010 mm")
    response = ask(hand, "odd-flute", **typed)
    assert response.context["result"].figures[0].value.replace("\u202f", " ") == "10.020 mm"


def test_the_chord_of_a_three_flute_and_the_gauge_pin(hand):
    """10 sin 60° = 8.6603, by hand; a 10 mm pin and a tooth 0.012 higher sweep 10.024."""
    assert "D = 10.00000 mm" in shown(ask(hand, "odd-flute", **example("odd-flute", "chord", chord="8.660254 mm")))
    result = ask(hand, "odd-flute", **example("odd-flute", "gauge-pin")).context["result"]
    assert result.figures[0].value.replace("\u202f", " ") == "10.024 mm"
    assert result.figures[1].value.replace("\u202f", " ") == "0.005 mm"


def test_five_flutes_of_10_mm_over_an_8_mm_pin(hand):
    """By hand: 5 + 5 cos 36° + sqrt(16 - (5 sin 36°)²) + 4 = 15.7585."""
    result = ask(hand, "odd-flute", **example("odd-flute", "pin")).context["result"]
    assert result.figures[0].value.replace("\u202f", " ") == "10.000 mm"


def test_zero_rake_agrees_with_the_independent_model(hand):
    """6.35 mm, core 3.81 mm, 8°: rho 1.3745, zero at 5.9551 mm, 2.903° at 6.096 and -2.381° at 5.842 mm."""
    text = shown(ask(hand, "zero-rake", **example("zero-rake", "face")))
    for words in ("r_c = 1.905 mm", "D₀ = 5.955", "γ = 2.903°", "β′ = 28.998°"):
        assert words in text
    assert re.search(r"ρ = 1\.374[45]\d* mm", text)
    assert "γ = −2.381°" in shown(ask(hand, "zero-rake", **example("zero-rake", "face", after="5.842 mm")))


def test_the_land_grows_and_its_heel_drops_as_the_independent_model_says(hand):
    """0.0508 off the radius: land 0.4695, drop at the heel 0.0630 mm, helix 29.60° at 6.2484."""
    text = shown(ask(hand, "zero-rake", **example("zero-rake", "face", after="6.2484 mm")))
    assert re.search(r"land 0\.469[45]\d mm", text)
    assert re.search(r"drop at its heel 0\.06(30[0-4]|29[5-9])\d* mm", text)
    assert "β′ = 29.60" in text


def test_the_regrinds_left_are_counted_to_the_first_limit(hand):
    """Radial .127 a time from 6.35: 6.096 has rake, 5.842 has none (its zero is 5.955): one. 5.5 allows three."""
    result = ask(hand, "zero-rake", **example("zero-rake", "face")).context["result"]
    left = {figure.label: figure.value for figure in result.figures}
    assert left["Regrinds left"] == "1"
    assert left["By hard limits alone"] == "3"
    short = ask(hand, "zero-rake", **example("zero-rake", "face", usable="13.0 mm")).context["result"]
    assert [f.value for f in short.figures if f.label == "Regrinds left"] == ["0"]


def test_a_measured_face_makes_the_rake_a_hard_limit(hand):
    text = shown(ask(hand, "zero-rake", **example("zero-rake", "face", arc="1.3745 mm")))
    assert "the rake is a hard limit" in text
    assert "By hard limits alone" not in text


def test_a_wheel_of_100_mm_at_18_m_s_turns_3437_times_a_minute(hand):
    """n = v / (pi D), by hand: 18 * 60 / (pi * 0.1) = 3437.7, rounded down."""
    response = ask(hand, "wheel-speed", **example("wheel-speed", "rpm"))
    assert response.context["result"].figures[0].value.startswith("3437")
    assert "never a permission" in shown(response)


@pytest.mark.parametrize("code", ["rpm", "surface"])
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_the_speed_page_opens_empty_and_asks_for_the_marking(hand, code, unit):
    """No wheel, no marking and no speed stands there that nobody read."""
    response = ask(hand, "wheel-speed", by=code, unit=unit)
    body = response.content.decode()
    assert response.status_code == 200
    assert response.context["result"] is None
    assert "Write the diameter of the wheel, its marked maximum" in shown(response)
    assert "A worked example" not in body
    assert "Within the marking" not in body
    assert re.findall(r'<input[^>]* type="text"[^>]* value=', body) == []
    assert "selected" not in body.split("<form")[-1].replace('value="" selected', "")


def test_the_speed_page_gives_no_speed_before_everything_is_typed(hand):
    response = ask(hand, "wheel-speed", by="rpm", unit="mm", wheel="100 mm", speed="18 m/s")
    assert response.status_code == 422
    assert "3437" not in shown(response)
    assert set(response.context["form"].errors) >= {"abrasive", "mode", "material"}


def test_a_wheel_is_not_run_above_its_marking_or_without_one(hand):
    above = ask(hand, "wheel-speed", **example("wheel-speed", "rpm", marked="3000"))
    assert above.status_code == 422
    assert above.context["result"] is None
    assert "3000 rpm at most" in above.context["form"].errors["speed"][0]
    assert "3437" not in shown(above)
    faster = ask(hand, "wheel-speed", **example("wheel-speed", "surface", rpm="4001"))
    assert "at most the marked maximum, 4000 rpm" in faster.context["form"].errors["rpm"][0]
    without = ask(hand, "wheel-speed", **example("wheel-speed", "rpm", marked=""))
    assert "required" in without.context["form"].errors["marked"][0]


def test_a_marking_in_m_s_holds_for_the_wheel_as_new(hand):
    """35 m/s on 100 mm as new is 6684 rpm; worn to 80 mm it is given no more, 28.0 m/s."""
    said = example("wheel-speed", "rpm", wheel="80 mm", speed="20 m/s", marked="", marked_speed="35 m/s")
    assert "required" in ask(hand, "wheel-speed", **said).context["form"].errors["new"][0]
    small = ask(hand, "wheel-speed", **(said | {"new": "70 mm"})).context["form"]
    assert "at least" in small.errors["new"][0]
    marked = ask(hand, "wheel-speed", **(said | {"new": "100 mm"})).context["result"].figures[1]
    assert marked.value.startswith("6684")
    assert marked.other.startswith("28.0")


def test_the_wrong_abrasive_is_warned_of(hand):
    wrong = shown(ask(hand, "wheel-speed", **example("wheel-speed", "rpm", material="HSS")))
    assert "CBN is for high-speed steel" in wrong
    assert "wears away fast" not in shown(ask(hand, "wheel-speed", **example("wheel-speed", "rpm")))


def test_feet_a_minute_are_read_as_such(hand):
    """3543.3 ft/min are 18 m/s (0.3048 m to the foot)."""
    typed = example("wheel-speed", "rpm", "in", wheel="100 mm", speed="3543.307")
    assert ask(hand, "wheel-speed", **typed).context["result"].figures[0].value.startswith("3437")


def test_a_quarter_thousandth_that_scrapes_ten_thousandths_is_over_a_degree(hand):
    """asin(.00025 / .010) = 1.43°, by hand; as much feed again takes all of a .020 land."""
    response = ask(hand, "witness", **example("witness", "strip", "in"))
    assert response.context["result"].figures[0].value == "1.43°"
    assert "i′ = .000250 in" in shown(response)
    edge = ask(hand, "witness", **example("witness", "strip", "in", scraped_at="edge"))
    assert "Relief is reduced by" in shown(edge)
    assert "α′ = 10.57°" in shown(edge)


NEAR = (
    "local codes",
    "trained",
    "inspect",
    "ring a vitrified wheel",
    "no gloves",
    "loose sleeves",
    "wheel stopped",
    "quench",
    "burns",
    "skin",
)


@pytest.mark.parametrize("what", ["stylus", "wheel-speed", "witness"])
def test_pages_at_the_wheel_carry_their_cautions(hand, what):
    text = shown(ask(hand, what)).lower()
    for words in (
        "marked maximum",
        "guards",
        "eyes",
        "cobalt",
        "dust",
        "reverse",
        "maker",
        "local codes",
        "trained",
        *NEAR,
    ):
        assert words in text


def test_a_ball_worn_up_to_60_degrees_goes_back_as_the_notes_work_out(hand):
    """The geometry notes' example: a ball of 12.7 mm, 0.15 deep at 60°: 0.29006; 0.05 more is finish."""
    response = ask(hand, "arc", **example("arc", "back", "mm"))
    first, second, height, across = response.context["result"].figures
    assert (first.value, second.value) == ("0.340\u202fmm", "0.290\u202fmm")
    assert "c = 0.29006 mm" in shown(response)
    assert height.value == "3.175\u202fmm"  # 6.35 (1 − cos 60°), by hand
    assert across.value == "0.173\u202fmm"  # 0.15 / sin 60°, by hand


def test_a_depth_that_reaches_the_middle_of_the_arc_is_refused_beside_its_field(hand):
    response = ask(hand, "arc", **example("arc", "back", "mm", depth="6.35"))
    assert "must be below the radius" in response.context["form"].errors["depth"][0]


@pytest.mark.parametrize(
    ("form", "diameter", "relief"), [("flat", "9.921\u202fmm", "9.62°"), ("spiral", "9.912\u202fmm", "12.10°")]
)
def test_a_face_is_ground_as_the_notes_work_out(hand, form, diameter, relief):
    """The geometry notes' example: 10 mm, rake 8°, relief 12°, a wear land of 0.2 that reaches 0.20616 back."""
    typed = {
        "diameter": "10.000",
        "rake": "8",
        "relief": "12",
        "back": "0.206159",
        "finish": "0.000",
        "relief_form": form,
    }
    figures = ask(hand, "face", **example("face", "ground", "mm", **typed)).context["result"].figures
    assert (figures[0].value, figures[4].value) == (diameter, relief)
    assert figures[2].value == "0.696\u202fmm"  # 5 sin 8°, by hand
    if form == "flat":
        assert (figures[1].value, figures[3].value) == ("0.201\u202fmm", "2.32°")


def test_a_face_ground_to_half_the_radius_is_refused_beside_its_field(hand):
    response = ask(hand, "face", **example("face", "ground", "mm", back="6.000"))
    assert "must be below 5 mm, half the radius" in response.context["form"].errors["back"][0]
