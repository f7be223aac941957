"""Each limit of a kind against what would be left."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from regrind.geometry.kinds.kind import Bound, Checked, Option, Terms
from regrind.geometry.kinds.quantity import expand
from regrind.geometry.limits import LimitVerdict, judge

_DIGITS = 9


@dataclass(frozen=True, slots=True)
class LimitCheck:
    """One limit's line: `margin` and `expanded_uncertainty` in mm; below 0 the margin says that the limit is passed."""

    bound: Bound
    checked: Checked
    margin: float
    expanded_uncertainty: float
    verdict: LimitVerdict

    def as_dict(self) -> dict[str, Any]:
        """The line ready for JSON."""
        return {
            "limit": self.bound.name,
            "value": self.checked.value,
            "at_most" if self.bound.at_most else "at_least": self.bound.limit_mm,
            "margin": self.margin,
            "expanded_uncertainty": self.expanded_uncertainty,
            "verdict": self.verdict,
        }


def check_limits(option: Option, names: Iterable[str], terms: Terms) -> tuple[LimitCheck, ...]:
    """A line for each of the case's limits, in the order of `names`, then one for each bound of the option.

    Of inputs that set a value equally, the one that makes it least sure counts.
    Source: margin and verdict as `limits.judge` says, both rounded to 1e-9 mm.

    >>> from regrind.geometry.kinds.quantity import Quantity
    >>> width = Checked((Quantity.read(5.0, "width", 0.002),))
    >>> option = Option((), {}, {"width": width})
    >>> [line.verdict for line in check_limits(option, ["width"], Terms({"width": 4.997}))]
    ['too_close']
    """
    return tuple(_check_bound(bound, option.checked[bound.value_name]) for bound in _list_bounds(option, names, terms))


def _list_bounds(option: Option, names: Iterable[str], terms: Terms) -> Iterator[Bound]:
    for name in names:
        if name in terms.limits and name in option.checked:
            yield Bound(name, name, terms.limits[name])
    yield from option.bounds


def _check_bound(bound: Bound, checked: Checked) -> LimitCheck:
    over = checked.value - bound.limit_mm
    margin = round(-over if bound.at_most else over, _DIGITS) + 0.0
    expanded = round(max(expand(tie) for tie in checked.ties), _DIGITS)
    return LimitCheck(bound, checked, margin, expanded, judge(margin, expanded))
