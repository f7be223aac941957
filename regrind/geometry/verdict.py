"""From limits to a verdict: of one option, and which option is recommended."""

from collections.abc import Sequence
from typing import Literal

from regrind.geometry.cleanup import CutOption
from regrind.geometry.face_cuts import FaceOption
from regrind.geometry.limits import LimitCheck
from regrind.geometry.tool_state import SAME_MM, ToolState
from regrind.geometry.units import NM_PER_MM

Verdict = Literal["sound", "grind", "ask", "scrap"]
_FLOORS = ("diameter_floor", "flute_floor")
_SAME_NM = SAME_MM * NM_PER_MM
_ORDER: tuple[Verdict, ...] = ("sound", "grind", "ask", "scrap")


def judge_option(
    tool_state: ToolState, cut_option: CutOption, lines: Sequence[LimitCheck]
) -> tuple[Verdict, tuple[str, ...]]:
    """Verdict and reason codes of one option.

    Sound where there is nothing to grind and nothing left behind; scrap where a limit of the tooth itself is
    broken by measured figures in the best case too; grind where every line is inside and nothing is to be
    asked; else ask. `gash_again` tells of more work and asks nothing.
    Source: the headless plan's order of verdicts (docs/plan.md).

    >>> from regrind.geometry.cleanup import list_options
    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> tool_state = build_state(read_example())
    >>> judge_option(tool_state, list_options(tool_state)[0], ())
    ('grind', ())
    """
    if not (cut_option.sides or cut_option.cut_back_nm or cut_option.leaves_marks or cut_option.accepted):
        return "sound", ()
    asks = _find_asks(tool_state, lines)
    if not tool_state.shape.arc_radius_mm and any(
        line.limit == "rake_deg" and line.verdict != "inside" for line in lines
    ):
        asks.append("rake_from_assumed_arc")
    if cut_option.leaves_marks:
        asks.append("mark_beyond_reach")
    if cut_option.accepted and not cut_option.corner.agreed:
        asks.append("corner_not_agreed")
    if any(line.verdict == "outside" and line.best_inside for line in lines):
        asks.append("measure_per_tooth")
    tells = _find_more_work(tool_state, cut_option.cut_back_nm) + (["corner_changed"] if cut_option.accepted else [])
    return _weigh(tool_state, lines, asks, tells)


def judge_face(
    tool_state: ToolState, cut_option: FaceOption, lines: Sequence[LimitCheck]
) -> tuple[Verdict, tuple[str, ...]]:
    """Verdict and reason codes of an option on the face: as `judge_option`, but runout stays, which is told.

    An edge behind the primary land is asked about.
    Source: the headless plan's order of verdicts (docs/plan.md).

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.face_cuts import list_face_options
    >>> from regrind.geometry.tool_state import build_state
    >>> tool_state = build_state(read_example())
    >>> judge_face(tool_state, list_face_options(tool_state)[0][0], ())
    ('grind', ('runout_stays',))
    """
    if not cut_option.setters and not cut_option.cut_back_nm:
        return "sound", ()
    asks = _find_asks(tool_state, lines)
    if cut_option.faced.past_primary:
        asks.append("past_primary_land")
    readings = tool_state.case.measured.tooth_readings_nm or (0,)
    tells = _find_more_work(tool_state, cut_option.cut_back_nm) + (["runout_stays"] if min(readings) < 0 else [])
    return _weigh(tool_state, lines, asks, tells)


def _weigh(
    tool_state: ToolState, lines: Sequence[LimitCheck], asks: Sequence[str], tells: Sequence[str]
) -> tuple[Verdict, tuple[str, ...]]:
    """`asks` ask; `tells` only tell of more work or of what stays."""
    if any(_scraps(tool_state, line) for line in lines):
        return "scrap", (*asks, *tells)
    return ("ask" if asks else "grind"), (*asks, *tells)


def _find_asks(tool_state: ToolState, lines: Sequence[LimitCheck]) -> list[str]:
    """Reasons to ask: a line that is not inside, and the defaults it rests on."""
    open_lines = [line for line in lines if line.verdict != "inside"]
    asks = [f"{line.verdict}_{line.limit}" for line in open_lines]
    return asks + sorted({f"rests_on_default_{field}" for line in open_lines for field in line.rests_on})


def _scraps(tool_state: ToolState, line: LimitCheck) -> bool:
    measured = line.limit == "flute_depth" or (line.limit == "rake_deg" and tool_state.shape.arc_radius_mm is not None)
    return measured and line.verdict == "outside" and not line.rests_on and not line.best_inside


def _find_more_work(tool_state: ToolState, cut_back_nm: float) -> list[str]:
    """What a cut-back makes necessary besides: gashing again, and a deeper recess in the centre."""
    tool, allow = tool_state.case.tool, tool_state.case.allow
    works = {
        "gash_again": None if tool.gash_length_nm is None else tool.gash_length_nm - allow.gash_left_nm,
        "recess_again": tool.end_teeth.centre_recess_nm,
    }
    return [work for work, most in works.items() if most is not None and cut_back_nm - most > _SAME_NM]


def rank_verdict(verdict: Verdict) -> int:
    """Place of a verdict, best first: sound, grind, ask, scrap.

    Source: the headless plan's order of verdicts (docs/plan.md).

    >>> rank_verdict("grind") < rank_verdict("ask")
    True
    """
    return _ORDER.index(verdict)


def keeps_floors(lines: Sequence[LimitCheck]) -> bool:
    """Whether an option is inside both soft floors, of diameter and flute; one that is not drawn is kept.

    Source: the floors of docs/plan.md.

    >>> keeps_floors(())
    True
    """
    return all(line.verdict == "inside" for line in lines if line.limit in _FLOORS)


def rank(
    verdict: Verdict,
    regrinds_left: int | None,
    diameter_mm: float,
    cut_back_mm: float,
    *,
    floors: bool,
    typical: bool,
    usual: bool = True,
) -> tuple[float, ...]:
    """Sorting key of an option, smallest first: the best verdict, inside both floors, the usual way, most regrinds
    left (unknown last), then the largest diameter and the smallest cut-back, or these two the other way round without
    `typical`.

    regrinds_left: 0 or more, None where not counted. floors: as `keeps_floors` says. typical: whether a usual stock
    is known. usual: whether the tool's own corner is ground on the flank, or its kind is ground on the face alone.
    Source: the headless plan's order of verdicts (docs/plan.md).

    >>> rank("grind", 1, 6.1, 0, floors=True, typical=True) < rank("grind", 0, 6.3, 0, floors=True, typical=True)
    True
    """
    fewest_regrinds = float("inf") if regrinds_left is None else -regrinds_left
    diameter, cut_back = -round(diameter_mm, 9), round(cut_back_mm, 9)
    last = (diameter, cut_back) if typical else (cut_back, diameter)
    return (rank_verdict(verdict), not floors, not usual, fewest_regrinds, *last)
