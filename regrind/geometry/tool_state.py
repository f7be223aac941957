"""The tool as it stands, worked out once from what was given: every later question starts here."""

import math
from dataclasses import dataclass

from regrind.geometry.damage import find_wear_depth
from regrind.geometry.defaults import Shape, fill_shape
from regrind.geometry.end_teeth import EndNeeds, find_end_needs
from regrind.geometry.errors import DamageAtCore, Refused
from regrind.geometry.inputs import Case, Corner, Mark
from regrind.geometry.section import Face, find_rake, shape_face
from regrind.geometry.teeth import ToothRadii, find_tooth_radii
from regrind.geometry.units import NM_PER_MM

SAME_MM = 1e-9
_MOST_RAKE_RAD = math.radians(40)


@dataclass(frozen=True, slots=True)
class State:
    """One way the teeth may stand: the face through the highest edge, its rake, the depth of each mark (mm)."""

    teeth: ToothRadii
    face: Face
    rake_rad: float
    depths_radial_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class ToolState:
    """The case, its shape, and the worst and best way the teeth may stand (one and the same but for `tir`)."""

    case: Case
    shape: Shape
    worst: State
    best: State
    ends: EndNeeds

    @property
    def is_range(self) -> bool:
        """Whether only a total reading is known, so that results are a range."""
        return self.case.measured.tir_nm is not None


def build_state(case: Case) -> ToolState:
    """Work out how the tool stands.

    Raises Refused naming the field where the core is not inside the cutting radius, and of it DamageAtCore where
    a mark is deeper than the core.
    Source: the notes on teeth, damage and the face.

    >>> from regrind.geometry.example import read_example
    >>> round(build_state(read_example()).worst.teeth.high_mm, 5)
    3.17754
    """
    shape = fill_shape(case.tool)
    low, high = find_tooth_radii(case.measured, case.tool.teeth)
    _check_core(shape, low)
    worst = _state(case, shape, low)
    _check_depths(case.marks, worst, shape)
    _check_arcs(case, worst)
    _check_corners(case, shape, low)
    best = worst if high == low else _state(case, shape, high)
    return ToolState(case, shape, worst, best, find_end_needs(case, worst.teeth.high_mm))


def _state(case: Case, shape: Shape, teeth: ToothRadii) -> State:
    face = _carry_face(case, shape) if "rake_deg" in shape.by_default else None
    rake = find_rake(face, teeth.high_mm) if face else None
    if face is None or rake is None or rake > _MOST_RAKE_RAD:
        face = shape_face(teeth.high_mm, shape.rake_rad, shape.core_mm, shape.arc_radius_mm)
        rake = shape.rake_rad
    return State(teeth, face, rake, tuple(_depth(mark, shape, rake) for mark in case.marks))


def _carry_face(case: Case, shape: Shape) -> Face | None:
    """The face by a catalogue's rake, which belongs to the nominal diameter; None where the core is not inside that.

    Where this face does not reach the edge as it stands, or leans too far there, the usual rake is put at the
    edge itself, as a rake that was given is.
    """
    nominal = case.tool.nominal_diameter_nm / 2 / NM_PER_MM
    if nominal <= shape.core_mm + SAME_MM:
        return None
    return shape_face(nominal, shape.rake_rad, shape.core_mm, shape.arc_radius_mm, anchor_moves=False)


def _depth(mark: Mark, shape: Shape, rake_rad: float) -> float:
    if mark.depth_radial_nm is not None:
        return mark.depth_radial_nm / NM_PER_MM
    return find_wear_depth((mark.wear_land_nm or 0) / NM_PER_MM, shape.flank, rake_rad)


def _check_core(shape: Shape, teeth: ToothRadii) -> None:
    if shape.core_mm < teeth.high_mm - SAME_MM:
        return
    message = f"must be above 0 and below the diameter over the highest tooth, {2 * teeth.high_mm:.6g} mm"
    if "core_diameter" in shape.by_default:
        message = f"is left out, and the usual core, {2 * shape.core_mm:.6g} mm, does not fit: it {message}"
    raise Refused("tool.core_diameter", message)


def _check_depths(marks: tuple[Mark, ...], state: State, shape: Shape) -> None:
    most, assumed = state.teeth.high_mm - shape.core_mm, "core_diameter" in shape.by_default
    sides = [pair for pair in zip(marks, state.depths_radial_mm, strict=True) if pair[0].arc_deg is None]
    deep = [mark for mark, depth in sides if depth > most + SAME_MM]
    if deep:
        usual = " (the usual one, assumed)" if assumed else ""
        reason = f"reaches the core{usual}: the radial depth must be from 0 to {most:.6g} mm"
        raise DamageAtCore.from_problems([(_name_depth(mark), reason) for mark in deep])


def _check_arcs(case: Case, state: State) -> None:
    problems = []
    for mark, depth in zip(case.marks, state.depths_radial_mm, strict=True):
        if mark.arc_deg is not None and depth >= (arc := find_arc(case, state, mark)) - SAME_MM:
            reason = f"reaches the centre of the arc: the depth must be from 0 to below {arc:.6g} mm"
            problems.append((_name_depth(mark), reason))
    if problems:
        raise Refused.from_problems(problems)


def _name_depth(mark: Mark) -> str:
    return mark.field + (".depth" if mark.wear_land_nm is None else ".wear_land")


def find_arc(case: Case, state: State, mark: Mark) -> float:
    """Radius in mm of the arc that the corner of the mark's tooth has now: the corner's, or a ball's own tooth's.

    Source: the corner's radius; on a ball the tooth's.

    >>> from regrind.geometry.example import read_example
    >>> find_arc(read_example(), build_state(read_example()).worst, read_example().marks[0])
    0.0
    """
    if case.tool.corner.form == "ball" and state.teeth.radii_mm:
        return state.teeth.radii_mm[mark.tooth - 1]
    return case.tool.corner.size_nm / NM_PER_MM


def _check_corners(case: Case, shape: Shape, teeth: ToothRadii) -> None:
    """Every corner fits the lowest tooth, a chamfer above the core, and so does the inner end of the end's edges."""
    named = [("tool.corner", case.tool.corner), *((f"accept[{i}]", corner) for i, corner in enumerate(case.accept))]
    problems = [problem for field, corner in named if (problem := _check_corner(field, corner, shape, teeth))]
    if case.tool.end_teeth.inner_radius_nm / NM_PER_MM >= teeth.low_mm - SAME_MM:
        message = f"must be below the radius of the lowest tooth, {teeth.low_mm:.6g} mm"
        problems.append(("tool.end_inner_radius", message))
    if problems:
        raise Refused.from_problems(problems)


def _check_corner(field: str, corner: Corner, shape: Shape, teeth: ToothRadii) -> tuple[str, str] | None:
    if corner.form not in ("chamfer", "radius"):
        return None
    most = teeth.low_mm - (shape.core_mm if corner.form == "chamfer" else 0.0)
    if corner.size_nm / NM_PER_MM < most - SAME_MM:
        return None
    key = "width" if corner.form == "chamfer" else "radius"
    return f"{field}.{key}", f"does not fit the lowest tooth: must be above 0 and below {most:.6g} mm"
