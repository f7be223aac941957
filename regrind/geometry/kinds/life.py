"""How many more regrinds a tool of any kind has, if each takes what one usually takes."""

import math
from collections.abc import Iterator

from regrind.geometry.kinds.kind import Checked, Option, Terms

_MARGIN = 1e-9


def count_regrinds_left(option: Option, terms: Terms) -> int | None:
    """Regrinds up to the first that breaks a limit or leaves no tool; None without a usual stock.

    0 where a limit is broken already. Without uncertainty: margin >= -1e-9 mm.
    Source: every value falls by the same amount at each regrind; docs/kinds-notes.md.

    >>> from regrind.geometry.kinds.quantity import Quantity
    >>> length = Checked((Quantity(70.7),), fall_mm=1.5)
    >>> count_regrinds_left(Option((), {}, {"usable_length": length}), Terms({"usable_length": 60.0}, {}, 1.5))
    7
    """
    if not terms.typical_mm:
        return None
    if not _holds(option, terms, 0):
        return 0
    count = min(_count(checked, floor) for checked, floor in _list_floors(option, terms) if checked.fall_mm > 0)
    # the divisions may be off by one rounding: settle it by asking the limits themselves
    while _holds(option, terms, count + 1):
        count += 1
    while count > 0 and not _holds(option, terms, count):
        count -= 1
    return count


def _list_floors(option: Option, terms: Terms) -> Iterator[tuple[Checked, float]]:
    """Every value that something stands in the way of, and what: a limit, a floor, or that none of it is left."""
    for name, checked in option.checked.items():
        floors = [table[name] for table in (terms.limits, option.floors) if name in table]
        if floors or checked.lasts:
            yield checked, max(floors, default=0.0)


def _count(checked: Checked, floor_mm: float) -> int:
    return max(0, math.floor((checked.value - floor_mm + _MARGIN) / checked.fall_mm))


def _holds(option: Option, terms: Terms, count: int) -> bool:
    for checked, floor in _list_floors(option, terms):
        after = checked.value - count * checked.fall_mm
        if round(after - floor, 9) < -_MARGIN or (checked.lasts and round(after, 9) <= 0):
            return False
    return True
