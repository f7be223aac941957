"""The published tables row by row: drills, reamers, cutters, taps, threads. Each test names its file in shared/."""

import math
from pathlib import Path

import pressfit
import pytest

from regrind.geometry.errors import Refused
from regrind.geometry.fits import find_hole_tolerance, find_reamer_sizes
from regrind.geometry.kinds.drill import find_lip_relief
from regrind.geometry.kinds.hole import Hole
from regrind.geometry.kinds.tap import find_ansi_chamfers, find_chamfer_forms
from regrind.geometry.kinds.thread import read_thread
from regrind.geometry.tables import rows
from tests.geometry.kinds.worked import COUNTERSINK, CUTTER, DRILL, REAMER, TAP, change, plan

PUBLISHED = rows("29_kinds_published")


def row_of(item, condition=None):
    return next(row for row in PUBLISHED if row["item"] == item and condition in (None, row["condition"]))


@pytest.mark.parametrize("row", rows("07b_drill_point_length"), ids=lambda row: row["point_angle_deg"])
def test_point_lengths_of_planned_drills(row):
    # shared/07b: derived, (D/2)/tan(half the point angle)
    case = change(
        DRILL,
        ("tool.point_angle_deg", float(row["point_angle_deg"])),
        ("tool.back_taper", "0 mm"),
        ("measured.diameter", "10 mm"),
        ("damage", [{"worn_margin": "1 mm"}]),
    )
    assert plan(case)["options"][0]["point_length_mm"] == pytest.approx(float(row["PL_mm_for_10mm"]), abs=5.1e-5)


# read from shared/23's sizes: a drill of each band of shared/07, by its number, letter or fraction
BANDS = {
    "No.80 - No.61": ("#80", "#61"),
    "No.60 - No.41": ("#60", "#41"),
    "No.40 - No.31": ("#40", "#31"),
    "1/8 - 1/4 in": ("1/8", "1/4"),
    "F - 11/32 in": ("F", "11/32"),
    "S - 1/2 in": ("S", "1/2"),
    "33/64 - 3/4 in": ("33/64", "3/4"),
    "49/64 in and larger": ("49/64", "1"),
}
WORK = {"hard and tough": "hard", "general purpose": "general", "soft and free machining": "soft"}
LIP_RELIEFS = [row for row in rows("07_drill_geometry") if row["item"] == "lip relief at periphery by diameter"]


@pytest.mark.parametrize("row", LIP_RELIEFS, ids=lambda row: row["condition"])
def test_lip_relief_by_diameter_and_work(row):
    # shared/07: a handbook's table, from memory; both ends of each band by shared/23
    sizes = {size["size"]: float(size["diameter_in"]) * 25.4 for size in rows("23_drill_sizes")} | {"1": 25.4}
    band, _, work = row["condition"].partition("; ")
    for size in BANDS[band]:
        assert find_lip_relief(sizes[size], WORK[work]) == float(row["low"])


def test_chip_room_of_a_makers_example():
    # shared/29, read: depth of hole = flute length less 1.5 diameters, 10 mm with flute 90 -> 75
    factor = float(row_of("drill: flute length kept free for chips")["low"])
    case = change(DRILL, ("measured.diameter", "10 mm"), ("tool.flute_length", "90 mm"), ("damage", []))
    assert plan(case)["options"][0]["hole_depth_mm"] == pytest.approx(75) == pytest.approx(90 - factor * 10)


@pytest.mark.parametrize("kind", ["drill", "reamer"])
def test_default_tapers_lie_in_the_published_ranges(kind):
    # shared/29: back tapers and the web's, read (one misprinted) and from memory
    (used,) = [d for d in plan(DRILL if kind == "drill" else REAMER)["defaults"] if d["field"] == "back_taper"]
    row = row_of(f"{kind}: back taper")
    low, high = float(row["low"]), float(row["high"])
    assert used["value"] == pytest.approx((low + high) / 2)
    assert used["standard_uncertainty"] == pytest.approx((high - low) / 2 / math.sqrt(3))


def test_the_default_web_taper_and_helix_lie_in_the_published_ranges():
    # shared/29: web taper from memory; helix of type N drills read on a maker's page
    case = change(DRILL, ("tool.helix_deg", None))
    used = {default["field"]: default["value"] for default in plan(case)["defaults"]}
    web = row_of("drill: web taper")
    assert float(web["low"]) <= used["web_taper"] <= float(web["high"])
    helix = [row for row in PUBLISHED if row["item"] == "drill: helix, type N"]
    assert len(helix) == 5
    assert min(float(row["low"]) for row in helix) <= used["helix_deg"] <= max(float(row["high"]) for row in helix)


def test_a_drill_worn_back_a_quarter_inch_is_cut_off_first():
    # shared/29, read, low confidence: tells only
    inch = float(row_of("drill: worn back this far, cut off before pointing")["low"])
    for finish, told in (("0.1 mm", True), ("0.099999 mm", False)):
        case = change(
            DRILL,
            ("damage", [{"worn_margin": f"{inch * 25.4 - 0.1:.6f} mm"}]),
            ("allow.finish", finish),
            ("measured.diameter_at", "7 mm"),
            ("limits", {}),
        )
        assert ("cut_off_first" in plan(case)["options"][0]["reasons"]) is told


def test_oversize_by_lip_height_is_of_the_published_size():
    # shared/29, read, low confidence: 0.003 in difference makes a 1/2 in drill cut 0.006 in over; derived: 1.664 at 118
    for angle, factor in ((118, 1.664), (135, 2.414)):
        case = change(DRILL, ("limits", {"oversize": "0.006 in"}), ("tool.point_angle_deg", angle))
        height = plan(case)["options"][0]["lip_height_most_mm"]
        assert 0.006 * 25.4 / height == pytest.approx(factor, abs=5e-4)
    low, high = 1.664, 2.414
    assert low < float(row_of("drill: hole oversize per lip height difference")["low"]) < high


@pytest.mark.parametrize("row", rows("08b_reamer_tolerance_H7"), ids=lambda row: row["up_to_incl_mm"])
def test_reamers_for_h7_agree_with_the_remembered_table(row):
    # shared/08b: memory of DIN 1420 / ISO 522
    nominal = float(row["up_to_incl_mm"])
    assert find_hole_tolerance("IT7", nominal) == int(row["IT7_um"])
    lower, upper = find_reamer_sizes(0, int(row["IT7_um"]) * 1000)
    assert (upper, lower) == (int(row["reamer_upper_um"]) * 1000, int(row["reamer_lower_um"]) * 1000)


def test_the_standard_chamfer_is_read():
    # shared/08, read: 45 degrees
    row = next(row for row in rows("08_reamer_side_cutter") if row["item"] == "chamfer angle")
    assert plan(change(REAMER, ("tool.chamfer_angle_deg", float(row["low"]))))["verdict"] == "grind"


@pytest.mark.parametrize("row", rows("30_reamer_for_hole"), ids=lambda row: f"{row['nominal_mm']} {row['hole_class']}")
def test_reamers_for_holes(row):
    # shared/30: the rule read on two makers' pages, on ISO 286 values; 10 D8 read
    lower, upper = (round(float(row[f"hole_{end}_mm"]) * 1e6) for end in ("lower", "upper"))
    hole = Hole.between(lower, upper)
    assert (hole.reamer_lower_mm, hole.reamer_upper_mm) == (
        float(row["reamer_lower_mm"]),
        float(row["reamer_upper_mm"]),
    )
    if row["hole_class"].startswith("H"):
        case = change(REAMER, ("hole", {"nominal": f"{row['nominal_mm']} mm", "class": row["hole_class"]}))
        answered = plan(case)["options"][0]["hole"]
        assert {key: answered[key] for key in answered if key.endswith("er_mm")} == {
            key: pytest.approx(float(row[key])) for key in row if key.endswith("er_mm")
        }


def test_10_d8_as_a_maker_prints_it():
    # shared/29, read: 10 D8 hole 10.040-10.062, reamer 10.050-10.058
    hole = Hole.between(10_040_000, 10_062_000)
    assert hole.reamer_upper_mm == float(row_of("reamer: 10 D8, upper size")["low"])
    assert hole.reamer_lower_mm == float(row_of("reamer: 10 D8, lower size")["low"])


@pytest.mark.parametrize("row", rows("28_iso286_it"), ids=lambda row: f"{row['grade']} to {row['up_to_incl_mm']}")
def test_tolerance_grades_agree_with_a_general_library(row):
    # shared/28: memory of ISO 286-1; pressfit
    grade, low, high = row["grade"], float(row["over_mm"]), float(row["up_to_incl_mm"])
    for nominal in (low + 0.001, (low + high) / 2, high):
        width = find_hole_tolerance(grade, nominal)
        assert width == int(row["tolerance_um"]) == pressfit.it_value(nominal, int(grade.removeprefix("IT")))


def test_holes_of_class_h_agree_with_a_general_library():
    # pressfit, lower deviation 0 for H
    for nominal in (2, 4, 9, 14, 25, 45, 70, 80):
        for grade in range(6, 11):
            case = change(REAMER, ("hole", {"nominal": f"{nominal} mm", "class": f"H{grade}"}))
            hole = plan(case)["options"][0]["hole"]
            assert hole["hole_lower_mm"] == nominal
            assert hole["hole_upper_mm"] == pytest.approx(nominal + pressfit.it_value(nominal, grade) / 1000)


OFFSETS = rows("04_wheel_offset")


@pytest.mark.parametrize("straight", [True, False])
def test_wheel_and_rest_heights_of_planned_cutters(straight):
    # shared/04: Machinery's Handbook's disc-wheel table from memory, cup wheel derived; rule of 0.0087 read, +-0.5 %
    table = [row for row in OFFSETS if row["setup"].startswith("disc") is straight]
    checked = 0
    for row in table:
        inches, degrees = float(row["diameter_in"]), float(row["clearance_deg"])
        diameter = f"{inches:.4f} in"
        changes = (
            [("setup", {"wheel": "straight", "wheel_diameter": diameter})]
            if straight
            else [
                ("setup", {"wheel": "cup"}),
                ("measured.diameter", diameter),
                ("tool.neck_diameter", None),
                ("tool.gullet_depth", None),
                ("allow.finish_radial", "0 mm"),
                ("damage", [{"surface": "periphery", "tooth": 1, "depth": "0.000001 mm"}]),
            ]
        )
        reliefs = ("tool.primary_relief_deg", degrees), ("tool.secondary_relief_deg", degrees + 1)
        case = change(CUTTER, *changes, *reliefs)
        setup = plan(case)["options"][0]["setup"]
        height = setup["wheel_above_mm" if straight else "tooth_rest_below_mm"]
        assert height == pytest.approx(float(row["offset_exact_mm"]), abs=6e-5)
        if degrees <= 12:
            assert height == pytest.approx(0.0087 * inches * degrees * 25.4, rel=5.1e-3)
        checked += 1
    assert checked == len(table) > 50


@pytest.mark.parametrize("row", rows("04b_disc_wheel_hollow_land"), ids=lambda row: row["mean_relief_over_land_deg"])
def test_mean_relief_of_a_hollow_land(row):
    # shared/04b: derived, a circle through the edge; within 0.01 degrees
    case = change(
        CUTTER,
        ("setup", {"wheel": "straight", "wheel_diameter": f"{row['wheel_dia_mm']} mm"}),
        ("tool.primary_relief_deg", float(row["set_clearance_deg"])),
        ("tool.primary_land", f"{row['land_width_mm']} mm"),
    )
    setup = plan(case)["options"][0]["setup"]
    assert setup["mean_relief_deg"] == pytest.approx(float(row["mean_relief_over_land_deg"]), abs=0.01)


@pytest.mark.parametrize(
    "row", [row for row in PUBLISHED if row["item"] == "countersink: included angles made"], ids=lambda row: row["low"]
)
def test_every_countersink_that_is_made_is_planned_and_keeps_its_angle(row):
    # shared/29, read
    option = plan(change(COUNTERSINK, ("tool.included_angle_deg", float(row["low"]))))["options"][0]
    assert option["included_angle_deg"] == pytest.approx(float(row["low"]))


FORMS = [row for row in PUBLISHED if row["item"] == "tap: threads in the chamfer, DIN 2197"]


@pytest.mark.parametrize("row", FORMS, ids=lambda row: row["condition"])
def test_chamfer_forms_of_taps(row):
    # shared/29: DIN 2197 as read on makers' pages
    low, high, form = float(row["low"]), float(row["high"]), row["condition"].removeprefix("form ")
    for threads in (low, (low + high) / 2, high):
        assert form in find_chamfer_forms(threads, spiral_point=True)
        assert (form in find_chamfer_forms(threads, spiral_point=False)) is (form != "B")
    for threads in (low - 0.01, high + 0.01):
        assert form not in find_chamfer_forms(threads, spiral_point=True)


ANSI = [row for row in PUBLISHED if row["item"] == "tap: threads in the chamfer, ANSI"]


@pytest.mark.parametrize("row", ANSI, ids=lambda row: row["condition"])
def test_chamfers_of_inch_taps(row):
    # shared/29: read on a maker's page; where two ranges meet, both names fit
    low, high, name = float(row["low"]), float(row["high"]), row["condition"]
    for threads in (low, (low + high) / 2, high):
        assert name in find_ansi_chamfers(threads)
    for threads in (low - 0.01, high + 0.01):
        assert name not in find_ansi_chamfers(threads)


def test_lip_reliefs_are_no_less_than_a_maker_prints():
    # shared/29, read: at least 8 degrees for type N, 118; shared/07 gives less to hard and tough work only
    least = float(row_of("drill: lip clearance, least")["low"])
    sizes = [float(row["diameter_in"]) * 25.4 for row in rows("23_drill_sizes")]
    assert all(find_lip_relief(size, "general") >= least for size in sizes)


def test_a_slitting_saw_and_a_cracked_tool_are_never_ground_where_the_rules_forbid_it():
    # shared/29: a saw's sides, common practice; a cracked drill, a fitter's course
    assert row_of("slitting saw: never ground on its sides")["test_use"] == "rule"
    saw = plan(change(CUTTER, ("tool.kind", "slitting saw"), ("limits", {"width": "1 mm"})))
    assert all(set(option["grind"]) <= {"periphery"} for option in saw["options"])
    assert row_of("drill: never resharpen a cracked or split drill")["test_use"] == "rule"
    assert plan(change(DRILL, ("measured.cracked", True)))["verdict"] == "scrap"


# figures of shared/29 that no computation takes: of new tools, of runout, or of what the shop sees for itself
NOT_COMPUTED = {
    "drill: chisel edge angle": "given with the case, no default",
    "drill: run-out allowed": "of a new drill; the bench reads none",
    "counterbore: relief kept, front edges only": "no kind of the program",
    "tap: set-over of the face": "the faces of taps are not ground",
    "reamer: chamfer angle": "the default of the bench: tests/bench/test_reamers.py",
    "reamer: rounding": "the coarser of two makers' is taken",
}


def test_every_figure_that_was_read_has_its_test_here():
    source = Path(__file__).read_text(encoding="utf-8")
    used = {row["item"] for row in PUBLISHED if row["item"] in source}
    used |= {"drill: back taper", "reamer: back taper"}  # named by kind above
    wanted = {
        row["item"]
        for row in PUBLISHED
        if not row["test_use"].startswith(("text", "do not test", "rule")) and (row["low"] or row["high"])
    }
    covered = {"reamer: upper size below the hole's upper limit", "reamer: own tolerance"}  # row by row in shared/30
    covered |= {"cutter: wheel or tooth-rest offset"}  # row by row in shared/04
    assert wanted - used - covered - NOT_COMPUTED.keys() == set()


COARSE = rows("31_iso261_coarse_pitch")


def test_coarse_pitches_are_taken_where_none_is_given():
    # shared/31: ISO 261, read on two trade pages, six rows from memory
    assert len(COARSE) == 40
    for row in COARSE:
        thread = read_thread(f"M{row['diameter_mm']}")
        assert (thread.diameter_mm, thread.pitch_mm) == (float(row["diameter_mm"]), float(row["coarse_pitch_mm"]))
        assert thread.per_inch is None


@pytest.mark.parametrize(
    ("text", "diameter", "pitch", "per_inch"),
    [
        ("M8 x 1.25", 8, 1.25, None),
        ("m8x1", 8, 1, None),
        ("M 10 × 1,25", 10, 1.25, None),
        ("1/4-20", 6.35, 1.27, 20),
        ("1/4-20 UNC", 6.35, 1.27, 20),
        ("1-1/4-7 UNC", 31.75, 25.4 / 7, 7),
        ("1 1/4 - 12 UNF", 31.75, 25.4 / 12, 12),
        ("11/16-16", 17.4625, 25.4 / 16, 16),
        ("2-4.5", 50.8, 25.4 / 4.5, 4.5),
        ("1-8", 25.4, 3.175, 8),
        ("1-20 UNEF", 25.4, 1.27, 20),
        # ASME B1.1 from memory: #10 is 0.190 in, #4 0.112 in, #0 0.060 in, #12 0.216 in
        ("#10-32", 4.826, 25.4 / 32, 32),
        ("#4-40 UNC", 2.8448, 25.4 / 40, 40),
        ("# 0 - 80", 1.524, 25.4 / 80, 80),
        ("#12-24", 5.4864, 25.4 / 24, 24),
    ],
)
def test_threads_are_read_as_the_trade_writes_them(text, diameter, pitch, per_inch):
    thread = read_thread(text)
    assert (thread.diameter_mm, thread.pitch_mm, thread.per_inch) == (
        pytest.approx(diameter),
        pytest.approx(pitch),
        per_inch,
    )


@pytest.mark.parametrize(
    "text",
    [
        "",
        "M",
        "M8.3",
        "M8 x 20",
        "M8 x 0",
        "10-32",
        "4-40",
        "12-24",
        "#13-20",
        "1/0-20",
        "1-5/4-7",
        "1/4",
        "1/4-0",
        "G1/4",
        "M8 x",
        "1/4-20 XYZ",
        "20-1/4",
        "1" * 70,
        "M1e3",
        "M-8",
    ],
)
def test_what_is_no_thread_is_refused(text):
    with pytest.raises(Refused) as refused:
        read_thread(text)
    assert refused.value.field == "thread"


def test_a_tap_says_its_thread():
    option = plan(change(TAP, ("tool.thread", "1/4-20 UNC")))["options"][0]
    assert (option["thread_diameter_mm"], option["pitch_mm"], option["threads_per_inch"]) == (6.35, 1.27, 20)
