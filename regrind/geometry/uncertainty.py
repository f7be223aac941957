"""How sure a result is: first-order propagation of standard uncertainties, expanded with k = 2."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from regrind.geometry.damage import find_wear_slopes
from regrind.geometry.end_teeth import find_end_flank
from regrind.geometry.flow import Flow
from regrind.geometry.section import find_rake_slopes
from regrind.geometry.teeth import vary_by_readings
from regrind.geometry.tool_state import State, ToolState
from regrind.geometry.units import NM_PER_MM

K = 2
TAKEN = "taken_diameter"
_ANGLES = ("rake_deg", "primary_relief_deg", "secondary_relief_deg", "helix_deg")


@dataclass(frozen=True, slots=True)
class Slopes:
    """How an answer follows the radius of the highest edge now (`by_high`), the radius after (`by_after`), the cut-back
    (`by_cut`), and other inputs by field name; per mm or rad, the core by its radius."""

    by_high: float = 0.0
    by_after: float = 0.0
    by_cut: float = 0.0
    others: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Setters:
    """How the radius after and the cut-back follow what was measured, by the teeth and marks that set them."""

    radius: Flow = field(default_factory=Flow)
    cut_back: Flow = field(default_factory=Flow)


@dataclass(frozen=True, slots=True)
class Spread:
    """An expanded uncertainty (k = 2), the variance that each input brings to it, and the defaults it rests on."""

    expanded: float
    variances: Mapping[str, float]
    rests_on: frozenset[str]


def find_standard_uncertainties(tool_state: ToolState) -> dict[str, float]:
    """Standard uncertainty of every input by field name: mm and rad, the core as a radius; a default has its own.

    A size that was chosen is read anew once it is ground, as surely as the diameter was.
    Source: JCGM 100:2008, 5.1.2.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> find_standard_uncertainties(build_state(read_example()))["diameter"]
    0.00254
    """
    stated, shape = tool_state.case.uncertainty, tool_state.shape
    table = {
        "diameter": stated.diameter_nm / NM_PER_MM,
        "tooth_reading": stated.tooth_reading_nm / NM_PER_MM,
        "depth": stated.depth_nm / NM_PER_MM,
        "wear_land": stated.wear_land_nm / NM_PER_MM,
        "core_diameter": stated.core_diameter_nm / NM_PER_MM / 2,
        "rake_deg": math.radians(stated.rake_deg),
        "flute_length": stated.flute_length_nm / NM_PER_MM,
        "corner_radius": stated.corner_radius_nm / NM_PER_MM,
        "back": stated.back_nm / NM_PER_MM,
    }
    table[TAKEN] = table["diameter"] / 2
    for default in shape.defaults:
        scale = math.radians(1) if default.field in _ANGLES else 1.0
        table[default.field] = default.standard_uncertainty * scale
    if "core_diameter" in shape.by_default:
        table["core_diameter"] /= 2
    return table


def follow(setters: Sequence[Setters], slopes: Slopes) -> list[Flow]:
    """How an answer with `slopes` follows what was measured, for each tie of what sets radius and cut-back.

    Source: JCGM 100:2008, 5.1.2.

    >>> follow([Setters(Flow(by_tooth={0: 1.0}))], Slopes(by_after=2.0))[0].by_tooth
    {0: 2.0}
    """
    flows = []
    for setter in setters:
        flow = Flow(slopes.by_high, others=dict(slopes.others))
        flow.add(setter.radius, slopes.by_after)
        flow.add(setter.cut_back, slopes.by_cut)
        flows.append(flow)
    return flows


def propagate(
    tool_state: ToolState, state: State, flows: Sequence[Flow], inputs: Mapping[str, float], scale: float = 1.0
) -> Spread:
    """Expanded uncertainty of an answer that follows `flows`, times `scale` (180/pi for degrees).

    flows: one, or one for each tie: where several edges set the radius or the cut-back within 1e-9 mm, the one that
    gives most is taken; the defaults it may rest on are those of all of them.
    Source: law of propagation for independent inputs (JCGM 100, 5.1.2, memory).

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> tool_state = build_state(read_example())
    >>> inputs = find_standard_uncertainties(tool_state)
    >>> round(propagate(tool_state, tool_state.worst, [Flow(by_high=2.0)], inputs).expanded, 4)
    0.0066
    """
    most: dict[str, float] = {}
    rests: set[str] = set()
    for flow in flows:
        variances, others = _vary(tool_state, state, flow, inputs)
        rests.update(default.field for default in tool_state.shape.defaults if others.get(default.field))
        if not most or sum(variances.values()) > sum(most.values()):
            most = variances
    expanded = K * math.sqrt(sum(most.values())) * scale
    return Spread(expanded, {name: part * scale**2 for name, part in most.items()}, frozenset(rests))


def _vary(
    tool_state: ToolState, state: State, flow: Flow, inputs: Mapping[str, float]
) -> tuple[dict[str, float], Mapping[str, float]]:
    """Variance brought by each input, and all slopes by field name, what comes through wear lands included.

    Every radius follows the diameter by one half, whatever the method.
    """
    squares = {"depth": 0.0, "wear_land": 0.0}
    through = Flow(flow.by_high, others=flow.others)
    for index, slope in flow.by_mark.items():
        name, slope, wear = _through_mark(tool_state, state, index, slope)
        squares[name] += slope**2
        if wear:
            through = Flow(through.by_high, others=dict(through.others))
            through.add(wear, 1.0)
    for index, slope in flow.by_end_mark.items():
        name, slope = _through_end_mark(tool_state, index, slope)
        squares[name] += slope**2
    variances = {name: square * inputs[name] ** 2 for name, square in squares.items() if square}
    variances["diameter"] = ((through.by_high + sum(flow.by_tooth.values())) / 2 * inputs["diameter"]) ** 2
    if inputs["tooth_reading"]:
        square = vary_by_readings(state.teeth, through.by_high, flow.by_tooth)
        square += sum(slope**2 for slope in flow.by_length.values())
        variances["tooth_reading"] = square * inputs["tooth_reading"] ** 2
    if flow.by_back:
        variances["back"] = sum(slope**2 for slope in flow.by_back.values()) * inputs["back"] ** 2
    for name, slope in through.others.items():
        if spread := inputs.get(name):
            variances[name] = variances.get(name, 0.0) + (slope * spread) ** 2
    return variances, through.others


def _through_mark(tool_state: ToolState, state: State, index: int, slope: float) -> tuple[str, float, Flow | None]:
    """The input that a mark's depth comes from, the answer's slope by it, and what else comes through it.

    The depth of a wear land hangs on the flank too, and on the rake at the edge, itself carried down the face.
    """
    width = tool_state.case.marks[index].wear_land_nm
    if width is None:
        return "depth", slope, None
    wear = find_wear_slopes(width / NM_PER_MM, tool_state.shape.flank, state.rake_rad)
    rake = find_rake_slopes(state.face, state.teeth.high_mm)
    by_rake = slope * wear.by_rake
    moves = rake.by_radius + (rake.by_anchor if state.face.anchor_moves else 0.0)
    through = Flow(
        by_rake * moves,
        others={
            "primary_relief_deg": slope * wear.by_primary,
            "secondary_relief_deg": slope * wear.by_secondary,
            "primary_land": slope * wear.by_land,
            "rake_deg": by_rake * rake.by_rake,
            "core_diameter": by_rake * rake.by_core,
        },
    )
    return "wear_land", slope * wear.by_wear_land, through


def _through_end_mark(tool_state: ToolState, index: int, slope: float) -> tuple[str, float]:
    width = tool_state.case.end_marks[index].wear_land_nm
    if width is None:
        return "depth", slope
    flank, rake = find_end_flank(tool_state.case.tool.end_teeth)
    return "wear_land", slope * find_wear_slopes(width / NM_PER_MM, flank, rake).by_wear_land
