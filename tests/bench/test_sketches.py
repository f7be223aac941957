"""Each kind's drawing, measured: a figure of the plan is read back off the drawn paths, as a ruler would."""

import math
import re

import pytest

from regrind.bench.drawings.sketch import draw_sketch
from regrind.bench.kinds.registry import KINDS
from regrind.geometry.kinds.example import CASES
from regrind.geometry.kinds.plan import answer_case
from regrind.geometry.kinds.registry import find_kind
from regrind.paper.section import MM
from regrind.paper.sketch import SketchPicture, scale_for
from regrind.paper.values import Style

TAP = {
    "tool": {"kind": "tap", "thread": "M8 x 1.25", "thread_length": "22 mm", "chamfer_length": "5 mm"},
    "damage": [{"worn": "0.8 mm"}],
    "allow": {"finish": "0.1 mm"},
}
COUNTERSINK = {
    "tool": {"kind": "countersink", "teeth": 3, "nominal_diameter": "20 mm", "included_angle_deg": 90},
    "measured": {"diameter": "19.9 mm"},
    "damage": [{"wear_land": "0.4 mm"}],
    "allow": {"finish": "0.05 mm"},
}
CUTTER = CASES["side-and-face cutter"]


def draw(kind, case, part, nth=0):
    """The option, and by look the points of its drawing in px."""
    option = answer_case(case, find_kind(case))["options"][nth]
    sketch = KINDS[kind].planner.sketches(case, option, "mm")[part]
    return option, sketch, str(draw_sketch(sketch, "off"))


def points(drawing, look):
    path = re.search(rf'<path d="M([^"]*)" class="{look}"', drawing)[1]
    return [tuple(map(float, point.split())) for point in path.replace("Z", "").split(" L")]


def test_a_saw_tooth_loses_what_comes_off_the_radius_and_keeps_its_land():
    """The scale is that of the land as received, 0.8 mm; the face leans by the rake, so the edge falls on its line."""
    case = CUTTER | {"damage": CUTTER["damage"][:1]}
    option, _, drawing = draw("sidecutter", case, "periphery")
    was, will = points(drawing, "was"), points(drawing, "will")
    edge = min(was, key=lambda point: point[1])
    heel = was[was.index(edge) + 1]
    px = math.dist(edge, heel) / 0.8
    foot, new_edge, new_heel = will[:3]
    assert (new_edge[1] - edge[1]) / px == pytest.approx(option["removal_radial_mm"], abs=0.004)
    assert math.dist(new_edge, new_heel) / px == pytest.approx(option["primary_land_mm"], abs=0.01)
    assert (foot[1] - edge[1]) / px == pytest.approx(10, abs=0.1)  # the gullet as it was read
    assert math.degrees(math.atan2(edge[0] - foot[0], foot[1] - edge[1])) == pytest.approx(10, abs=0.1)  # the rake


def test_the_rim_gets_as_narrow_as_the_plan_says():
    option, _, drawing = draw("sidecutter", CUTTER, "left")
    was, will = ([x for x, _ in points(drawing, look)] for look in ("was", "will"))
    assert option["width_mm"] == pytest.approx(10 - 0.23)
    assert (max(will) - min(will)) / (max(was) - min(was)) == pytest.approx(option["width_mm"] / 10, abs=5e-4)
    assert max(will) == max(was)  # the right side is left alone
    assert min(will) > min(was)


def test_a_countersinks_face_turns_by_the_index():
    option, _, drawing = draw("chamfer", COUNTERSINK, "face")
    turns = [
        math.degrees(math.atan2(inner[0] - edge[0], inner[1] - edge[1]))
        for inner, edge in (points(drawing, look)[:2] for look in ("was", "will"))
    ]
    assert turns[1] - turns[0] == pytest.approx(option["index_deg"], abs=0.05)
    assert option["index_deg"] == pytest.approx(math.degrees(0.45 / 9.95))  # stock over the radius, by hand


def test_a_taps_chamfer_goes_back_by_the_cut_back():
    option, sketch, drawing = draw("tap", TAP, "chamfer")
    was, will = (sorted({y for _, y in points(drawing, look)}) for look in ("was", "will"))
    px = (was[1] - was[0]) / 5  # the chamfer's length
    assert (will[0] - was[0]) / px == pytest.approx(option["cut_back_mm"], abs=0.01)
    assert (will[1] - will[0]) / px == pytest.approx(5, abs=0.01)
    assert "drawn at the thread's root" in sketch.note


def test_a_reamers_chamfer_is_as_long_as_the_plan_says():
    option, _, drawing = draw("reamer", CASES["reamer"], "chamfer")
    will = points(drawing, "will")
    px = (max(x for x, _ in will) - min(x for x, _ in will)) / option["diameter_mm"]
    heights = sorted({y for _, y in will})
    assert (heights[1] - heights[0]) / px == pytest.approx(option["chamfer_length_mm"], abs=0.01)


@pytest.mark.parametrize(
    ("kind", "case", "part"),
    [
        (
            "saw",
            CUTTER | {"tool": CUTTER["tool"] | {"kind": "slitting saw"}, "damage": CUTTER["damage"][:1]},
            "periphery",
        ),
        ("sidecutter", CUTTER, "left"),
        ("chamfer", COUNTERSINK, "face"),
        ("tap", TAP, "chamfer"),
        ("drill", CASES["drill"], "point"),
    ],
)
def test_on_paper_each_stands_in_its_box_at_a_usual_scale(kind, case, part):
    _, sketch, _ = draw(kind, case, part)
    scale = scale_for(sketch, 200, 92)
    xs, ys = zip(*sketch.body, *sketch.before, *sketch.after, strict=True)
    assert 0.5 < max((max(xs) - min(xs)) * scale * MM / 200, (max(ys) - min(ys)) * scale * MM / 92) <= 1
    card = SketchPicture(sketch, Style("mm", "."), 200, 92, 250)
    assert sketch.was in " ".join(card.rows)
    assert card.height == 92


@pytest.mark.parametrize("rake", [-20, 35])
def test_a_tooth_is_drawn_at_any_rake_and_where_nothing_else_was_read(rake):
    bare = {"kind": "slitting saw", "teeth": 2, "nominal_diameter": "100 mm", "rake_deg": rake}
    case = CUTTER | {"tool": bare, "damage": [{"surface": "periphery", "tooth": 1, "depth": "12 mm"}]}
    _, sketch, drawing = draw("saw", case, "periphery")
    assert "drawn as a guess: relief, second relief, land, gullet" in sketch.note
    assert all(math.isfinite(x) for look in ("was", "will") for point in points(drawing, look) for x in point)
