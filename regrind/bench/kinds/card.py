"""What a kind says of its setup card: figures and steps of each part that it grinds."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from regrind.geometry.units import Unit
from regrind.record.models import Family
from regrind.shop.models import Wheel


@dataclass(frozen=True)
class Figure:
    """One figure of a card: a length in nm, or text; `note` is what belongs beside it, `first` what is read first."""

    label: str
    nm: int | None = None
    text: str = ""
    note: str = ""
    assumed: bool = False
    first: bool = False

    @property
    def known(self) -> bool:
        return self.nm is not None or bool(self.text)


@dataclass(frozen=True)
class Section:
    """What is ground in one go: its name, the figures to set, the steps in order, its cautions."""

    name: str
    title: str
    figures: tuple[Figure, ...] = ()
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Passes:
    """The infeeds for one stock as figures, and what else is to be said of them."""

    figures: tuple[Figure, ...] = ()
    steps: tuple[str, ...] = ()


@dataclass(frozen=True)
class Work:
    """What a section of a kind's card is made of.

    family: of the tool, as its line takes it; case: of the headless plan; tool: the case's, with the defaults that
    were used; option: the one that is ground; assumed: fields of the case that nobody gave. end_nm: off the end;
    radial_nm: off the highest tooth; usable_nm, diameter_nm: after it; None where the plan does not say. wheel: what
    the shop has of it, None where none is chosen. end_passes: the infeeds for what comes off the end; passes: for any
    stock in nm, and where it is taken in words.
    """

    family: Family
    case: Mapping[str, Any]
    tool: Mapping[str, Any]
    option: Mapping[str, Any]
    assumed: tuple[str, ...]
    unit: Unit
    end_nm: int | None
    usable_nm: int | None
    diameter_nm: int | None
    radial_nm: int | None
    wheel: Wheel | None
    end_passes: Passes
    passes: Callable[[int, str], Passes]
