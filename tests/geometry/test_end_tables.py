"""Published figures of end teeth and corners, row by row: shared/27 and shared/27b, each row with its source."""

import copy
import math
import re
from pathlib import Path

import pytest

from regrind.geometry.case import read
from regrind.geometry.end_teeth import find_dish_need, find_end_depth
from regrind.geometry.face_limits import find_width_limit
from regrind.geometry.floors import find_diameter_floor, find_flute_floor, find_flute_floor_nm, find_published
from regrind.geometry.inputs import EndMark, EndTeeth, Tool
from regrind.geometry.plan import work_out
from regrind.geometry.tables import rows
from regrind.geometry.tool_state import build_state
from tests.geometry.slow_section import worn_depth

FORM = {(row["item"], row["condition"]): row for row in rows("27_endform")}
ANGLES = [row for row in rows("27b_endform_angles") if row["test_use"].startswith("range")]
NM_PER_IN = 25_400_000
CASE = {
    "tool": {
        "kind": "end mill",
        "teeth": 4,
        "nominal_diameter": "10 mm",
        "flute_length": "22 mm",
        "material": "carbide",
        "hand_of_cut": "right",
        "hand_of_helix": "right",
        "helix_deg": 30,
        "core_diameter": "5.6 mm",
        "rake_deg": 8,
        "primary_relief_deg": 12,
        "secondary_relief_deg": 22,
        "primary_land": "0.3 mm",
        "corner": {"form": "radius", "radius": "1 mm"},
    },
    "measured": {"diameter": "9.990 mm", "method": "micrometer"},
    "damage": [{"tooth": 2, "from_deg": 20, "to_deg": 70, "depth": "0.080 mm"}],
    "allow": {"finish_radial": "0.013 mm", "finish_end": "0.050 mm", "stylus_distance": "1.5 mm"},
    "limits": {"usable_length": "15 mm"},
}


def _row(item: str) -> dict[str, str]:
    return next(row for (name, _), row in FORM.items() if name.startswith(item))


def test_the_published_reductions_are_those_of_the_older_table():
    """Read in two places: 15, 12, 10, 8 % by nominal diameter."""
    row = _row("largest reduction of original diameter")
    starts = [*map(float, re.findall(r"\.\d+", row["condition"])[::2]), 1.01]
    percents = [float(part) for part in row["value"].split("/")]
    got = [find_published(round(inch * NM_PER_IN)).percent for inch in starts]
    assert got == percents == [15, 12, 10, 8]


def test_below_a_quarter_inch_the_share_of_common_practice_counts():
    percent = float(_row("least diameter below 1/4 in")["value"])
    for nominal in (1_000_000, 3_175_000, 6_000_000, 6_349_999):
        least = find_diameter_floor(nominal).at_least_mm
        assert least == pytest.approx(nominal / 1e6 * (1 - percent / 100))
    assert find_diameter_floor(6_350_000).at_least_mm == pytest.approx(6.35 * 0.85)


def test_the_least_flute_is_one_diameter_and_half_the_new_flute():
    assert _row("least usable length")["value"] == "1 x D and half the new flute"
    assert find_flute_floor_nm(Tool("end mill", 4, 10_000_000, 15_000_000)) == 10_000_000
    worn = Tool("end mill", 4, 10_000_000, 22_000_000, new_flute_length_nm=30_000_000)
    assert find_flute_floor_nm(worn) == 15_000_000


def test_a_new_tool_of_the_makers_standard_length_is_well_above_its_floor():
    """Standard length of cut 1.5 x D, long 3 to 5 x D: read in a maker's guide."""
    standard = float(_row("standard length of cut")["value"])
    longest = float(_row("long length of cut")["value"].split("-")[1])
    for times in (standard, longest):
        nominal = 12_000_000
        flute = round(times * nominal)
        assert find_flute_floor_nm(Tool("end mill", 4, nominal, flute, new_flute_length_nm=flute)) < 0.75 * flute


def test_a_quarter_of_the_present_flute_may_go_at_once():
    share = as_share(_row("largest share of the present flute")["value"])
    tool = Tool("end mill", 4, 10_000_000, 40_000_000, new_flute_length_nm=40_000_000)
    assert find_flute_floor(tool).at_least_mm == pytest.approx(40 * (1 - share))


def as_share(text: str) -> float:
    over, under = text.split("/")
    return int(over) / int(under)


def test_half_the_width_of_a_tooth_is_its_floor():
    assert _row("least tooth width left")["value"] == "half the width"
    case = copy.deepcopy(CASE)
    case["tool"]["tooth_width"] = "2.6 mm"
    name, least, source = find_width_limit(build_state(read(case)))
    assert (name, least) == ("tooth_width_floor", 1.3)
    assert "memory" in source


def test_the_makers_corner_tolerance_moves_the_cut_back_by_less_than_itself():
    """A radius known to the maker's +-.001 in (taken as a rectangle) moves the cut-back of a chip by a part of that."""
    tolerance_mm = float(_row("corner radius tolerance")["value"].removeprefix("+-")) * 25.4
    case = copy.deepcopy(CASE)
    case["uncertainty"] = {"corner_radius": f"{tolerance_mm / math.sqrt(3):.6f} mm"}
    line = next(line for line in work_out(read(case)).options[-1].limits if line.limit == "usable_length")
    cuts = []
    for radius in ("0.9999 mm", "1.0001 mm"):
        case["tool"]["corner"]["radius"] = radius
        cuts.append(work_out(read(case)).options[-1].cut_back_mm)
    slope = (cuts[1] - cuts[0]) / 2e-4
    assert line.expanded_uncertainty == pytest.approx(2 * abs(slope) * tolerance_mm / math.sqrt(3), rel=1e-4)
    assert 0 < line.expanded_uncertainty < 2 * tolerance_mm


def test_the_two_copies_of_the_makers_angles_agree():
    """Read in one catalogue: shared/05 holds the radial and axial figures too."""
    older = rows("05_carbide_end_mill_regrind_geometry")
    shared = [column for column in ANGLES[0] if column.endswith("_deg") and column in older[0]]
    assert len(shared) >= 6
    compared = 0
    for row in ANGLES:
        twins = [old for old in older if old["tool"] == row["tool"] and old["flutes"].split()[:1] == [row["flutes"]]]
        if len(twins) == 1 and not row["size_band"].startswith("first line"):
            continue  # of some tools the older table holds the first line alone
        for column in shared if twins else ():
            compared += 1
            assert row[column] in {old[column] for old in twins}, (row["tool"], row["flutes"], column)
    assert compared >= 60


def test_every_makers_end_is_one_that_the_plan_reads():
    assert len(ANGLES) >= 20
    for row in ANGLES:
        case = copy.deepcopy(CASE)
        case["tool"] |= {
            "end_primary_relief_deg": float(row["axial_primary_relief_deg"]),
            "end_secondary_relief_deg": float(row["axial_secondary_relief_deg"]),
            "end_rake_deg": float(row["axial_rake_deg"]),
            "end_land": f"{float(row['end_land_Aw_over_d']) * 10:.3f} mm",
        }
        if row["dish_deg"]:
            case["tool"]["dish_deg"] = float(row["dish_deg"])
        case["damage"] = [{"end_wear_land": "0.12 mm"}]
        end = read(case).tool.end_teeth
        land, primary = float(row["end_land_Aw_over_d"]) * 10, end.primary_relief_deg
        past = worn_depth(0.12, land, primary, None, end.rake_deg) > land * math.sin(math.radians(primary))
        want = worn_depth(0.12, round(land, 3), primary, end.secondary_relief_deg if past else None, end.rake_deg)
        depth = find_end_depth(end, EndMark(None, "", 120_000))
        assert depth / 1e6 == pytest.approx(want, abs=1e-9)


def test_a_flatter_dish_takes_what_the_usual_dishes_differ_by():
    """Typical dish about 1 degree (read, a general page): from the maker's steepest to it, 5 mm out, .19 mm or less."""
    usual = float(_row("dish angle")["value"].removeprefix("about "))
    steepest = max(float(row["dish_deg"]) for row in ANGLES if row["dish_deg"])
    end = EndTeeth(dish_deg=steepest, dish_to_deg=usual)
    rise = 5 * math.sin(math.radians(steepest - usual))
    rise /= math.cos(math.radians(steepest)) * math.cos(math.radians(usual))
    assert find_dish_need(end, 5.0) == pytest.approx(rise, abs=1e-12)
    assert find_dish_need(EndTeeth(dish_deg=usual, dish_to_deg=steepest), 5.0) == 0.0


def test_the_standards_codes_for_corner_and_end_mean_here_what_they_mean_there():
    """ISO 13399 as makers list it (shared/11): read, but for the chamfer's angle, which is from memory."""
    table = {row["code"]: row for row in rows("11_iso13399_codes")}
    meanings = {code: table[code]["meaning_own_words"] for code in ("RE", "CHW", "KCH", "CDX", "ALP", "GAMP", "CCC")}
    assert meanings == {
        "RE": "corner radius",
        "CHW": "corner chamfer width",
        "KCH": "corner chamfer angle",
        "CDX": "largest cutting depth",
        "ALP": "axial clearance angle",
        "GAMP": "axial rake angle",
        "CCC": "centre cutting capability",
    }
    assert {code for code in meanings if table[code]["provenance"] != "read"} == {"KCH"}
    glossary = (Path(__file__).parents[2] / "docs" / "glossary.md").read_text(encoding="utf-8")
    section = glossary.partition("## Corner and end in ISO 13399")[2].partition("## ")[0]
    told = set(re.findall(r"\b[A-Z]{2,4}\b(?=[ ,|])", "".join(re.findall(r"^\| [A-Z, ]+ \|", section, re.M))))
    assert set(meanings) | {"APMX", "LU"} == told
    assert told <= set(table)
