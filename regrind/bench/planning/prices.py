"""What each option of a plan costs. The office knows the prices, and the bench may not ask a room below: so the office
names its function here, once, when it is loaded."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from regrind.record.models import Line


@dataclass(frozen=True)
class OptionPrice:
    """What an option costs a piece in minor units, None where no price is known; worth: a sentence with figures."""

    minor: int | None
    worth: str


Pricer = Callable[[Line, Sequence[Mapping[str, Any]]], list[OptionPrice]]
_pricers: list[Pricer] = []


def price_with(pricer: Pricer) -> None:
    """Name the function that prices the options of a line."""
    _pricers[:] = [pricer]


def price_options(line: Line, options: Sequence[Mapping[str, Any]]) -> list[OptionPrice]:
    """The price of each option, in their order; none at all where no room prices them."""
    return _pricers[0](line, options) if _pricers else []
