"""From limits to a verdict: of one option, and which option is recommended."""

from collections.abc import Sequence
from typing import Literal

from regrind.geometry.cleanup import Choice
from regrind.geometry.limits import Line
from regrind.geometry.present import Present

Verdict = Literal["sound", "grind", "ask", "scrap"]
_FLOORS = ("diameter_floor", "flute_floor")
_ORDER: tuple[Verdict, ...] = ("sound", "grind", "ask", "scrap")


def judge_option(present: Present, choice: Choice, lines: Sequence[Line]) -> tuple[Verdict, tuple[str, ...]]:
    """Verdict and reason codes of one option.

    Sound where there is nothing to grind and nothing left behind; scrap where a limit of the tooth itself is
    broken by measured figures in the best case too; grind where every line is inside and nothing is to be
    asked; else ask. `gash_again` tells of more work and asks nothing.

    >>> from regrind.geometry.cleanup import choose
    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.present import stand
    >>> present = stand(read_example())
    >>> judge_option(present, choose(present)[0], ())
    ('grind', ())
    """
    if not choice.sides and not choice.cut_back_nm and not choice.leaves_marks:
        return "sound", ()
    asks = _find_asks(present, lines, choice.leaves_marks)
    gash = ("gash_again",) if _passes_gash(present, choice) else ()
    if any(_scraps(present, line) for line in lines):
        return "scrap", asks + gash
    return ("ask" if asks else "grind"), asks + gash


def _find_asks(present: Present, lines: Sequence[Line], left: bool) -> tuple[str, ...]:
    """Reasons to ask: a line that is not inside, what it rests on, a mark left."""
    open_lines = [line for line in lines if line.verdict != "inside"]
    asks = [f"{line.verdict}_{line.limit}" for line in open_lines]
    asks += sorted({f"rests_on_default_{field}" for line in open_lines for field in line.rests_on})
    if not present.shape.arc_radius_mm and any(line.limit == "rake_deg" for line in open_lines):
        asks.append("rake_from_assumed_arc")
    if left:
        asks.append("mark_beyond_reach")
    if any(line.verdict == "outside" and line.best_inside for line in open_lines):
        asks.append("measure_per_tooth")
    return tuple(asks)


def _scraps(present: Present, line: Line) -> bool:
    measured = line.limit == "flute_depth" or (
        line.limit == "rake_deg" and present.shape.arc_radius_mm is not None
    )
    return measured and line.verdict == "outside" and not line.rests_on and not line.best_inside


def _passes_gash(present: Present, choice: Choice) -> bool:
    gash = present.case.tool.gash_length_nm
    return gash is not None and choice.cut_back_nm > gash


def rank_verdict(verdict: Verdict) -> int:
    """Place of a verdict, best first: sound, grind, ask, scrap.

    >>> rank_verdict("grind") < rank_verdict("ask")
    True
    """
    return _ORDER.index(verdict)


def keeps_floors(lines: Sequence[Line]) -> bool:
    """Whether an option is inside both soft floors, of diameter and flute; one that is not drawn is kept.

    >>> keeps_floors(())
    True
    """
    return all(line.verdict == "inside" for line in lines if line.limit in _FLOORS)


def rank(
    verdict: Verdict, regrinds_left: int | None, diameter_mm: float, cut_back_nm: int, *, floors: bool, typical: bool
) -> tuple[float, ...]:
    """Sorting key of an option, smallest first: the best verdict, inside both floors, most regrinds left (unknown
    last), then the largest diameter and the smallest cut-back, or these two the other way round without `typical`.

    floors: as `keeps_floors` says. typical: whether a usual stock is known.

    >>> rank("grind", 1, 6.1, 0, floors=True, typical=True) < rank("grind", 0, 6.3, 0, floors=True, typical=True)
    True
    """
    left = float("inf") if regrinds_left is None else -regrinds_left
    diameter = -round(diameter_mm, 9)
    last = (diameter, cut_back_nm) if typical else (cut_back_nm, diameter)
    return (rank_verdict(verdict), not floors, left, *last)
