"""Defaults: named, sourced, with a spread of their own, and carried the way the paper says."""

import math

import pytest

from regrind.geometry.case import read
from regrind.geometry.defaults import fill_shape
from regrind.geometry.errors import Refused
from regrind.geometry.example import CASE
from regrind.geometry.inputs import Tool
from regrind.geometry.plan import work_out
from regrind.geometry.section import find_rake, shape_face
from regrind.geometry.tool_state import build_state
from tests.geometry.tool_strategies import change

FIELDS = ["helix_deg", "core_diameter", "rake_deg", "primary_relief_deg", "secondary_relief_deg", "primary_land"]


def _bare(**given):
    case = change(CASE, "damage", CASE["damage"][:1])
    keep = ("kind", "teeth", "nominal_diameter", "flute_length")
    case["tool"] = {key: value for key, value in case["tool"].items() if key in keep} | given
    return case


def test_a_bare_tool_lists_every_default_with_spread_source_and_confidence():
    answer = work_out(read(_bare()))
    assert [default.field for default in answer.defaults] == FIELDS
    assert all(default.standard_uncertainty > 0 and default.source for default in answer.defaults)
    assert {default.confidence for default in answer.defaults} <= {"high", "medium", "low"}
    assert work_out(read(CASE)).defaults == ()


@pytest.mark.parametrize("teeth", [2, 3, 4, 5, 6, 9, 99])
@pytest.mark.parametrize("nominal_mm", [0.5, 1.5875, 3, 7.62, 20, 60])
@pytest.mark.parametrize("material", ["carbide", "HSS", None])
def test_every_default_is_inside_its_own_range(teeth, nominal_mm, material):
    shape = fill_shape(Tool("end mill", teeth, round(nominal_mm * 1e6), 10**7, material))
    assert 0 < shape.core_mm < nominal_mm / 2
    assert 0 < shape.flank.primary_rad < shape.flank.secondary_rad < math.pi / 4
    assert 0 < shape.flank.land_mm < nominal_mm / 4
    assert -math.pi / 6 <= shape.rake_rad <= math.radians(40)
    assert 0 <= shape.helix_rad <= math.radians(70)


def test_the_catalogues_own_figures_come_out():
    """Source: shared/05 (read): 4 flutes at and above .300 in: rake 10, relief 12, helix 30-45; shared/18 (memory):
    core .55-.65."""
    shape = fill_shape(Tool("end mill", 4, 12_700_000, 10**7, "carbide"))
    assert math.degrees(shape.rake_rad) == pytest.approx(10)
    assert math.degrees(shape.flank.primary_rad) == pytest.approx(12)
    assert math.degrees(shape.helix_rad) == pytest.approx(37.5)
    assert 2 * shape.core_mm == pytest.approx(0.60 * 12.7)
    core = next(default for default in shape.defaults if default.field == "core_diameter")
    assert core.standard_uncertainty == pytest.approx(0.05 * 12.7 / math.sqrt(3))


def _by_field(material, nominal_in=0.25, teeth=4):
    tool = Tool("end mill", teeth, round(nominal_in * 25_400_000), 10**7, material)
    return {default.field: default for default in fill_shape(tool).defaults}


@pytest.mark.parametrize(
    ("nominal_in", "least", "most"), [(0.0625, 20, 25), (0.125, 15, 19), (0.25, 10, 14), (0.5, 9, 12)]
)
def test_high_speed_steel_has_the_handbooks_relief_for_its_diameter_and_not_carbides(nominal_in, least, most):
    """Source: shared/01_relief_drop_radial_flat.csv (a handbook's table, memory); helix and rake common practice."""
    steel, carbide = _by_field("HSS", nominal_in), _by_field("carbide", nominal_in)
    assert steel["primary_relief_deg"].value == (least + most) / 2
    assert 2 * steel["primary_relief_deg"].standard_uncertainty >= (most - least) / 2
    assert (steel["helix_deg"].value, carbide["helix_deg"].value) == (30, 37.5)
    assert all("solid carbide" not in default.source for default in steel.values())
    assert steel["secondary_relief_deg"].value == pytest.approx(steel["primary_relief_deg"].value + 10)


def test_below_the_handbooks_first_row_the_relief_of_that_row_stands_and_says_so():
    default = _by_field("HSS", 0.03)["primary_relief_deg"]
    assert (default.value, default.confidence) == (22.5, "low")
    assert "smaller than its first row" in default.source


@pytest.mark.parametrize("material", ["HSS", "hss-co", "cobalt", "tool steel", "High-speed steel"])
def test_words_for_steel(material):
    assert _by_field(material)["helix_deg"].value == 30


def test_an_unknown_material_reaches_from_carbide_to_steel():
    steel, carbide, unknown = (_by_field(material) for material in ("HSS", "carbide", None))
    for field in ("helix_deg", "primary_relief_deg"):
        apart = abs(steel[field].value - carbide[field].value)
        assert unknown[field].value == carbide[field].value
        assert unknown[field].standard_uncertainty >= max(apart, carbide[field].standard_uncertainty)
        assert "material not known" in unknown[field].source


def test_a_default_rake_belongs_to_the_nominal_diameter_and_is_carried_down_the_face():
    case = _bare(core_diameter="0.150 in")
    case["measured"]["diameter"] = "0.2400 in"
    tool_state = build_state(read(case))
    face = shape_face(3.175, tool_state.shape.rake_rad, 1.905, None)
    assert tool_state.worst.rake_rad == pytest.approx(find_rake(face, tool_state.worst.teeth.high_mm), abs=1e-12)
    assert tool_state.worst.rake_rad < tool_state.shape.rake_rad


def test_a_rake_that_is_given_is_the_tools_as_it_stands():
    case = _bare(core_diameter="0.150 in", rake_deg=8)
    case["measured"]["diameter"] = "0.2400 in"
    assert math.degrees(build_state(read(case)).worst.rake_rad) == pytest.approx(8)


def test_a_usual_rake_that_cannot_be_carried_is_put_at_the_edge():
    case = _bare(face_arc_radius="0.278 mm", core_diameter="4.8 mm", nominal_diameter="10 mm")
    case["measured"] = {"diameter": "9.301 mm", "method": "swept"}
    tool_state = build_state(read(case))
    assert tool_state.worst.rake_rad == tool_state.shape.rake_rad


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"secondary_relief_deg": 9}, "primary_relief_deg"),
        ({"primary_relief_deg": 40}, "secondary_relief_deg"),
        ({"primary_relief_deg": 44.9}, "secondary_relief_deg"),
    ],
)
def test_a_default_relief_keeps_its_side_of_the_one_that_was_given(given, field):
    shape = build_state(read(_bare(**given))).shape
    assert field in shape.by_default
    assert shape.flank.primary_rad < shape.flank.secondary_rad <= math.pi / 4


def test_null_is_one_relief_and_no_default():
    shape = build_state(read(_bare(secondary_relief_deg=None))).shape
    assert shape.flank.secondary_rad is None
    assert "secondary_relief_deg" not in shape.by_default


def test_a_usual_core_that_does_not_fit_asks_for_the_real_one():
    case = _bare(nominal_diameter="20 mm")
    with pytest.raises(Refused) as refused:
        read(case)
    assert refused.value.field == "tool.core_diameter"
