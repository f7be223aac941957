"""Plans with corners, end teeth and faces: the worked case, and what must hold whatever the figures."""

import copy
import math

import pytest

from regrind.geometry.case import read
from regrind.geometry.errors import Refused
from regrind.geometry.example import CORNER_CASE as CASE
from regrind.geometry.plan import work_out, work_out_at
from regrind.geometry.result import as_dict
from regrind.geometry.snapshot import take_snapshot

# An independent model's figures: cut-back, diameter, usable length, radius, regrinds left, verdict.
WORKED = [
    (0.1100000, 9.8250365, 20.3900000, 1, 11, "grind"),
    (0.1846384, 9.9002695, 20.3153616, 1, 11, "grind"),
    (12.3042644, 9.9920000, 9.6957356, 1, 0, "ask"),
    (0.1100000, 9.9002695, 20.3900000, 1.5, 11, "grind"),
    (11.8622750, 9.9920000, 10.1377250, 1.5, 0, "ask"),
]


def _plan(case):
    return as_dict(work_out(read(case)))


def _change(path: str, value):
    case = copy.deepcopy(CASE)
    holder = case
    *steps, last = path.split(".")
    for step in steps:
        holder = holder[step]
    holder[last] = value
    return case


def test_the_worked_case_comes_out_to_its_printed_digits():
    answer = _plan(CASE)
    keys = ("cut_back_mm", "diameter_mm", "usable_length_mm", "corner_size_mm", "regrinds_left", "verdict")
    rows = [tuple(option[key] for key in keys) for option in answer["options"]]
    assert len(rows) == len(WORKED)
    for row, want in zip(rows, WORKED, strict=True):
        assert row[:4] == pytest.approx(want[:4], abs=5.1e-8)
        assert row[4:] == want[4:]
    assert (answer["recommended"], answer["verdict"], answer["reasons"]) == (1, "grind", [])
    best = answer["options"][1]
    assert best["removal_radial_mm"] == pytest.approx([0.0458653, 0.0418653, 0.0438653, 0.0398653], abs=5.1e-8)
    assert best["gash_left_mm"] == pytest.approx(0.7153616, abs=5.1e-8)
    lines = {line["limit"]: (line["value"], line["at_least"]) for line in best["limits"]}
    assert list(lines) == ["diameter_floor", "flute_floor"]
    assert lines["flute_floor"] == pytest.approx((21.8153616, 16.5), abs=5.1e-8)
    assert lines["diameter_floor"] == pytest.approx((9.9002695, 8.5), abs=5.1e-8)
    assert best["counted_to"] == {"diameter_mm": 8.5, "usable_length_mm": None, "flute_mm": 11}
    reasons = [set(option["reasons"]) for option in answer["options"]]
    asked = {"gash_again", "outside_flute_floor"}
    assert reasons == [set(), set(), asked, {"corner_changed"}, asked | {"corner_changed"}]


def test_a_ball_is_told_by_the_half_of_its_diameter_and_is_ground_with_the_sides():
    case = _change("tool.corner", {"form": "ball"})
    case["accept"] = []
    for option in _plan(case)["options"]:
        assert option["corner_size_mm"] == pytest.approx(option["diameter_mm"] / 2, abs=1e-11)
        assert option["corner"] is (option["sides"] or option["end"])


def test_a_chamfer_removes_a_chip_where_its_reach_depth_and_finish_fit_its_leg():
    """Rectangle of the chip under the 45 degree line: to + depth + finish <= leg."""
    for to, clears in (("0.290 mm", True), ("0.300 mm", True), ("0.301 mm", False)):
        case = _change("tool.corner", {"form": "square"})
        case["measured"] = {"diameter": "10 mm", "method": "swept"}
        case["damage"] = [{"tooth": 1, "from": "0 mm", "to": to, "depth": "0.15 mm"}]
        case["accept"] = [{"form": "chamfer", "width": "0.5 mm"}]
        chamfered = [option for option in _plan(case)["options"] if option["corner_form"] == "chamfer"]
        assert any(not option["end"] and not option["sides"] for option in chamfered) is clears
        assert all("corner_changed" in option["reasons"] for option in chamfered)


def test_equal_marks_on_the_end_are_as_uncertain_as_one():
    case = _change("uncertainty", {"depth": "0.01 mm"})
    case["limits"] = {"usable_length": "10 mm"}
    case["damage"] = [{"end_depth": "0.060 mm"}]
    one = _plan(case)["options"][0]["limits"][-1]
    case["damage"] = [{"end_depth": "0.060 mm"}, {"end_depth": "0.060 mm"}]
    two = _plan(case)["options"][0]["limits"][-1]
    assert one["expanded_uncertainty"] == two["expanded_uncertainty"] == pytest.approx(0.02)


def test_end_readings_put_the_shortest_tooth_into_every_cut_back():
    case = _change("damage", [{"tooth": 1, "end_depth": "0.020 mm"}])
    case["accept"] = []
    plain = _plan(case)["options"][0]["cut_back_mm"]
    case["measured"]["end_readings"] = ["0 mm", "-0.005 mm", "-0.033 mm", "0 mm"]
    assert _plan(case)["options"][0]["cut_back_mm"] - plain == pytest.approx(0.013)
    case["damage"] = [{"end_depth": "0.020 mm"}]  # on whichever tooth is shortest
    assert _plan(case)["options"][0]["cut_back_mm"] - plain == pytest.approx(0.033)
    case["tool"] |= {"dish_deg": 2, "dish_to_deg": 1, "end_inner_radius": "1 mm"}
    flatter = (4.996 - 1) * (math.tan(math.radians(2)) - math.tan(math.radians(1)))
    assert _plan(case)["options"][0]["cut_back_mm"] - plain == pytest.approx(0.033 + flatter)
    case["damage"] = []
    assert _plan(case)["verdict"] == "sound"


def test_a_face_lowers_all_teeth_alike_and_keeps_the_sides():
    """Flat: 10 mm, 8 and 12 degrees, wear land .2: an independent model's figures to their digits."""
    case = _change("tool.corner", {"form": "square"})
    case |= {
        "ways": ["face"],
        "accept": [],
        "damage": [{"tooth": 1, "from": "0 mm", "to": "13 mm", "wear_land": "0.2 mm"}],
    }
    case["tool"] |= {"secondary_relief_deg": None}
    case["measured"] = {"diameter": "10 mm", "method": "swept"}
    for form, diameter, relief in (("flat", 9.92093, 9.618), ("spiral", 9.91236, 12.103)):
        case["tool"]["relief_form"] = form
        option = _plan(case)["options"][0]
        assert (option["way"], option["sides"], option["removal_radial_mm"]) == ("face", False, None)
        assert option["diameter_mm"] == pytest.approx(diameter, abs=5.1e-6)
        assert option["face_relief_deg"] == pytest.approx(relief, abs=5.1e-4)
        assert option["usable_length_mm"] == 22
        assert option["tooth_width_mm"] is None


def test_a_face_only_kind_hurt_at_its_end_alone_keeps_its_faces():
    case = _change("tool.kind", "roughing end mill")
    case |= {"ways": ["face"], "accept": [], "damage": [{"end_depth": "0.060 mm"}]}
    (option,) = _plan(case)["options"]
    assert (option["face_stock_mm"], option["cut_back_mm"]) == pytest.approx((0, 0.11))
    assert option["face_relief_deg"] == pytest.approx(12)
    case["tool"]["kind"] = "end mill"
    assert _plan(case)["reasons"] == ["no_option_left"]


def test_a_mark_without_its_reach_back_leaves_no_face_there_and_says_so():
    case = _change("ways", ["flank", "face"])
    case["damage"] = case["damage"][:2]
    answer = _plan(case)
    assert answer["reasons"][-1] == "back_not_measured"
    # with the end cut past the chip the wear land alone is left, and that tells how far back it goes
    faces = [option for option in answer["options"] if option["way"] == "face"]
    assert len(faces) == 1
    assert faces[0]["cut_back_mm"] > 0.3


def test_a_taken_size_keeps_the_corner_and_its_cut_back():
    own = _plan(CASE)["options"][1]
    cut_back = round(own["cut_back_mm"] * 1e6)
    option = work_out_at(read(CASE), cut_back, 9_800_000)
    assert option.diameter_mm == 9.8
    assert option.cut_back_mm == pytest.approx(own["cut_back_mm"])
    assert option.corner


@pytest.mark.parametrize(
    "change",
    [
        {"tool": {"corner": {"form": "radius", "radius": "4.990 mm"}}},
        {"accept": [{"form": "radius", "radius": "5 mm"}]},
        {"damage": [{"tooth": 1, "from_deg": 0, "to_deg": 9, "depth": "1 mm"}]},
    ],
)
def test_what_does_not_fit_the_lowest_tooth_or_its_arc_is_refused(change):
    """The lowest tooth's radius is 4.990 mm."""
    case = copy.deepcopy(CASE)
    for key, value in change.items():
        case[key] = case[key] | value if isinstance(value, dict) else value
    with pytest.raises(Refused, match=r"corner\.radius|accept\[0\]\.radius|damage\[0\]\.depth"):
        read(case)


def test_a_corner_that_nobody_agreed_to_is_worked_out_and_asked_about():
    """A clip of .4 takes a chip of .2 by .1 with .02 to finish: ground where it is agreed, asked where it is not."""
    verdicts = {}
    for agreed in (True, False):
        case = {
            "tool": {"kind": "end mill", "teeth": 2, "nominal_diameter": "10 mm", "flute_length": "30 mm"},
            "measured": {"diameter": "10 mm", "method": "micrometer"},
            "damage": [{"tooth": 1, "from": "0 mm", "to": "0.2 mm", "depth": "0.1 mm"}],
            "allow": {"finish_radial": "0.01 mm", "finish_end": "0.02 mm", "stylus_distance": "0 mm"},
            "accept": [{"form": "chamfer", "width": "0.4 mm", "agreed": agreed}],
        }
        clip = next(o for o in work_out(read(case)).options if o.corner_form == "chamfer" and not o.sides)
        verdicts[agreed] = clip.verdict, "corner_not_agreed" in clip.reasons
        assert take_snapshot(read(case))["accept"] == [
            {"form": "chamfer", "width": "0.4 mm"} | ({} if agreed else {"agreed": False})
        ]
    assert verdicts == {True: ("grind", False), False: ("ask", True)}
