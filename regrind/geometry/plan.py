"""The clean-up of a tool, whole: from a case to its options, their limits and the one that is recommended."""

import math
from collections.abc import Mapping

from regrind.geometry.cleanup import CutOption, grind_to
from regrind.geometry.cut_options import list_cut_options, list_flank_options
from regrind.geometry.edition import COLLET_RUNOUT
from regrind.geometry.end_teeth import find_gash_left
from regrind.geometry.errors import Refused
from regrind.geometry.face_cuts import FaceOption
from regrind.geometry.face_option import describe_face
from regrind.geometry.floors import find_counted_to
from regrind.geometry.handbook import HandbookRelief, find_handbook_relief
from regrind.geometry.inputs import Case
from regrind.geometry.land import find_heel_drop, find_helix, find_land
from regrind.geometry.life import count_regrinds_left
from regrind.geometry.limits import check_limits
from regrind.geometry.ranges import LONGEST_MM
from regrind.geometry.result import Answer, Option
from regrind.geometry.section import find_rake, find_zero_rake_diameter
from regrind.geometry.tool_state import SAME_MM, ToolState, build_state
from regrind.geometry.uncertainty import find_standard_uncertainties
from regrind.geometry.units import NM_PER_IN, NM_PER_MM
from regrind.geometry.verdict import judge_option, keeps_floors, rank

_TOLERABLE_RUNOUT_NM = round(COLLET_RUNOUT.value * NM_PER_IN)


def work_out(case: Case) -> Answer:
    """Work out the clean-up of a tool.

    case: as `case.read` makes it.
    Raises Refused naming the field where what was given cannot be together (core and diameter, depth and core).
    Source: the notes on geometry, whole.

    >>> from regrind.geometry.example import read_example
    >>> answer = work_out(read_example())
    >>> answer.verdict, [round(option.diameter_mm, 4) for option in answer.options]
    ('grind', [6.1163, 6.2629, 6.3551])
    """
    tool_state = build_state(case)
    inputs = find_standard_uncertainties(tool_state)
    cut_options, unmeasured = list_cut_options(tool_state)
    options = tuple(
        describe_face(tool_state, cut_option, inputs)
        if isinstance(cut_option, FaceOption)
        else _option(tool_state, cut_option, inputs)
        for cut_option in cut_options
    )
    lacks = ("back_not_measured",) if unmeasured else ()
    if not options:
        return Answer((), None, "scrap", ("no_option_left", *lacks), tool_state.shape.defaults)
    typical = any(option.regrinds_left is not None for option in options)
    best = min(range(len(options)), key=lambda index: find_rank(options[index], typical=typical))
    return Answer(options, best, options[best].verdict, options[best].reasons + lacks, tool_state.shape.defaults)


def work_out_at(case: Case, cut_back_nm: int, diameter_nm: int) -> Option:
    """One option that grinds the sides, worked out whole at a smaller size than its own.

    cut_back_nm: of one of the case's options with its own corner, to the nanometre. diameter_nm: as
    `cleanup.grind_to` takes it. Verdict, rake, land, secondary, removal, limits and regrinds left are those at that
    size.
    Raises Refused naming `cut_back` or `diameter`, and as `work_out`.
    Source: as `work_out`.

    >>> from regrind.geometry.example import read_example
    >>> option = work_out_at(read_example(), 304_800, 6_000_000)
    >>> option.diameter_mm, round(option.rake_deg, 3), option.usable_length_mm
    (6.0, 0.844, 17.2212)
    """
    tool_state = build_state(case)
    own_corner = (cut_option for cut_option in list_flank_options(tool_state) if not cut_option.accepted)
    cut_option = next((cut_option for cut_option in own_corner if round(cut_option.cut_back_nm) == cut_back_nm), None)
    if cut_option is None:
        raise Refused("cut_back", "is that of none of the options")
    return _option(tool_state, grind_to(tool_state, cut_option, diameter_nm), find_standard_uncertainties(tool_state))


def find_rank(option: Option, *, typical: bool) -> tuple[float, ...]:
    """Sorting key of an option among others of one tool, smallest first, as `verdict.rank` orders them.

    typical: whether the case says what a regrind usually takes, so that regrinds left are counted.
    Source: the headless plan's order of options (docs/plan.md).

    >>> from regrind.geometry.example import read_example
    >>> options = work_out(read_example()).options
    >>> min(options, key=lambda option: find_rank(option, typical=True)) == options[1]
    True
    """
    floors = keeps_floors(option.limits)
    return rank(
        option.verdict,
        option.regrinds_left,
        option.diameter_mm,
        option.cut_back_mm,
        floors=floors,
        typical=typical,
        usual=option.usual,
    )


def _option(tool_state: ToolState, cut_option: CutOption, inputs: Mapping[str, float]) -> Option:
    lines = check_limits(tool_state, cut_option, inputs)
    verdict, reasons = judge_option(tool_state, cut_option, lines)
    state, shape, after = tool_state.worst, tool_state.shape, cut_option.worst.radius_mm
    before = state.teeth.high_mm
    rake = find_rake(state.face, after) if cut_option.sides else state.rake_rad
    land = find_land(state.face, shape.flank, before, after) if cut_option.sides else shape.flank.land_mm
    drop = None if land is None else find_heel_drop(after, land, shape.flank.primary_rad)
    needed = _needs_secondary(tool_state, cut_option, land, drop)
    return Option(
        way="flank",
        corner_form=cut_option.corner.form,
        corner_size_mm=after if cut_option.corner.form == "ball" else cut_option.corner.size_nm / NM_PER_MM,
        corner=_grinds_corner(cut_option),
        usual=not cut_option.accepted,
        cut_back_mm=cut_option.cut_back_nm / NM_PER_MM,
        sides=cut_option.sides,
        end=cut_option.cut_back_nm > 0,
        diameter_mm=2 * after,
        diameter_best_mm=2 * cut_option.best.radius_mm,
        removal_radial_mm=_removals(tool_state, cut_option),
        removal_radial_range_mm=_removal_range(tool_state, cut_option),
        usable_length_mm=cut_option.usable_length_nm / NM_PER_MM,
        rake_deg=None if rake is None else math.degrees(rake),
        zero_rake_diameter_mm=find_zero_rake_diameter(state.face, before),
        flute_depth_mm=after - shape.core_mm,
        core_ratio=shape.core_mm / after,
        helix_deg=math.degrees(find_helix(shape.helix_rad, before, after)),
        primary_land_mm=land,
        heel_drop_mm=drop,
        secondary_needed=needed,
        limits=lines,
        regrinds_left=count_regrinds_left(tool_state, cut_option),
        counted_to=find_counted_to(tool_state.case),
        verdict=verdict,
        reasons=reasons,
        gash_left_mm=find_gash_left(tool_state.case.tool.gash_length_nm, cut_option.cut_back_nm),
        notes=_find_notes(tool_state, cut_option, needed),
    )


def _grinds_corner(cut_option: CutOption) -> bool:
    """An accepted corner is ground on; the tool's own must follow where the sides or the end are ground."""
    follows = cut_option.corner.form != "square" and (cut_option.sides or cut_option.cut_back_nm > 0)
    return cut_option.accepted or follows


def _removals(tool_state: ToolState, cut_option: CutOption) -> tuple[float, ...] | None:
    """Stock to take off each tooth, radial; None where only a total reading is known."""
    radii = tool_state.worst.teeth.radii_mm
    if radii is None:
        return None
    return tuple(radius - cut_option.worst.radius_mm if cut_option.sides else 0.0 for radius in radii)


def _removal_range(tool_state: ToolState, cut_option: CutOption) -> tuple[float, float] | None:
    """Least and most stock on any tooth, radial, where only a total reading is known."""
    if not tool_state.is_range:
        return None
    if not cut_option.sides:
        return 0.0, 0.0
    worst, best = tool_state.worst.teeth, tool_state.best.teeth
    return best.low_mm - cut_option.best.radius_mm, worst.high_mm - cut_option.worst.radius_mm


def _needs_secondary(
    tool_state: ToolState, cut_option: CutOption, land: float | None, drop: float | None
) -> bool | None:
    """Whether the secondary must be ground too, or, with one relief, whether the heel would rub."""
    if not cut_option.sides:
        return False
    if tool_state.shape.flank.secondary_rad is None:
        return drop is not None and drop <= 0
    line = _look_up_relief(cut_option)
    if line is None:
        return None
    return land is None or land > line.widest_land_mm + SAME_MM


def _look_up_relief(cut_option: CutOption) -> HandbookRelief | None:
    """The handbook's line for the diameter after; one just past 10 m (readings added) is looked up as 10 m."""
    return find_handbook_relief(min(2 * cut_option.worst.radius_mm, LONGEST_MM))


def _find_notes(tool_state: ToolState, cut_option: CutOption, needed: bool | None) -> tuple[str, ...]:
    """What is worth saying and changes no verdict: land, relief outside the handbook's range, shank runout."""
    notes = ["land_past_widest"] if needed and tool_state.shape.flank.secondary_rad is not None else []
    line, relief = _look_up_relief(cut_option), tool_state.shape.flank.primary_rad
    if line and not line.least_relief_rad - 1e-9 <= relief <= line.most_relief_rad + 1e-9:
        notes.append("relief_outside_table")
    runout = tool_state.case.measured.shank_tir_nm or 0
    if runout > _TOLERABLE_RUNOUT_NM:
        notes.append("shank_runout")
    if cut_option.sides and 2 * runout / NM_PER_MM > _find_least_stock(tool_state, cut_option) + SAME_MM:
        notes.append("shank_runout_over_half_the_stock")
    return tuple(notes)


def _find_least_stock(tool_state: ToolState, cut_option: CutOption) -> float:
    """The least radial stock in mm on any tooth, at the least where only a total reading is known."""
    removals = _removals(tool_state, cut_option) or _removal_range(tool_state, cut_option) or (0.0,)
    return min(removals)
