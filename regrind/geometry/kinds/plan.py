"""The plan of any kind: from its options to their lines, verdicts and the one that is recommended."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from regrind.geometry.defaults import Default
from regrind.geometry.kinds.kind import CaseT, Kind, Option
from regrind.geometry.kinds.life import count_regrinds_left
from regrind.geometry.kinds.limits import LimitCheck, check_limits
from regrind.geometry.kinds.reading import read_case
from regrind.geometry.kinds.verdict import judge_option, rank
from regrind.geometry.verdict import Verdict

_NOTHING = 1e-9


def answer_case(data: Mapping[str, Any], kind: Kind[CaseT], line: int | None = None) -> dict[str, Any]:
    """The answer to a case of one kind as JSON gives it, ready for JSON; `line` says which case it answers.

    Numbers in mm under keys that end in `_mm`, degrees under `_deg`; margins and uncertainties rounded to 1e-9.
    Raises Refused naming the field and what is allowed.
    Source: the kind's own formulas (docs/kinds-notes.md); lines and verdict as for end mills.

    >>> from regrind.geometry.kinds.tap import KIND
    >>> tool = {"kind": "tap", "thread": "M8", "thread_length": "20 mm", "chamfer_length": "5 mm"}
    >>> answer_case({"tool": tool, "allow": {"finish": "0 mm"}}, KIND)["verdict"]
    'sound'
    """
    case, terms = read_case(data, kind)
    options = [] if case.cracked else [option for option in kind.plan(case, terms) if _is_left(option)]
    head = {} if line is None else {"line": line}
    if not options:
        return head | _answer([], None, "scrap", ("cracked" if case.cracked else "no_option_left",), case.defaults)
    lines = [check_limits(option, kind.limits, terms) for option in options]
    judged = [judge_option(option, drawn) for option, drawn in zip(options, lines, strict=True)]
    regrinds_left = [count_regrinds_left(option, terms) for option in options]
    rows = list(zip(options, lines, judged, regrinds_left, strict=True))
    keys = [rank(option, drawn, verdict, count) for option, drawn, (verdict, _), count in rows]
    best = keys.index(min(keys))
    return head | _answer([_option(*row) for row in rows], best, *judged[best], case.defaults)


def _is_left(option: Option) -> bool:
    """Whether there is a tool left: some of every value that it cannot do without."""
    return all(item.value > _NOTHING for item in option.checked.values() if item.lasts)


def _answer(
    options: list[dict[str, Any]], best: int | None, verdict: Verdict, reasons: Sequence[str], used: Sequence[Default]
) -> dict[str, Any]:
    return {
        "options": options,
        "recommended": best,
        "verdict": verdict,
        "reasons": list(reasons),
        "defaults": [asdict(default) for default in used],
    }


def _option(
    option: Option, lines: Sequence[LimitCheck], judged: tuple[Verdict, tuple[str, ...]], regrinds_left: int | None
) -> dict[str, Any]:
    verdict, reasons = judged
    return {
        "grind": list(option.grind),
        **option.values,
        "limits": [line.as_dict() for line in lines],
        "verdict": verdict,
        "reasons": list(reasons),
        "regrinds_left": regrinds_left,
    }
