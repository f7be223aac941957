"""How the size of an option was worked out: the end, and the sides of a square corner."""

from collections.abc import Iterator, Mapping
from typing import Any

from regrind.geometry.cleanup import CutOption
from regrind.geometry.explain_step import NOTES, PRACTICE, Number, Step
from regrind.geometry.tool_state import SAME_MM, ToolState
from regrind.geometry.units import NM_PER_MM

_SOURCE = NOTES.format("clean-up")


def explain_end(tool_state: ToolState, stored: Mapping[str, Any]) -> Iterator[Step]:
    """What the end needs by itself, in mm; no step where it is left alone or nothing on it is worn or uneven.

    stored: the option as the answer holds it.
    Source: each step names its own.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> [step.result for step in explain_end(build_state(read_example()), {"end": True})]
    [0.254]
    """
    ends = tool_state.ends
    if not stored["end"] or not ends.joins_nm:
        return
    needs = (Number(f"need {index}", nm / NM_PER_MM) for index, nm in enumerate(ends.marks_nm, 1))
    numbers = (*needs, Number("shortest", ends.lag_nm / NM_PER_MM), Number("dish", ends.dish_nm / NM_PER_MM))
    formula = "the largest of each mark’s need and the shortest tooth’s lag, and what the dish adds"
    yield Step("end_need", formula, numbers, ends.joins_nm / NM_PER_MM, "mm", NOTES.format("end teeth"))


def explain_square(tool_state: ToolState, cut_option: CutOption, stored: Mapping[str, Any]) -> Iterator[Step]:
    """Cut-back, diameter, stock and usable length of an option with a square corner.

    stored: the option as the answer holds it; lengths in mm.
    Source: each step names its own.

    >>> from regrind.geometry.cleanup import list_options
    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.plan import work_out
    >>> from regrind.geometry.result import as_dict
    >>> from regrind.geometry.tool_state import build_state
    >>> state, stored = build_state(read_example()), as_dict(work_out(read_example()))["options"][0]
    >>> next(explain_square(state, list_options(state)[0], stored)).name
    'cut_back'
    """
    allow = tool_state.case.allow
    finish_end, x = Number("finish_end", allow.finish_end_nm / NM_PER_MM), Number("x", cut_option.depth_nm / NM_PER_MM)
    formula = "c = x + finish_end" if stored["end"] else "c = 0, the end is left alone"
    yield Step("cut_back", formula, (x, finish_end), stored["cut_back_mm"], "mm", _SOURCE)
    formula = "D' = 2 (min(r_i, r_i − d of the marks left) − finish)"
    if tool_state.is_range:
        formula = "D' = 2 (r_low − deepest d left − finish), the lowest r_low"
    yield explain_diameter(tool_state, cut_option, stored, formula)
    yield from explain_removal(tool_state, stored)
    yield explain_usable(tool_state, stored)


def explain_diameter(tool_state: ToolState, cut_option: CutOption, stored: Mapping[str, Any], formula: str) -> Step:
    """The diameter after, in mm; `formula` where the sides are ground.

    stored: the option as the answer holds it.
    Source: derived in the notes (clean-up).

    >>> from regrind.geometry.cleanup import list_options
    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> state, stored = build_state(read_example()), {"sides": True, "diameter_mm": 6.1}
    >>> explain_diameter(state, list_options(state)[0], stored, "D'").result
    6.1
    """
    numbers: tuple[Number, ...] = (Number("r_max", tool_state.worst.teeth.high_mm),)
    if stored["sides"]:
        finish = tool_state.case.allow.finish_radial_nm / NM_PER_MM
        numbers = (Number("min", cut_option.worst.radius_mm + finish), Number("finish", finish))
        if stored["diameter_mm"] / 2 < cut_option.worst.radius_mm - SAME_MM:
            formula = f"a common size, below {formula}"
    else:
        formula = "D' = 2 r_max, the sides are left alone"
    return Step("diameter_after", formula, numbers, stored["diameter_mm"], "mm", _SOURCE)


def explain_usable(tool_state: ToolState, stored: Mapping[str, Any]) -> Step:
    """The usable length after, in mm: the stylus is charged once, where the sides are ground for the first time.

    stored: the option as the answer holds it.
    Source: common practice.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> stored = {"sides": False, "cut_back_mm": 1.0, "usable_length_mm": 18.05}
    >>> explain_usable(build_state(read_example()), stored).numbers[2].value
    0.0
    """
    tool = tool_state.case.tool
    charged = stored["sides"] and not tool.sides_ground_before
    lost = tool_state.case.allow.stylus_distance_nm / NM_PER_MM if charged else 0.0
    flute, cut_back = Number("flute", tool.flute_length_nm / NM_PER_MM), Number("c", stored["cut_back_mm"])
    numbers = (flute, cut_back, Number("stylus", lost))
    return Step("usable_length_after", "flute − c − stylus", numbers, stored["usable_length_mm"], "mm", PRACTICE)


def explain_removal(tool_state: ToolState, stored: Mapping[str, Any]) -> Iterator[Step]:
    """The radial stock in mm on each tooth, or its least and most where only a total reading is known.

    stored: the option as the answer holds it.
    Source: derived in the notes (clean-up).

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> stored = {"removal_radial_mm": [0.1, 0.2, 0.3], "diameter_mm": 6.0, "sides": True}
    >>> [step.result for step in explain_removal(build_state(read_example()), stored)]
    [0.1, 0.2, 0.3]
    """
    after = Number("R", stored["diameter_mm"] / 2)
    for tooth, removal in enumerate(stored["removal_radial_mm"] or (), 1):
        radii = tool_state.worst.teeth.radii_mm or ()
        numbers = (Number("tooth", tooth, ""), Number("r_i", radii[tooth - 1]), after)
        formula = "r_i − R" if stored["sides"] else "0, the sides are left alone"
        yield Step("removal_radial", formula, numbers, removal, "mm", _SOURCE)
    for name, removal in zip(("least", "most"), stored.get("removal_radial_range_mm") or (), strict=False):
        yield Step(f"removal_radial_{name}", "r_low − R_best … r_high − R_worst", (), removal, "mm", _SOURCE)
