"""The reference tables: every file told of, every row with its source, doubtful rows listed and left out."""

import re

import pytest

from regrind.geometry.tables import SHARED, rows

NAMES = sorted(path.stem for path in SHARED.glob("*.csv"))
README = (SHARED / "README.md").read_text(encoding="utf-8")
DOUBT = ("doubtful", "do not test", "verify first")


def doubtful(name: str) -> list[dict[str, str]]:
    return [row for row in rows(name) if row.get("test_use", "").startswith(DOUBT)]


def test_the_readme_tells_of_every_file_and_of_no_other():
    told = re.findall(r"^\| `(\S+)\.csv` \|", README.partition("## Rows kept out")[0], flags=re.MULTILINE)
    assert told == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_every_row_has_its_source_and_provenance(name):
    table = rows(name)
    assert table
    for row in table:
        assert None not in row, "more cells than columns"
        assert None not in row.values(), "fewer cells than columns"
        assert row["provenance"]
        assert row["source"] or row["provenance"] == "none"


@pytest.mark.parametrize("name", NAMES)
def test_doubtful_rows_are_listed_in_the_readme_by_their_number(name):
    kept_out = README.partition("## Rows kept out")[2]
    listed = re.search(rf"^\| `{name}\.csv` \| (\d+) \(", kept_out, re.MULTILINE)
    assert len(doubtful(name)) == (int(listed[1]) if listed else 0)


def test_a_table_is_read_once():
    assert rows("23_drill_sizes") is rows("23_drill_sizes")


def test_a_name_without_a_table_is_an_error():
    with pytest.raises(FileNotFoundError):
        rows("no_such_table")


def test_the_tables_hold_no_stray_columns_or_marks():
    for name in NAMES:
        text = (SHARED / f"{name}.csv").read_text(encoding="utf-8")
        assert "\ufeff" not in text
        assert "\ufffd" not in text


def number(row: dict[str, str], column: str) -> float:
    return float(row[column])


def test_recommended_ranges_for_square_end_mills_are_those_of_the_makers_own_rows():
    # both read in one maker's catalogue (shared/05, shared/06)
    mills = [row for row in rows("05_carbide_end_mill_regrind_geometry") if row["tool"] == "square end mill"]
    advice = rows("06_relief_recommendations")
    ranges = {row["item"]: row for row in advice if "solid carbide square" in row["condition"]}
    columns = {
        "dish (end concavity)": "dish_deg",
        "axial primary relief": "axial_primary_relief_deg",
        "axial secondary relief": "axial_secondary_relief_deg",
        "radial rake": "radial_rake_deg",
    }
    assert set(ranges) == set(columns)
    for item, column in columns.items():
        values = [number(row, column) for row in mills]
        assert (min(values), max(values)) == (number(ranges[item], "low"), number(ranges[item], "high"))


def test_the_makers_reliefs_for_small_carbide_lie_in_the_handbooks_range_for_a_quarter_inch():
    # read (shared/05) against a remembered handbook's table (shared/01): 10 to 14 degrees
    table = rows("01_relief_drop_radial_flat")
    handbook = [number(row, "relief_deg") for row in table if row["cutter_dia_frac_in"] == "1/4"]
    mills = rows("05_carbide_end_mill_regrind_geometry")
    small = [row for row in mills if row["size_band"].startswith("small")]
    assert len(small) == 11
    for row in small:
        assert min(handbook) <= number(row, "radial_primary_relief_deg") <= max(handbook)


def test_remembered_lip_reliefs_by_diameter_stay_inside_the_ranges_that_were_read():
    # shared/07: a remembered handbook's table against bounds read on two pages (7-20, 7-24 and 12-26 degrees)
    table = rows("07_drill_geometry")
    remembered = [row for row in table if row["item"] == "lip relief at periphery by diameter"]
    read = [row for row in table if row["item"].startswith("lip") and row["provenance"].startswith("read")]
    assert len(remembered) == 24
    for row in remembered:
        assert min(number(r, "low") for r in read) <= number(row, "low")
        assert number(row, "high") <= max(number(r, "high") for r in read)
    for kind in ("hard and tough", "general purpose", "soft and free machining"):
        falling = [number(row, "low") for row in remembered if row["condition"].endswith(kind)]
        assert falling == sorted(falling, reverse=True)


def test_iso_13399_codes_are_told_once_each():
    codes = [row["code"] for row in rows("11_iso13399_codes")]
    assert len(codes) == len(set(codes))
    assert {"DC", "APMX", "LU", "OAL", "DCON", "NOF", "FHA", "RE", "CHW"} <= set(codes)
