"""How a stored plan was worked out: its steps with their numbers, formula and source, in the order to check them."""

import math
from collections.abc import Iterator, Mapping
from typing import Any

from regrind.geometry.case import read
from regrind.geometry.cleanup import CutOption
from regrind.geometry.cut_options import list_cut_options
from regrind.geometry.damage import find_wear_depth
from regrind.geometry.errors import Refused
from regrind.geometry.explain_corner import explain_corner
from regrind.geometry.explain_face import explain_face
from regrind.geometry.explain_size import explain_end, explain_square
from regrind.geometry.explain_step import NOTES, TANGENT, Number, Step
from regrind.geometry.face_cuts import FaceOption
from regrind.geometry.inputs import Mark
from regrind.geometry.kinds.explain import list_kind_steps
from regrind.geometry.kinds.registry import find_kind
from regrind.geometry.tool_state import ToolState, build_state
from regrind.geometry.units import NM_PER_MM

_SAME_NM = 0.5


def list_steps(case: Mapping[str, Any], answer: Mapping[str, Any], option: int) -> tuple[Step, ...]:
    """The steps behind option `option` (from 0) of a stored answer to a stored case.

    Results that were stored are given as they were stored; what lies between is worked out again from the
    case. Raises Refused naming `option` where the answer has none such, or where this program's options for
    the case no longer hold it.
    Source: each step names its own.

    >>> from regrind.geometry.result import as_dict
    >>> from regrind.geometry.example import CASE
    >>> from regrind.geometry.plan import work_out
    >>> steps = list_steps(CASE, as_dict(work_out(read(CASE))), 0)
    >>> [step.name for step in steps][:5]
    ['tooth_radius', 'tooth_radius', 'tooth_radius', 'face_arc', 'depth_of_mark']
    """
    if kind := find_kind(case):
        return list_kind_steps(kind, case, answer, option)
    if not 0 <= option < len(answer["options"]):
        raise Refused("option", f"must be from 0 to {len(answer['options']) - 1}")
    stored = answer["options"][option]
    tool_state = build_state(read(case))
    option_now = _find_option(tool_state, stored)
    parts = (
        _explain_teeth(tool_state),
        _explain_face(tool_state),
        _explain_marks(tool_state, option_now) if isinstance(option_now, CutOption) else (),
        explain_end(tool_state, stored),
        _explain_size(tool_state, option_now, stored),
        _explain_tooth(tool_state, stored) if isinstance(option_now, CutOption) else (),
        _explain_limits(stored),
        _explain_verdict(answer, stored, option),
    )
    return tuple(step for part in parts for step in part)


def _find_option(tool_state: ToolState, stored: Mapping[str, Any]) -> CutOption | FaceOption:
    """The option of this program that was stored: same way, corner and cut-back; of several the nearest diameter."""
    alike = [option_now for option_now in list_cut_options(tool_state)[0] if _is_alike(option_now, stored)]
    if not alike:
        raise Refused("option", "is not among the options that the program now finds: work the plan out again")
    return min(alike, key=lambda option_now: abs(2 * _radius_mm(option_now) - stored["diameter_mm"]))


def _is_alike(option_now: CutOption | FaceOption, stored: Mapping[str, Any]) -> bool:
    form, size_mm = option_now.corner.form, option_now.corner.size_nm / NM_PER_MM
    if (stored["way"] == "face") is not isinstance(option_now, FaceOption) or form != stored["corner_form"]:
        return False
    if isinstance(option_now, CutOption) and form in ("chamfer", "radius") and size_mm != stored["corner_size_mm"]:
        return False
    return math.isclose(option_now.cut_back_nm, stored["cut_back_mm"] * NM_PER_MM, abs_tol=_SAME_NM)


def _radius_mm(option_now: CutOption | FaceOption) -> float:
    return option_now.faced.radius_mm if isinstance(option_now, FaceOption) else option_now.worst.radius_mm


def _explain_size(
    tool_state: ToolState, option_now: CutOption | FaceOption, stored: Mapping[str, Any]
) -> Iterator[Step]:
    if isinstance(option_now, FaceOption):
        return explain_face(tool_state, option_now, stored)
    if option_now.corner.form == "square":
        return explain_square(tool_state, option_now, stored)
    return explain_corner(tool_state, option_now, stored)


def _explain_teeth(tool_state: ToolState) -> Iterator[Step]:
    measured, teeth = tool_state.case.measured, tool_state.worst.teeth
    diameter = Number("D", measured.diameter_nm / NM_PER_MM)
    source = NOTES.format("teeth")
    if measured.tir_nm is not None:
        numbers = (diameter, Number("t", measured.tir_nm / NM_PER_MM), Number("N", teeth.count, ""))
        bounds = {
            "swept": "D/2 − t",
            "micrometer": "D/2 − t … D/2 − t/2 (N = 2: D/2 − t/2)",
            "v-anvil": "D/2 − t (N−1)/N … D/2 − t/N",
        }[measured.method]
        for name, state in (("low_tooth_lowest", tool_state.worst), ("low_tooth_highest", tool_state.best)):
            yield Step(name, f"r_low = {bounds}; r_high = r_low + t", numbers, state.teeth.low_mm, "mm", source)
        return
    formula = {
        "swept": "r_i = D/2 − max h + h_i",
        "v-anvil": "r_i = D/2 − mean h + h_i",
        "micrometer": "r_i = (D − max(h_i + h_j))/2 + h_i over opposite pairs",
    }[measured.method]
    readings = measured.tooth_readings_nm or (0,) * teeth.count
    for tooth, (reading, radius) in enumerate(zip(readings, teeth.radii_mm or (), strict=True), 1):
        numbers = (Number("tooth", tooth, ""), diameter, Number("h_i", reading / NM_PER_MM))
        yield Step("tooth_radius", formula, numbers, radius, "mm", source)


def _explain_face(tool_state: ToolState) -> Iterator[Step]:
    state, shape = tool_state.worst, tool_state.shape
    face, r = state.face, state.face.anchor_mm
    if "rake_deg" in shape.by_default:
        carried = (Number("r_nominal", r), Number("γ_nominal", math.degrees(shape.rake_rad), "°"))
        source = next(default.source for default in shape.defaults if default.field == "rake_deg")
        yield Step(
            "rake_carried",
            "sin γ(x) = (x² + ρ² − a²)/(2 x ρ) from the nominal radius to the edge",
            carried,
            math.degrees(state.rake_rad),
            "°",
            source,
        )
    numbers = (Number("r", r), Number("r_c", face.core_mm), Number("γ", math.degrees(math.asin(face.sin_rake)), "°"))
    if not face.assumed:
        yield Step("face_arc", "ρ as measured", (), shape.arc_radius_mm, "mm", "measured")
    elif face.half_curvature:
        formula = "ρ = (r² − r_c²) / (2 (r_c + r sin γ))"
        yield Step("face_arc", formula, numbers, 0.5 / face.half_curvature, "mm", TANGENT)
    else:
        yield Step("face_arc", "straight face, since r_c + r sin γ ≤ 0", numbers, None, "mm", TANGENT)


def _explain_marks(tool_state: ToolState, cut_option: CutOption) -> Iterator[Step]:
    """The depth of every mark that the cut-back leaves; of all where the corner takes part."""
    for index, mark in enumerate(tool_state.case.marks):
        if cut_option.corner.form != "square" or mark.to_nm > cut_option.depth_nm:
            yield _explain_mark(tool_state, index, mark)


def _explain_mark(tool_state: ToolState, index: int, mark: Mark) -> Step:
    flank, rake = tool_state.shape.flank, tool_state.worst.rake_rad
    named = (Number("mark", index + 1, ""), Number("tooth", mark.tooth, ""))
    if mark.wear_land_nm is None:
        depth = tool_state.worst.depths_radial_mm[index]
        square = "radial" if mark.arc_deg is None else "square to the edge"
        return Step("depth_of_mark", f"d as measured, {square}", named, depth, "mm", "measured")
    width, primary = mark.wear_land_nm / NM_PER_MM, math.degrees(flank.primary_rad)
    angles = (Number("α₁", primary, "°"), Number("γ", math.degrees(rake), "°"))
    numbers: tuple[Number, ...] = (*named, Number("VB", width), *angles)
    formula = "d = VB tan α₁ / (1 − tan α₁ tan γ)"
    reach = flank.land_mm * (math.cos(flank.primary_rad) - math.sin(flank.primary_rad) * math.tan(rake))
    if flank.secondary_rad is not None and width > reach:
        numbers += (Number("land", flank.land_mm), Number("α₂", math.degrees(flank.secondary_rad), "°"))
        formula = "d = (land sin α₁ + (VB − land cos α₁) tan α₂) / (1 − tan α₂ tan γ)"
    depth = find_wear_depth(width, flank, rake)
    return Step("depth_of_mark", formula, numbers, depth, "mm", NOTES.format("damage"))


def _explain_tooth(tool_state: ToolState, stored: Mapping[str, Any]) -> Iterator[Step]:
    shape, state = tool_state.shape, tool_state.worst
    r, x = Number("r", state.teeth.high_mm), Number("x", stored["diameter_mm"] / 2)
    core, notes = Number("r_c", shape.core_mm), NOTES.format("the tooth after")
    rake = Number("γ", math.degrees(state.rake_rad), "°")
    yield Step("rake_on_face", "sin γ(x) = (x² + ρ² − a²)/(2 x ρ)", (r, x, rake), stored["rake_deg"], "°", TANGENT)
    yield Step("zero_rake_diameter", "2 √(a² − ρ²)", (r, rake), stored["zero_rake_diameter_mm"], "mm", TANGENT)
    yield Step("flute_depth_after", "x − r_c", (x, core), stored["flute_depth_mm"], "mm", notes)
    yield Step("core_ratio", "r_c / x", (x, core), stored["core_ratio"], "", notes)
    helix = Number("β", math.degrees(shape.helix_rad), "°")
    yield Step("helix_after", "tan β' = tan β · x / r, the lead stays", (helix, x, r), stored["helix_deg"], "°", notes)
    primary = Number("α₁", math.degrees(shape.flank.primary_rad), "°")
    land = Number("land", shape.flank.land_mm)
    numbers: tuple[Number, ...] = (land,)
    formula = "land, as it is"
    if stored["sides"] and shape.flank.secondary_rad is not None:
        formula = "(land sin(α₂ − α₁) + r cos α₂ − x cos(α₂ − δ)) / sin(α₂ − α₁ − δ), δ the turn of the edge"
        numbers = (land, primary, Number("α₂", math.degrees(shape.flank.secondary_rad), "°"), r, x)
    yield Step("land_after", formula, numbers, stored["primary_land_mm"], "mm", notes)
    after = () if stored["primary_land_mm"] is None else (Number("w", stored["primary_land_mm"]),)
    yield Step("heel_drop", "x − √(x² − 2 x w sin α₁ + w²)", (x, *after, primary), stored["heel_drop_mm"], "mm", notes)


def _explain_limits(stored: Mapping[str, Any]) -> Iterator[Step]:
    for line in stored["limits"]:
        unit = "°" if line["limit"].endswith("_deg") else "mm"
        numbers = (
            Number("value", line["value"], unit),
            Number("at least", line["at_least"], unit),
            Number("margin", line["margin"], unit),
            Number("U", line["expanded_uncertainty"], unit),
        )
        formula = "inside: margin ≥ U; outside: margin ≤ −U; U = 2 √Σ(∂/∂input · u)²"
        source = line.get("source") or "the customer's or the shop's limit; verdict after the idea of ISO 14253-1"
        yield Step(f"limit_{line['limit']}", formula, numbers, line["verdict"], "", source)


def _explain_verdict(answer: Mapping[str, Any], stored: Mapping[str, Any], option: int) -> Iterator[Step]:
    regrinds, names = stored["regrinds_left"], {"diameter_mm": "D", "usable_length_mm": "usable", "flute_mm": "flute"}
    to = tuple(Number(names[key], value) for key, value in stored["counted_to"].items() if value is not None)
    yield Step(
        "regrinds_left",
        "regrinds of the usual stock that keep these and every hard limit, worst case",
        to,
        regrinds,
        "",
        NOTES.format("what is left"),
    )
    chosen = "recommended" if answer["recommended"] == option else "not recommended"
    formula = "best verdict, inside both floors, most regrinds left, largest diameter, smallest cut-back"
    yield Step("verdict", f"{chosen}: {formula}", (), stored["verdict"], "", NOTES.format("limits and verdict"))
