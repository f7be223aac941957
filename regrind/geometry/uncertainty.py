"""How sure a result is: first-order propagation of standard uncertainties, expanded with k = 2."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from regrind.geometry.cleanup import Edge, Need
from regrind.geometry.damage import find_wear_slopes
from regrind.geometry.present import Present, State
from regrind.geometry.section import find_rake_slopes
from regrind.geometry.teeth import vary_by_readings
from regrind.geometry.units import NM_PER_MM

K = 2
TAKEN = "taken_diameter"
_ANGLES = ("rake_deg", "primary_relief_deg", "secondary_relief_deg", "helix_deg")


@dataclass(frozen=True, slots=True)
class Slopes:
    """How an answer follows the radius of the highest edge now, the radius after (the edge that sets it), and
    other inputs by field name (per mm or rad; the core by its radius)."""

    by_high: float = 0.0
    by_after: float = 0.0
    others: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Spread:
    """An expanded uncertainty (k = 2), the variance that each input brings to it, and the defaults it rests on."""

    expanded: float
    variances: Mapping[str, float]
    rests_on: frozenset[str]


def find_standard_uncertainties(present: Present) -> dict[str, float]:
    """Standard uncertainty of every input by field name: mm and rad, the core as a radius; a default has its own.

    A size that was chosen is read anew once it is ground, as surely as the diameter was.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.present import stand
    >>> find_standard_uncertainties(stand(read_example()))["diameter"]
    0.00254
    """
    given, shape = present.case.uncertainty, present.shape
    table = {
        "diameter": given.diameter_nm / NM_PER_MM,
        "tooth_reading": given.tooth_reading_nm / NM_PER_MM,
        "depth": given.depth_nm / NM_PER_MM,
        "wear_land": given.wear_land_nm / NM_PER_MM,
        "core_diameter": given.core_diameter_nm / NM_PER_MM / 2,
        "rake_deg": math.radians(given.rake_deg),
        "flute_length": given.flute_length_nm / NM_PER_MM,
    }
    table[TAKEN] = table["diameter"] / 2
    for default in shape.defaults:
        scale = math.radians(1) if default.field in _ANGLES else 1.0
        table[default.field] = default.standard_uncertainty * scale
    if "core_diameter" in shape.by_default:
        table["core_diameter"] /= 2
    return table


def propagate(
    present: Present, state: State, need: Need, slopes: Slopes, inputs: Mapping[str, float], scale: float = 1.0
) -> Spread:
    """Expanded uncertainty of an answer that follows `slopes`, times `scale` (180/pi for degrees).

    Where several edges set the radius after within 1e-9 mm, the one that gives most is taken; the defaults
    it may rest on are those of all of them.
    Source: law of propagation for independent inputs (JCGM 100, 5.1.2, memory).

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.present import stand
    >>> present = stand(read_example())
    >>> inputs = find_standard_uncertainties(present)
    >>> round(propagate(present, present.worst, Need(0.0, ()), Slopes(by_after=2.0), inputs).expanded, 4)
    0.0066
    """
    most: dict[str, float] = {}
    rests: set[str] = set()
    for edge in need.edges or (None,):
        full = _through_edge(present, state, edge, slopes)
        rests.update(name for name in present.shape.by_default if full.others.get(name))
        variances = _vary(state, edge, full, inputs)
        if not most or sum(variances.values()) > sum(most.values()):
            most = variances
    expanded = K * math.sqrt(sum(most.values())) * scale
    return Spread(expanded, {name: part * scale**2 for name, part in most.items()}, frozenset(rests))


def _vary(state: State, edge: Edge | None, slopes: Slopes, inputs: Mapping[str, float]) -> dict[str, float]:
    """Variance brought by each input; every radius follows the diameter by one half, whatever the method."""
    tooth = edge.tooth if edge else None
    variances = {"diameter": ((slopes.by_high + slopes.by_after) / 2 * inputs["diameter"]) ** 2}
    if inputs["tooth_reading"]:
        square = vary_by_readings(state.stand, slopes.by_high, slopes.by_after, tooth)
        variances["tooth_reading"] = square * inputs["tooth_reading"] ** 2
    for name, slope in slopes.others.items():
        variances[name] = (slope * inputs.get(name, 0.0)) ** 2
    return variances


def _through_edge(present: Present, state: State, edge: Edge | None, slopes: Slopes) -> Slopes:
    """Carry what hangs on the radius after back to the mark that sets it (or to the highest edge, if left alone)."""
    if edge is None:
        return Slopes(slopes.by_high + slopes.by_after, 0.0, slopes.others)
    if edge.taken:
        return Slopes(slopes.by_high, 0.0, {**slopes.others, TAKEN: slopes.by_after})
    if edge.mark is None:
        return slopes
    mark, others = present.case.marks[edge.mark], dict(slopes.others)
    if mark.wear_land_nm is None:
        others["depth"] = others.get("depth", 0.0) - slopes.by_after
        return Slopes(slopes.by_high, slopes.by_after, others)
    return _through_wear(present, state, mark.wear_land_nm / NM_PER_MM, slopes, others)


def _through_wear(
    present: Present, state: State, wear_land_mm: float, slopes: Slopes, others: dict[str, float]
) -> Slopes:
    """The depth of a wear land hangs on the flank, and on the rake at the edge, itself carried down the face."""
    wear = find_wear_slopes(wear_land_mm, present.shape.flank, state.rake_rad)
    rake = find_rake_slopes(state.face, state.stand.high_mm)
    by_depth, by_rake = -slopes.by_after, -slopes.by_after * wear.by_rake
    brought = {
        "wear_land": by_depth * wear.by_wear_land,
        "primary_relief_deg": by_depth * wear.by_primary,
        "secondary_relief_deg": by_depth * wear.by_secondary,
        "primary_land": by_depth * wear.by_land,
        "rake_deg": by_rake * rake.by_rake,
        "core_diameter": by_rake * rake.by_core,
    }
    for name, slope in brought.items():
        others[name] = others.get(name, 0.0) + slope
    moves = rake.by_radius + (rake.by_anchor if state.face.anchor_moves else 0.0)
    return Slopes(slopes.by_high + by_rake * moves, slopes.by_after, others)
