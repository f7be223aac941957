"""A case that is written as JSON says the same when it is read again, and what cannot be is refused then."""

import dataclasses

import pytest

from regrind.geometry.case import read
from regrind.geometry.errors import Refused
from regrind.geometry.example import CASE, CORNER_CASE, read_example
from regrind.geometry.plan import work_out
from regrind.geometry.result import as_dict
from regrind.geometry.snapshot import take_snapshot, write
from tests.geometry.case_maker import CaseMaker

CASES = 60
END = {
    "dish_deg": 2,
    "dish_to_deg": 3,
    "end_inner_radius": "0.5 mm",
    "end_primary_relief_deg": 6,
    "end_secondary_relief_deg": 14,
    "end_rake_deg": 5,
    "end_land": "0.2 mm",
    "centre_recess": "0.1 mm",
}
TOOLS = {
    "one relief": CASE | {"tool": CASE["tool"] | {"secondary_relief_deg": None}},
    "corner": CORNER_CASE,
    "end teeth": CASE | {"tool": CASE["tool"] | END},
    "end wear land of a tooth": CASE
    | {"tool": CASE["tool"] | END, "damage": [{"tooth": 2, "end_wear_land": "0.1 mm"}]},
    "ground on the face": CASE | {"tool": CASE["tool"] | {"relief_form": "spiral"}, "ways": ["face", "flank"]},
    "one total reading": CASE | {"measured": {"diameter": "0.2498 in", "method": "v-anvil", "tir": "4 tenths"}},
}


def renamed(case):
    """With its marks named by their place, as `read` names them where no end mark stands before."""
    marks = (dataclasses.replace(mark, field=f"damage[{n}]") for n, mark in enumerate(case.marks))
    return dataclasses.replace(case, marks=tuple(marks))


@pytest.mark.parametrize("gaps", [False, True])
def test_a_case_that_is_written_is_read_back_as_it_was(gaps):
    maker = CaseMaker(20260711)
    for _ in range(CASES):
        case = renamed(read(maker.case_with_gaps() if gaps else maker.case()))
        again = read(take_snapshot(case))
        assert as_dict(work_out(again)) == as_dict(work_out(case))


@pytest.mark.parametrize("name", TOOLS)
def test_what_a_case_may_hold_besides_is_written_too(name):
    case = renamed(read(TOOLS[name]))
    assert read(write(case)) == case


BROKEN = {
    "tool.teeth": ("tool", {"teeth": 1}),
    "tool.nominal_diameter": ("tool", {"nominal_diameter_nm": 0}),
    "tool.core_diameter": ("tool", {"core_diameter_nm": 6_400_000}),
    "tool.rake_deg": ("tool", {"rake_deg": 40.5}),
    "tool.helix_deg": ("tool", {"helix_deg": float("nan")}),
    "tool.secondary_relief_deg": ("tool", {"secondary_relief_deg": 12.0}),
    "measured.method": ("measured", {"method": "micrometer"}),
    "measured.tir": ("measured", {"tir_nm": 10_000}),
    "measured.tooth_readings[0]": ("measured", {"tooth_readings_nm": (1, 0, 0)}),
    "allow.finish_end": ("allow", {"finish_end_nm": -1}),
    "uncertainty.depth": ("uncertainty", {"depth_nm": -1}),
}


@pytest.mark.parametrize("field", BROKEN)
def test_what_cannot_be_is_refused_under_its_name(field):
    case, (room, values) = read_example(), BROKEN[field]
    with pytest.raises(Refused) as refused:
        take_snapshot(dataclasses.replace(case, **{room: dataclasses.replace(getattr(case, room), **values)}))
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("key", "values"),
    [
        ("tooth", {"tooth": 4}),
        ("to", {"to_nm": 19_050_001}),
        ("depth", {"depth_radial_nm": -1}),
        ("wear_land", {"wear_land_nm": 1}),
    ],
)
def test_a_mark_that_cannot_be_is_refused_under_its_place(key, values):
    case = read_example()
    mark = dataclasses.replace(case.marks[0], **values)
    with pytest.raises(Refused) as refused:
        take_snapshot(dataclasses.replace(case, marks=(mark, *case.marks[1:])))
    assert (refused.value.field, refused.value.key) == (f"damage[0].{key}", key)


def test_a_snapshot_that_would_lose_something_is_not_taken():
    """The place of a mark is what the form's field is found by."""
    case = read_example()
    astray = dataclasses.replace(case.marks[0], field="damage[7]")
    with pytest.raises(ValueError, match="does not say what the case says"):
        take_snapshot(dataclasses.replace(case, marks=(astray, *case.marks[1:])))
