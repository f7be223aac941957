"""The profile and the face as drawn: measured back from the SVG to half a pixel, from 1 mm to 25 mm."""

import math
import re
from collections import Counter

import pytest

from regrind.bench.drawings.arc import CENTRE, RADIUS, draw_arc, find_place
from regrind.bench.drawings.face import draw_face, shape
from regrind.bench.drawings.profile import HEIGHT, WIDTH, draw_profile, find_new, find_old, outline
from regrind.geometry.case import read
from regrind.geometry.plan import work_out
from regrind.geometry.result import as_dict
from tests.geometry.end_maker import EndMaker

HALF_PX = 0.5


def case_of(diameter_mm: float, form: str, size_mm: float = 0.0, **mark) -> dict:
    corner = {"form": form} | ({"radius": f"{size_mm} mm"} if form == "radius" else {})
    depth = 0.01 * diameter_mm
    return {
        "tool": {
            "kind": "end mill", "teeth": 2, "material": "carbide", "nominal_diameter": f"{diameter_mm} mm",
            "flute_length": f"{3 * diameter_mm} mm", "corner": corner,
        },
        "measured": {"diameter": f"{diameter_mm} mm", "method": "micrometer"},
        "damage": [{"tooth": 1, "from_deg": 0, "to_deg": 60, "depth": f"{depth} mm"} | mark],
        "allow": {"finish_radial": "0.01 mm", "finish_end": "0.02 mm", "stylus_distance": "0 mm"},
    }  # fmt: skip


def points_of(drawing: str, look: str) -> list[tuple[float, float]]:
    """The points of the first path of a look, in px."""
    path = re.search(rf'<path d="M([^"Z]*)Z?" class="{look}"', drawing)[1]
    return [tuple(float(n) for n in pair.split()) for pair in path.split(" L")]


def drawn(case: dict, **wanted):
    answer = as_dict(work_out(read(case)))
    option = next(o for o in answer["options"] if all(o[name] == value for name, value in wanted.items()))
    return option, str(draw_profile(case, option, "mm"))


@pytest.mark.parametrize("diameter", [1.0, 6.0, 25.0])
def test_a_ball_is_drawn_round_and_moved_back_by_its_cut_back(diameter):
    """Every point of the arc stands a radius from its middle, and the tip of the new one so much above the old."""
    case = case_of(diameter, "ball")
    option, drawing = drawn(case, sides=False)
    was, will = points_of(drawing, "was"), points_of(drawing, "will")
    radius_px = was[-2][0] - was[0][0]
    middle = (was[0][0], was[0][1] - radius_px)
    for x, y in was[:-1]:
        assert math.hypot(x - middle[0], y - middle[1]) == pytest.approx(radius_px, abs=HALF_PX)
    scale = radius_px / (diameter / 2)
    assert was[0][1] - will[0][1] == pytest.approx(option["cut_back_mm"] * scale, abs=HALF_PX)
    assert all(0 <= x <= WIDTH and 0 <= y <= HEIGHT for x, y in [*was[:-1], *will[:-1]])
    assert radius_px > 200


@pytest.mark.parametrize(("diameter", "size"), [(1.0, 0.1), (10.0, 1.0), (25.0, 3.0)])
def test_a_corner_radius_is_drawn_as_large_as_its_sheet_and_true(diameter, size):
    case = case_of(diameter, "radius", size, depth=f"{size / 10} mm")
    option, drawing = drawn(case, sides=False)
    was, will = points_of(drawing, "was"), points_of(drawing, "will")
    side, end = max(x for x, _ in was), max(y for _, y in was)
    arc = [point for point in was if point[0] > 0 and point[1] < end - HALF_PX and point[0] < side - HALF_PX]
    scale = find_scale(drawing, size)
    middle = (side - size * scale, end - size * scale)
    assert len(arc) > 20
    for x, y in arc:
        assert math.hypot(x - middle[0], y - middle[1]) == pytest.approx(size * scale, abs=HALF_PX)
    assert end - max(y for _, y in will) == pytest.approx(option["cut_back_mm"] * scale, abs=HALF_PX)
    assert size * scale > 100


def find_scale(drawing: str, size_mm: float) -> float:
    """px per mm: the side stands one radius off the cross in the middle of the arc."""
    cross = re.findall(r'<line x1="([\d.]+)" y1="([\d.]+)" x2="([\d.]+)" y2="\2" class="dim"/>', drawing)[0]
    side = max(x for x, _ in points_of(drawing, "was"))
    return (side - (float(cross[0]) + float(cross[2])) / 2) / size_mm


def test_a_clip_takes_its_leg_off_both_ways():
    case = case_of(10.0, "square", **{"from": "0 mm", "to": "0.2 mm", "depth": "0.1 mm"})
    del case["damage"][0]["from_deg"], case["damage"][0]["to_deg"]
    case["accept"] = [{"form": "chamfer", "width": "0.4 mm"}]
    answer = as_dict(work_out(read(case)))
    option = next(o for o in answer["options"] if o["corner_form"] == "chamfer" and not o["sides"])
    drawing = str(draw_profile(case, option, "mm"))
    _axis, start, end, _top = points_of(drawing, "will")
    assert end[0] - start[0] == pytest.approx(start[1] - end[1], abs=HALF_PX)
    (_, low), (_, high), *_ = points_of(drawing, "gone")
    assert end[0] - start[0] == pytest.approx(0.4 * (low - high) / 0.2, abs=HALF_PX)  # the chip reaches back 0.2
    new = outline(find_new(option), 2.0)
    assert new[2][0] - new[1][0] == pytest.approx(0.4)
    assert find_old(case, option).form == "square"


def test_every_corner_of_generated_cases_is_drawn_where_the_plan_puts_it():
    """Scale from the old corner's own size; then where the new end and the new side stand, and how large its corner."""
    maker, drawn_forms = EndMaker(27), Counter()
    for case in (maker.case(face=False) for _ in range(60)):
        for option in as_dict(work_out(read(case)))["options"]:
            drawing, old, new = str(draw_profile(case, option, "mm")), find_old(case, option), find_new(option)
            if old.form == "square" or not drawing:
                continue
            was, will = corner_of(points_of(drawing, "was"), old), corner_of(points_of(drawing, "will"), new)
            scale = (was[1][0] - was[0][0]) / old.arc_mm
            assert was[0][1] - will[0][1] == pytest.approx(option["cut_back_mm"] * scale, abs=HALF_PX)
            assert was[1][0] - will[1][0] == pytest.approx((old.radius_mm - new.radius_mm) * scale, abs=HALF_PX)
            legs = [abs(after - before) for before, after in zip(*will, strict=True)]
            assert legs == pytest.approx([new.arc_mm * scale] * 2, abs=HALF_PX), option
            drawn_forms[old.form, new.form] += 1
    assert {form for form, _ in drawn_forms} == {"chamfer", "radius", "ball"}
    assert drawn_forms.total() >= 60


def corner_of(points: list[tuple[float, float]], corner) -> tuple[tuple[float, float], tuple[float, float]]:
    """Where a drawn corner leaves the end, and where it meets the side."""
    return points[0 if corner.form == "ball" else 1], points[-2]


def test_the_damage_on_an_arc_is_drawn_as_deep_as_it_was_read():
    """A ball of 6 mm, 0.06 deep to 60°: every outer point a radius off the middle, every inner one 0.06 less."""
    case = case_of(6.0, "ball")
    _option, drawing = drawn(case, sides=False)
    was, gone = points_of(drawing, "was"), points_of(drawing, "gone")
    radius = was[-2][0] - was[0][0]
    middle = (was[0][0], was[0][1] - radius)
    reach = sorted(math.dist(point, middle) for point in gone)
    half = len(reach) // 2
    assert reach[:half] == pytest.approx([radius * (1 - 0.06 / 3)] * half, abs=HALF_PX)
    assert reach[half:] == pytest.approx([radius] * (len(reach) - half), abs=HALF_PX)
    assert max(math.degrees(math.atan2(x - middle[0], y - middle[1])) for x, y in gone) == pytest.approx(60, abs=0.2)


def test_a_square_corner_that_stays_square_has_no_profile():
    case = case_of(10.0, "square", **{"from": "0 mm", "to": "0.2 mm", "depth": "0.1 mm"})
    del case["damage"][0]["from_deg"], case["damage"][0]["to_deg"]
    assert drawn(case)[1] == ""


def test_the_new_edge_of_a_face_is_drawn_where_the_plan_puts_it():
    """The edge stands at half the diameter after, and the old face and the new keep the wheel's plane off the axis."""
    case = {
        "tool": {
            "kind": "roughing end mill", "teeth": 4, "nominal_diameter": "20 mm", "flute_length": "38 mm",
            "rake_deg": 12, "primary_relief_deg": 9, "tooth_width": "3 mm",
        },
        "measured": {"diameter": "20 mm", "method": "micrometer"},
        "damage": [{"tooth": 1, "from": "0 mm", "to": "38 mm", "back": "0.3 mm"}],
        "allow": {"finish_radial": "0.01 mm", "finish_end": "0.02 mm", "stylus_distance": "0 mm"},
        "ways": ["face"],
    }  # fmt: skip
    [option] = as_dict(work_out(read(case)))["options"]
    tooth = shape(case, option)
    assert math.hypot(*tooth.edge()) == pytest.approx(option["diameter_mm"] / 2)
    foot = tooth.face(tooth.edge(), tooth.turned_rad, tooth.after_rake_rad, 2.0)
    x, y = tooth.edge()
    off = abs((foot[0] - x) * y - (foot[1] - y) * x) / math.dist(foot, (x, y))
    assert off == pytest.approx(option["set_over_mm"])
    drawing = str(draw_face(case, option, "mm"))
    _foot, edge, *_ = points_of(drawing, "will")
    old = points_of(drawing, "was")[1]
    scale = (old[0] - edge[0]) / -x
    assert edge[1] - old[1] == pytest.approx((10.0 - y) * scale, abs=HALF_PX)


def test_the_arc_to_tap_on_has_keys_that_a_finger_meets():
    """A key is 15° of a ring: across its middle it is at least 48 px wide, and as deep."""
    drawing = str(draw_arc("ball", "45°", "id_reach"))
    keys = re.findall(r'data-value="(\d+)°"[^>]*>', drawing)
    assert keys == ["15", "30", "45", "60", "75", "90"]
    assert drawing.count("toothkey chosen") == 1
    inner, outer = 0.62 * RADIUS, RADIUS + 20
    assert (inner + outer) / 2 * math.radians(15) >= 48
    assert outer - inner >= 48
    assert find_place(90) == pytest.approx((CENTRE[0] + RADIUS, CENTRE[1]))
