"""From the lines of an option to its verdict, and which option is recommended."""

from collections.abc import Sequence

from regrind.geometry.kinds.kind import Option
from regrind.geometry.kinds.limits import LimitCheck
from regrind.geometry.verdict import Verdict

_ORDER: tuple[Verdict, ...] = ("sound", "grind", "ask", "scrap")


def judge_option(option: Option, lines: Sequence[LimitCheck]) -> tuple[Verdict, tuple[str, ...]]:
    """Verdict and reason codes of an option.

    Sound where nothing is ground, unless a bound of the work is not kept; scrap where a hard limit is passed;
    grind where every line is inside and nothing is to be asked; else ask.
    Source: the headless plan's order of verdicts (docs/plan.md).

    >>> judge_option(Option((), {}, {}), ()), judge_option(Option(("end",), {}, {}, asks=("by_hand",)), ())
    (('sound', ()), ('ask', ('by_hand',)))
    """
    open_lines = [line for line in lines if line.verdict != "inside"]
    if not option.grind and not any(line.bound in option.bounds for line in open_lines):
        return "sound", ()
    asks = _find_asks(option, open_lines)
    if any(line.checked.hard and line.verdict == "outside" for line in open_lines):
        return "scrap", asks + option.tells
    return ("ask" if asks else "grind"), asks + option.tells


def _find_asks(option: Option, open_lines: Sequence[LimitCheck]) -> tuple[str, ...]:
    """Each reason once: the lines that are not inside, what they rest on, what the option asks whatever the lines."""
    asks = [f"{line.verdict}_{line.bound.name}" for line in open_lines]
    asks += [reason for line in open_lines for reason in line.checked.asks]
    return tuple(dict.fromkeys([*asks, *option.asks]))


def rank(option: Option, lines: Sequence[LimitCheck], verdict: Verdict, regrinds_left: int | None) -> tuple[float, ...]:
    """Sorting key of an option, smallest first: the best verdict, no line outside, most regrinds left (unknown
    last), the largest diameter, the greatest width.

    regrinds_left: 0 or more, None where not counted.
    Source: the headless plan's order of verdicts (docs/plan.md).

    >>> rank(Option((), {}, {}), (), "sound", 3) < rank(Option((), {}, {}), (), "sound", None)
    True
    """
    outside = any(line.verdict == "outside" for line in lines)
    fewest_regrinds = float("inf") if regrinds_left is None else -regrinds_left
    sizes = [option.checked[name].value if name in option.checked else 0.0 for name in ("diameter", "width")]
    return (_ORDER.index(verdict), outside, fewest_regrinds, *(-round(size, 9) for size in sizes))
