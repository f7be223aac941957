"""Each kind by small cases whose answers are worked out by hand or stand in the specification."""

import math

import pytest

from regrind.geometry.kinds.cutter_worst import find_worst
from regrind.geometry.kinds.reading import read_case
from regrind.geometry.kinds.registry import find_kind
from tests.geometry.kinds.worked import CASES, COUNTERSINK, CUTTER, DRILL, DRILL_OPTION, REAMER, TAP, change, plan


def test_the_worked_drill_comes_out_to_its_printed_digits():
    answer = plan(DRILL)
    (option,) = answer["options"]
    assert list(option) == list(DRILL_OPTION)
    for key, value in DRILL_OPTION.items():
        if isinstance(value, float):
            assert round(option[key], 9) == value, key
        elif key != "limits":
            assert option[key] == value, key
    for line, printed in zip(option["limits"], DRILL_OPTION["limits"], strict=True):
        assert {key: round(item, 9) if isinstance(item, float) else item for key, item in line.items()} == printed
    assert (answer["recommended"], answer["verdict"], answer["reasons"]) == (0, "grind", [])
    assert [default["field"] for default in answer["defaults"]] == ["back_taper", "web_taper", "chip_room", "web_most"]


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("zero", [False, True])
def test_no_damage_is_sound_and_takes_nothing(name, zero):
    case = change(CASES[name], ("damage", []))
    if zero:
        lengths = ("depth", "worn_margin", "worn", "wear_land", "lip_chip", "reach", "at")
        marks = [
            {key: "0 mm" if key in lengths else value for key, value in mark.items()} for mark in CASES[name]["damage"]
        ]
        case = change(CASES[name], ("damage", marks))
    answer = plan(case)
    (option,) = answer["options"]
    assert (answer["verdict"], option["verdict"], option["grind"], option["reasons"]) == ("sound", "sound", [], [])
    taken = {"cut_back_mm", "removal_radial_mm", "face_stock_mm"} & set(option)
    assert [option[key] for key in taken] == [0.0]


@pytest.mark.parametrize("name", CASES)
def test_a_cracked_tool_is_scrap_and_offered_nothing(name):
    answer = plan(change(CASES[name], ("measured.cracked", True)))
    assert (answer["options"], answer["recommended"], answer["verdict"]) == ([], None, "scrap")
    assert answer["reasons"] == ["cracked"]


@pytest.mark.parametrize(
    ("name", "path", "length"),
    [
        ("drill", "tool.flute_length", "1.25 mm"),
        ("reamer", "tool.flute_length", "1.7 mm"),
        ("cutter", "allow.finish_radial", "30 mm"),
        ("countersink", "tool.tooth_thickness", "0.3 mm"),
        ("tap", "tool.thread_length", "5.6 mm"),
    ],
)
def test_a_tool_that_is_used_up_has_no_option_left(name, path, length):
    answer = plan(change(CASES[name], (path, length)))
    assert (answer["options"], answer["verdict"], answer["reasons"]) == ([], "scrap", ["no_option_left"])


def test_a_sharper_point_is_cut_from_the_tip_and_a_flatter_one_from_the_corner():
    flatter = plan(change(DRILL, ("tool.grind_point_angle_deg", 140)))["options"][0]
    assert flatter["cut_back_mm"] == pytest.approx(1.3)
    # the tip goes from 5 x 0.601 to 5 x 0.364 mm over the corner: that much more of the length is lost
    tip = 9.985 / 2 * (1 / math.tan(math.radians(59)) - 1 / math.tan(math.radians(70)))
    assert flatter["length_lost_mm"] == pytest.approx(1.3 + tip)
    sharper = plan(change(DRILL, ("tool.grind_point_angle_deg", 90), ("damage", [{"worn_margin": "0.1 mm"}])))
    # the old tip must lie behind the new one
    need = 9.985 / 2 * (1 - 1 / math.tan(math.radians(59)))
    assert sharper["options"][0]["cut_back_mm"] == pytest.approx(need + 0.1)
    assert sharper["options"][0]["length_lost_mm"] == pytest.approx(0.1)


def test_a_lip_chip_costs_a_sixth_more_than_its_depth_at_118_degrees():
    case = change(DRILL, ("damage", [{"lip_chip": "0.5 mm"}]), ("allow.finish", "0 mm"))
    assert plan(case)["options"][0]["cut_back_mm"] == pytest.approx(0.5 * 1.17, abs=0.002)


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ([("measured.diameter_at", "1.1 mm")], "diameter_read_on_wear"),
        ([("damage", [{"worn_margin": "43.5 mm"}])], "most_of_the_flute"),
        ([("limits.hole_depth", "70.8 mm")], "rests_on_default_chip_room"),
        ([("limits.hole_depth", "70.8 mm")], "too_close_hole_depth"),
        ([("limits.diameter", "9.995 mm")], "rests_on_default_back_taper"),
        ([("limits.diameter", "9.995 mm")], "outside_diameter"),
    ],
)
def test_a_drill_is_asked_about(changes, reason):
    option = plan(change(DRILL, *changes))["options"][0]
    assert option["verdict"] == "ask"
    assert reason in option["reasons"]


def test_the_taper_is_no_reason_where_the_diameter_was_read_at_the_new_corner():
    case = change(DRILL, ("limits.diameter", "9.995 mm"), ("measured.diameter_at", "1.3 mm"))
    assert plan(case)["options"][0]["reasons"] == ["outside_diameter"]


def test_what_a_drill_is_told_does_not_ask():
    case = change(
        DRILL,
        ("damage", [{"worn_margin": "0.24 in"}]),
        ("allow.finish", "0.01 in"),
        ("tool.coolant_holes", True),
        ("measured.diameter_at", "0.24 in"),
        ("limits", {}),
    )
    option = plan(case)["options"][0]
    assert (option["verdict"], option["reasons"]) == ("grind", ["cut_off_first", "coolant_holes"])


@pytest.mark.parametrize(
    ("diameter", "verdict", "reasons"),
    [
        ("10.009 mm", "as_new", []),
        ("10.003 mm", "low", ["below_new_size"]),
        ("10.0139 mm", "high", ["outside_reamer_upper", "rests_on_default_back_taper"]),
        ("9.99 mm", "too_small", ["outside_hole_lower", "rests_on_default_back_taper"]),
        ("10.02 mm", "too_large", ["outside_reamer_upper", "rests_on_default_back_taper"]),
    ],
)
def test_a_reamer_is_judged_by_its_hole(diameter, verdict, reasons):
    option = plan(change(REAMER, ("hole", {"nominal": "10 mm", "class": "H7"}), ("measured.diameter", diameter)))
    option = option["options"][0]
    assert (option["hole"]["verdict"], option["reasons"]) == (verdict, reasons)
    assert option["hole"]["wear_left_mm"] == pytest.approx(option["diameter_mm"] - 10)


def test_a_sound_chamfer_of_a_wrong_size_is_not_sound():
    case = change(
        REAMER, ("damage", []), ("hole", {"nominal": "10 mm", "class": "H7"}), ("measured.diameter", "9.99 mm")
    )
    answer = plan(case)
    assert answer["verdict"] == "ask"
    assert "outside_hole_lower" in answer["reasons"]


def test_a_longer_chamfer_is_taken_until_it_is_too_long_then_the_end_is_cut():
    longer = plan(REAMER)["options"][0]
    assert (longer["grind"], longer["end_cut_mm"]) == (["chamfer"], 0)
    assert longer["chamfer_length_mm"] == pytest.approx(1.7)
    assert longer["front_diameter_mm"] == pytest.approx(longer["diameter_mm"] - 3.4)
    kept = plan(change(REAMER, ("allow.chamfer_most", "1.6 mm")))["options"][0]
    assert (kept["grind"], kept["chamfer_length_mm"]) == (["end", "chamfer"], 1)
    assert kept["end_cut_mm"] == pytest.approx(0.7)
    assert kept["usable_length_mm"] == longer["usable_length_mm"] == pytest.approx(38.3)


def test_a_reamer_is_sized_down_only_where_the_hole_allows_it():
    holes = [
        {"nominal": "10 mm", "lower_deviation": "-0.02 mm", "upper_deviation": "0 mm"},
        {"nominal": "12 mm", "class": "H7"},
        {"nominal": "8 mm", "class": "H7"},
    ]
    answer = plan(change(REAMER, ("down_size_to", holes), ("allow.finish_radial", "0.002 mm")))
    first, tight, small = answer["options"]
    assert first["hole"] is None
    # 0.15 x 20 = 3 um and 0.35 x 20 = 7 um below 10.000
    assert (tight["hole"]["reamer_upper_mm"], tight["hole"]["reamer_lower_mm"]) == (9.997, 9.99)
    assert (tight["grind"], tight["diameter_mm"]) == (["margins", "chamfer"], 9.997)
    assert small["diameter_mm"] == 8.012
    assert (small["verdict"], small["reasons"], small["limits"]) == ("ask", ["new_size_to_agree"], [])


def test_a_cutter_may_keep_its_side_or_its_diameter():
    side, rim = plan(change(CUTTER, ("limits.width", "9 mm")))["options"]
    assert (side["grind"], rim["grind"]) == (["periphery", "left"], ["periphery"])
    assert side["diameter_mm"] == pytest.approx(99.6 - 2 * 0.12)
    assert side["width_mm"] == pytest.approx(10 - 0.23)
    assert rim["diameter_mm"] == pytest.approx(99.6 - 2 * 1.22)
    assert (rim["width_mm"], rim["verdict"], side["verdict"]) == (10, "grind", "grind")
    assert rim["gullet_depth_mm"] == pytest.approx(10 - 1.22)
    assert rim["reach_mm"] == pytest.approx(49.8 - 1.22 - 20)
    assert math.sin(math.radians(rim["rake_deg"])) == pytest.approx(49.8 * math.sin(math.radians(10)) / 48.58)


def test_a_saw_is_never_ground_on_its_sides():
    saw = change(CUTTER, ("tool.kind", "slitting saw"))
    (option,) = plan(saw)["options"]
    assert (option["grind"], option["width_mm"]) == (["periphery"], 10)
    # a mark down to the axis: no rim is left that is clean of it
    deep = plan(change(saw, ("damage", [{"surface": "right", "tooth": 1, "reach": "49.8 mm", "depth": "1 mm"}])))
    assert (deep["options"], deep["verdict"]) == ([], "scrap")


def test_a_falling_width_nobody_agreed_to_is_asked_about():
    side = plan(CUTTER)["options"][0]
    assert (side["verdict"], side["reasons"]) == ("ask", ["width_not_agreed"])


@pytest.mark.parametrize("tir", [False, True])
def test_a_shallow_gullet_is_scrap_unless_only_the_total_reading_is_known(tir):
    case = change(CUTTER, ("damage", CUTTER["damage"][:1]), ("limits.gullet_depth", "9.95 mm"))
    option = plan(change(case, ("measured.tir", "0.01 mm")) if tir else case)["options"][0]
    assert option["verdict"] == ("ask" if tir else "scrap")
    assert option["reasons"] == ["outside_gullet_depth", *(["measure_per_tooth"] if tir else [])]


@pytest.mark.parametrize(("not_read", "verdict", "more"), [([3], "scrap", []), ([3, 5], "ask", ["measure_per_tooth"])])
def test_what_a_tooth_decides_that_nobody_read_is_asked_about(not_read, verdict, more):
    """Tooth 5 stands lowest: 0.08 mm, so that the gullet falls under its limit; read it is scrap, else asked about."""
    readings = ["0 mm"] * 4 + ["-0.08 mm"] + ["0 mm"] * 11
    case = change(
        CUTTER,
        ("measured.tooth_readings", readings),
        ("measured.teeth_not_read", not_read),
        ("damage", [CUTTER["damage"][0] | {"depth": "0.05 mm"}]),
        ("limits.gullet_depth", "9.95 mm"),
    )
    option = plan(case)["options"][0]
    assert (option["verdict"], option["reasons"]) == (verdict, ["outside_gullet_depth", *more])
    [worst] = find_worst(*read_case(case, find_kind(case)), option)
    assert (worst.tooth, worst.below_mm, worst.read) == (5, pytest.approx(0.08), not more)
    assert option["diameter_mm"] == pytest.approx(99.6 - 2 * (0.08 + 0.02))


def test_the_deepest_of_a_side_and_of_the_periphery_name_their_teeth():
    side, rim = plan(change(CUTTER, ("limits.width", "9 mm")))["options"]

    def worst_of(option):
        return find_worst(*read_case(CUTTER, find_kind(CUTTER)), option)

    assert [(one.surface, one.tooth, one.depth_mm) for one in worst_of(side)] == [
        ("periphery", 3, pytest.approx(0.1)),
        ("left", 5, 0.2),
    ]
    assert [(one.surface, one.tooth, one.depth_mm) for one in worst_of(rim)] == [("periphery", 5, pytest.approx(1.2))]


def test_the_rest_and_the_straight_wheel_stand_as_the_table_of_hollow_lands_says():
    straight = change(
        CUTTER,
        ("setup", {"wheel": "straight", "wheel_diameter": "150 mm"}),
        ("tool.primary_relief_deg", 5),
        ("tool.primary_land", "1 mm"),
    )
    setup = plan(straight)["options"][0]["setup"]
    # the worked figures of the specification: 4.618 degrees and 0.0017 mm
    assert setup["mean_relief_deg"] == pytest.approx(4.618, abs=5e-4)
    assert setup["hollow_mm"] == pytest.approx(0.0017, abs=5e-5)
    cup = plan(change(CUTTER, ("setup", {"wheel": "cup"})))["options"][0]
    assert cup["setup"] == {"tooth_rest_below_mm": pytest.approx(cup["diameter_mm"] / 2 * math.sin(math.radians(6)))}
    sides_only = change(CUTTER, ("damage", CUTTER["damage"][1:]), ("setup", {"wheel": "cup"}))
    assert plan(sides_only)["options"][0]["setup"] is None


def test_a_countersink_indexed_into_the_wheel_keeps_its_angle():
    option = plan(COUNTERSINK)["options"][0]
    assert option["diameter_mm"] == pytest.approx(12 - 0.6 * math.tan(math.radians(10)))
    assert option["set_back_mm"] == pytest.approx(0.3 * math.tan(math.radians(10)))
    assert option["index_deg"] == pytest.approx(math.degrees(0.05))
    assert option["tooth_thickness_mm"] == pytest.approx(2.7)
    assert option["included_angle_deg"] == pytest.approx(90)


@pytest.mark.parametrize(
    ("limits", "verdict", "reasons"),
    [
        ({"tooth_thickness": "2.8 mm"}, "scrap", ["outside_tooth_thickness"]),
        ({"diameter": "11.99 mm"}, "ask", ["outside_diameter", "rests_on_default_relief_deg"]),
    ],
)
def test_a_thin_tooth_is_scrap_and_a_diameter_by_a_usual_relief_is_asked_about(limits, verdict, reasons):
    option = plan(change(COUNTERSINK, ("limits", limits)))["options"][0]
    assert (option["verdict"], option["reasons"]) == (verdict, reasons)


def test_a_tap_is_always_asked_about():
    option = plan(TAP)["options"][0]
    assert (option["grind"], option["verdict"], option["reasons"]) == (["end", "chamfer"], "ask", ["by_hand"])
    assert option["full_thread_mm"] == pytest.approx(20 - 5 - 0.6)
    assert (option["chamfer_threads"], option["chamfer_forms"]) == (4, ["D"])
    assert option["chamfer_angle_deg"] is None
    angled = plan(change(TAP, ("tool.chamfer_diameter", "6.5 mm")))["options"][0]
    assert angled["chamfer_angle_deg"] == pytest.approx(math.degrees(math.atan(1.5 / 10)))


@pytest.mark.parametrize(
    ("name", "typical", "left"),
    [
        ("drill", {"cut_back": "0 mm"}, None),
        ("reamer", {"cut_back": "10 mm"}, 3),
        ("tap", {"cut_back": "4.8 mm"}, 2),
        ("cutter", {"stock_radial": "1 mm"}, 9),
        ("countersink", {"face_stock": "1 mm"}, 2),
    ],
)
def test_regrinds_are_counted_to_the_first_that_leaves_no_tool(name, typical, left):
    answer = plan(change(CASES[name], ("typical", typical)))
    assert answer["options"][0]["regrinds_left"] == left
