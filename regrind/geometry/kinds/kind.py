"""The interface of a kind of tool: what is read, the options, the values that a limit may stand on."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Generic, Protocol, TypeVar

from regrind.geometry.defaults import Default
from regrind.geometry.explain_step import Step
from regrind.geometry.fields import Fields
from regrind.geometry.kinds.quantity import Quantity


class KindCase(Protocol):
    """What every kind's case has: whether the tool is cracked, and the defaults that it takes."""

    @property
    def cracked(self) -> bool:
        """Whether a crack was seen: no way to grind it then."""

    @property
    def defaults(self) -> tuple[Default, ...]:
        """What stands in for figures that were not given."""


def take(value: float | None, default: Default) -> Quantity:
    """`value`, or where nobody gave it the default with its own spread, in the default's unit.

    Source: the value as measured, else the default's own source.

    >>> take(None, Default("web_taper", 1.6, 0.1, "memory", "low")).parts
    {'web_taper': 0.1}
    """
    if value is not None:
        return Quantity(value)
    return Quantity.read(default.value, default.field, default.standard_uncertainty)


CaseT = TypeVar("CaseT", bound=KindCase)


@dataclass(frozen=True, slots=True)
class Terms:
    """What any case may say beside its tool: limits and standard uncertainties in mm by name, the usual stock in mm."""

    limits: Mapping[str, float] = field(default_factory=dict)
    uncertainty: Mapping[str, float] = field(default_factory=dict)
    typical_mm: float = 0.0

    def read(self, value_mm: float, name: str, kind_of_reading: str | None = None) -> Quantity:
        """A length that was measured: `name` tells it from others, its spread stands under `kind_of_reading`.

        >>> Terms(uncertainty={"damage": 0.05}).read(1.2, "damage[0]", "damage").parts
        {'damage[0]': 0.05}
        """
        return Quantity.read(value_mm, name, self.uncertainty.get(kind_of_reading or name, 0.0))


@dataclass(frozen=True, slots=True)
class Checked:
    """A value that a limit may stand on; `ties` hold it once for each input that sets it equally.

    fall_mm: what one more usual regrind takes off it. hard: outside is scrap. asks: reasons to ask as soon as
    a line on it is not inside. lasts: a tool without any of it is none.
    """

    ties: tuple[Quantity, ...]
    fall_mm: float = 0.0
    hard: bool = False
    asks: tuple[str, ...] = ()
    lasts: bool = True

    @property
    def value(self) -> float:
        """The value in mm."""
        return self.ties[0].value


@dataclass(frozen=True, slots=True)
class Bound:
    """A limit that the work itself sets on the value `of`: at least, or at most, `limit_mm`."""

    name: str
    value_name: str
    limit_mm: float
    at_most: bool = False


@dataclass(frozen=True, slots=True)
class Option:
    """One way to grind the tool. `values` go into the answer as they stand, in their order.

    `floors` are what further regrinds may not fall below, besides the case's own limits, in mm by the value's name.
    """

    grind: tuple[str, ...]
    values: Mapping[str, Any]
    checked: Mapping[str, Checked]
    asks: tuple[str, ...] = ()
    tells: tuple[str, ...] = ()
    bounds: tuple[Bound, ...] = ()
    floors: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Kind(Generic[CaseT]):
    """A kind of tool. `limits` maps each value that may be limited to the key of `tool` it needs, if any.

    typical: the key of a usual regrind's stock. read: takes the case's own keys (`tool`, `measured`, `damage`,
    `allow` and more) and notes what is wrong with them; what it returns counts only where nothing was noted.
    plan: every option, in the order of the answer. explain: the steps behind one option as it was stored, None where
    nobody wrote them down.
    """

    names: tuple[str, ...]
    limits: Mapping[str, str | None]
    typical: str
    read: Callable[[Fields], CaseT]
    plan: Callable[[CaseT, Terms], Sequence[Option]]
    explain: Callable[[CaseT, Terms, Mapping[str, Any]], Iterable[Step]] | None = None
