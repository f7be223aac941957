"""A case built of values: written and read back it is the same, and what cannot be is refused as from JSON."""
import dataclasses

import pytest

from regrind.geometry.answer import as_dict
from regrind.geometry.case import read
from regrind.geometry.errors import Refused
from regrind.geometry.example import CASE, read_example
from regrind.geometry.given import EndMark
from regrind.geometry.plan import work_out
from regrind.geometry.possible import see_possible
from regrind.geometry.snapshot import write
from tests.geometry.case_maker import CaseMaker

CASES = 60


def renamed(case):
    """With its marks named by their place, as `read` names them where no end mark stands before."""
    marks = (dataclasses.replace(mark, field=f"damage[{n}]") for n, mark in enumerate(case.marks))
    return dataclasses.replace(case, marks=tuple(marks))


@pytest.mark.parametrize("gaps", [False, True])
def test_a_case_that_is_written_is_read_back_as_it_was(gaps):
    maker = CaseMaker(20260711)
    for _ in range(CASES):
        case = read(maker.case_with_gaps() if gaps else maker.case())
        again = read(write(case))
        assert again == renamed(case)
        assert as_dict(work_out(again)) == as_dict(work_out(case))


def test_one_relief_stays_one_relief():
    case = read(CASE | {"tool": CASE["tool"] | {"secondary_relief_deg": None}})
    assert case.tool.one_relief
    assert read(write(case)) == case


def test_every_case_that_can_be_read_can_be():
    maker = CaseMaker(3)
    for _ in range(CASES):
        see_possible(read(maker.case()))


def spoiled(**parts):
    case = read_example()
    return dataclasses.replace(case, **{name: dataclasses.replace(getattr(case, name), **fields)
                                        for name, fields in parts.items()})


BROKEN = {
    "tool.teeth": spoiled(tool={"teeth": 1}),
    "tool.nominal_diameter": spoiled(tool={"nominal_diameter_nm": 0}),
    "tool.core_diameter": spoiled(tool={"core_diameter_nm": 0}),
    "tool.rake_deg": spoiled(tool={"rake_deg": 40.5}),
    "tool.helix_deg": spoiled(tool={"helix_deg": float("nan")}),
    "tool.secondary_relief_deg": spoiled(tool={"secondary_relief_deg": 12.0}),
    "tool.flute_length": spoiled(tool={"flute_length_nm": 10_000_000_001}),
    "measured.diameter": spoiled(measured={"diameter_nm": 0}),
    "measured.method": spoiled(measured={"method": "micrometer"}),
    "measured.tir": spoiled(measured={"tir_nm": 10_000}),
    "measured.tooth_readings": spoiled(measured={"tooth_readings_nm": (-1, -2, -3)}),
    "measured.tooth_readings[0]": spoiled(measured={"tooth_readings_nm": (1, 0, 0)}),
    "allow.finish_end": spoiled(allow={"finish_end_nm": -1}),
    "limits.rake_deg": spoiled(limits={"rake_deg": 90.0}),
    "uncertainty.depth": spoiled(uncertainty={"depth_nm": -1}),
    "typical.cut_back": spoiled(typical={"cut_back_nm": -1}),
}
MARKS = {
    "damage[0].tooth": {"tooth": 4}, "damage[0].to": {"to_nm": 19_050_001}, "damage[0].from": {"start_nm": -1},
    "damage[0].depth": {"depth_radial_nm": -1}, "damage[0].wear_land": {"wear_land_nm": 1},
}


def refused_as(case, field):
    """Refused by its values, and under the same name by its JSON."""
    for see in (see_possible, lambda case: read(write(case))):
        with pytest.raises(Refused) as refused:
            see(case)
        assert refused.value.field == field


@pytest.mark.parametrize("field", BROKEN)
def test_what_cannot_be_is_refused_under_its_name(field):
    refused_as(BROKEN[field], field)


@pytest.mark.parametrize("field", MARKS)
def test_a_mark_that_cannot_be_is_refused_under_its_name(field):
    case = read_example()
    mark = dataclasses.replace(case.marks[0], **MARKS[field])
    refused_as(dataclasses.replace(case, marks=(mark, *case.marks[1:])), field)


def test_a_mark_on_the_end_lies_on_the_flute():
    case = read_example()
    refused_as(dataclasses.replace(case, end_marks=(EndMark(case.tool.flute_length_nm + 1),)), "damage[2].end_depth")
