"""Every source that a plan, a step or a table names has its entry, and none of them shows how it was looked up."""

import re

import pytest

from regrind.geometry.bibliography import BIBLIOGRAPHY, TYPICAL, UNNAMED, short_reference
from regrind.geometry.case import read
from regrind.geometry.edition import list_limits
from regrind.geometry.example import CASE
from regrind.geometry.explain import list_steps
from regrind.geometry.kinds.example import CASES as KIND_CASES
from regrind.geometry.kinds.plan import answer_case
from regrind.geometry.kinds.registry import find_kind
from regrind.geometry.plan import work_out
from regrind.geometry.result import as_dict
from regrind.geometry.tables import rows
from tests.geometry.tool_strategies import change

SHOWN_TABLES = (
    "01_relief_drop_radial_flat",
    "05_carbide_end_mill_regrind_geometry",
    "15_wheel_speed_recommended",
    "15c_infeed_by_grit",
)
BARE = ("helix_deg", "core_diameter", "rake_deg", "primary_relief_deg", "secondary_relief_deg", "primary_land")


def _bare(material, nominal="1/4 in"):
    """The worked example of a tool of which nothing but its size is known."""
    tool = {key: value for key, value in CASE["tool"].items() if key not in BARE}
    return change(CASE, "tool", tool | {"material": material, "nominal_diameter": nominal})


@pytest.mark.parametrize("material", ["carbide", "HSS", "unknown"])
@pytest.mark.parametrize("published", [True, False])
def test_every_source_of_a_plan_and_of_its_steps_has_an_entry(material, published):
    case = _bare(material)
    limits = {"rake_deg": 0, "published_reduction": True} if published else {"rake_deg": 0}
    case = change(case, "limits", limits)
    answer = as_dict(work_out(read(case)))
    sources = [default["source"] for default in answer["defaults"]]
    for option in range(len(answer["options"])):
        sources += [step.source for step in list_steps(case, answer, option)]
    assert len(sources) > 20
    assert all(short_reference(source) is not UNNAMED for source in sources)


@pytest.mark.parametrize("case", KIND_CASES.values(), ids=KIND_CASES)
def test_every_default_of_a_further_kind_has_an_entry(case):
    answer = answer_case(case, find_kind(case))
    assert all(short_reference(default["source"]) is not UNNAMED for default in answer["defaults"])


def test_every_dated_limit_has_an_entry():
    assert {short_reference(limit.source).short for limit in list_limits()} == {
        "common practice",
        "published largest reduction",
    }


@pytest.mark.parametrize("name", SHOWN_TABLES)
def test_every_row_of_a_table_that_pages_show_has_an_entry(name):
    assert all(short_reference(row["source"]) is not UNNAMED for row in rows(name))


def test_a_figure_written_from_memory_is_said_to_be_so():
    assert short_reference("memory: general tool design") is TYPICAL


def test_a_source_that_no_entry_knows_falls_to_the_last_entry():
    assert short_reference("somebody said so") is UNNAMED


def test_entries_are_numbered_in_their_order_and_hold_no_notes_of_a_search():
    assert [entry.number for entry in BIBLIOGRAPHY] == list(range(1, len(BIBLIOGRAPHY) + 1))
    for entry in BIBLIOGRAPHY:
        assert not re.search(r"\.csv|\.md|stored cop|copy|\bread:|shared/", str(entry) + entry.entry)
