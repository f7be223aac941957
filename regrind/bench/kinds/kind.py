"""The interface of a kind of tool at the bench: what it adds to what all computed kinds share (docs/add-a-kind.md)."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from regrind.geometry.inputs import Allowances, Corner, Mark, Tool, Way
from regrind.geometry.units import Unit
from regrind.paper.values import Sketch
from regrind.record.models import Family, Line

from ..models import Inspection
from .card import Section, Work


@dataclass(frozen=True)
class Known:
    """What is known of one tool: its family as the line takes it, and one inspection."""

    family: Family
    inspection: Inspection

    def read_nm(self, name: str) -> int | None:
        """A length that was read, None where nobody did."""
        reading = self.inspection.readings.get(name)
        return reading.nm if reading else None


@dataclass(frozen=True)
class Agreed:
    """What the customer takes beside the tool's own corner; nm, None where nothing was said."""

    widest_chamfer_nm: int | None = None
    other_radius_nm: int | None = None

    @classmethod
    def for_line(cls, line: Line) -> "Agreed":
        return cls(line.widest_chamfer_nm(), line.other_radius_nm)


@dataclass(frozen=True)
class Tolerance:
    """How far the corner may be off what was planned, in nm to both sides, and who publishes that."""

    within_nm: int
    source: str


def _same(tool: Tool, known: Known) -> Tool:
    return tool


def _spread_nothing(tool: Tool, known: Known) -> tuple[Mark, ...]:
    return ()


def _none_lacking(known: Known) -> tuple[str, ...]:
    return ()


def _no_other(tool: Tool, marks: Sequence[Mark], allow: Allowances, agreed: Agreed) -> tuple[Corner, ...]:
    return ()


def _flank(tool: Tool, known: Known) -> tuple[Way, ...]:
    return ("flank",)


@dataclass(frozen=True)
class Wanted:
    """What the customer and the shop want of one plan; nm, None where nobody said.

    flute_nm: the flute as it is now. hole: the one that is reamed, smaller_holes: those that would do, as the case
    has them. narrowest_nm: the least width; gullet_nm, reach_nm, thickness_nm: the least depth of the gullets, reach
    below the neck and thickness of a tooth.
    """

    flute_nm: int
    finish_nm: int
    finish_radial_nm: int = 0
    smallest_diameter_nm: int | None = None
    shortest_usable_nm: int | None = None
    narrowest_nm: int | None = None
    gullet_nm: int | None = None
    reach_nm: int | None = None
    thickness_nm: int | None = None
    hole_depth_nm: int | None = None
    hole_oversize_nm: int | None = None
    hole: Mapping[str, str] | None = None
    smaller_holes: Sequence[Mapping[str, str]] = ()


@dataclass(frozen=True)
class Hold:
    """What a reading of the check is held against: from least to most, None open, in nm or hundredths of a degree.

    field: the form's; quantity: what it is called; source: who says so; angle: whether it is one.
    """

    field: str
    quantity: str
    least: int | None
    most: int | None
    source: str
    angle: bool = False


def _say_no_more(option: Mapping[str, Any], unit: Unit) -> list[str]:
    return []


def _decide_nothing(case: Mapping[str, Any], option: Mapping[str, Any], unit: Unit) -> list[tuple[str, str]]:
    return []


def _sketch_nothing(case: Mapping[str, Any], option: Mapping[str, Any], unit: Unit) -> Mapping[str, Sketch]:
    return {}


@dataclass(frozen=True)
class KindPlan:
    """A kind that is not planned as an end mill is: by one of the headless plan's further kinds.

    headless: its name there. asked: readings of its damage, of which one is above 0 where it is worn; more: what may
    be read besides; by_tooth: what may be read of single teeth, `tooth` for its height; keeps: fields of all kinds that
    it still asks for; lacks: in words, what its plan needs besides a nominal and a measured diameter. flute, measured:
    whether it needs the flute, a measured diameter; teeth: the most it has, 0 where their number does not count. build:
    the case as JSON; assume: in words, what it takes that nobody gave. figures: an option's figures as (label, text);
    deciding: which tooth decides, from the case and an option, in the same form; short: the few that stand on the job
    sheet; sketches: what is drawn, by the part that is ground, from the case and an option that grinds. sections: the
    setup card's, by the part that is ground. checks: further fields of the check; tells: what card and
    check say that it is held to, from the case and an option, as (label, text); holds: what is held against what,
    from the case's tool and the option. takes: the option's key of what one regrind takes; counts: the limits, or parts
    of the case, that make it worth counting regrinds.
    """

    headless: str
    asked: tuple[str, ...]
    more: tuple[str, ...]
    keeps: tuple[str, ...]
    build: Callable[[Known, Wanted], dict[str, Any]]
    figures: Callable[[Mapping[str, Any], Unit], list[tuple[str, str]]]
    sections: Mapping[str, Callable[[Work], Section]]
    takes: str
    counts: tuple[str, ...]
    by_tooth: tuple[str, ...] = ()
    assume: Callable[[Known], list[str]] = lambda known: []
    lacks: Callable[[Known, Wanted], tuple[str, ...]] = lambda known, wanted: ()
    flute: bool = True
    measured: bool = True
    teeth: int = 0
    deciding: Callable[[Mapping[str, Any], Mapping[str, Any], Unit], list[tuple[str, str]]] = _decide_nothing
    short: Callable[[Mapping[str, Any], Unit], list[str]] = _say_no_more
    sketches: Callable[[Mapping[str, Any], Mapping[str, Any], Unit], Mapping[str, Sketch]] = _sketch_nothing
    checks: tuple[str, ...] = ()
    tells: Callable[[Mapping[str, Any], Mapping[str, Any], Unit], list[tuple[str, str]]] = _decide_nothing
    holds: Callable[[Mapping[str, Any], Mapping[str, Any]], list[Hold]] = lambda tool, option: []


@dataclass(frozen=True)
class BenchKind:
    """One kind of tool at the bench.

    fit: the tool of the plan, from what all kinds share: its corner, its relief. lacks: in words, what its plan needs
    besides. ways: where it may be ground. offer: corners to work out beside its own. arc: radius in nm of the arc that
    its damage lies on, 0 where its corner has none. spread: the damage that is read on the whole tool in another
    way than by depth and reach; assumed: in words, what `fit` takes that nobody gave; supplied: the same as fields of
    the case, for a family and the quantities that were read; face_only: it is ground on its
    flute faces alone. readings: further fields that stand with the deepest damage;
    unasked: fields that it has no use for; labels, hints: of those fields whose words differ;
    damages: what the deepest damage may be called, where that differs. corner_part: what
    grinding its corner is called. tolerance: of its corner at the check, for a diameter tolerance of so many nm; None
    where nobody publishes one. planner: how it is planned where that is not as an end mill.
    """

    fit: Callable[[Tool, Known], Tool] = _same
    lacks: Callable[[Known], tuple[str, ...]] = _none_lacking
    ways: Callable[[Tool, Known], tuple[Way, ...]] = _flank
    offer: Callable[[Tool, Sequence[Mark], Allowances, Agreed], tuple[Corner, ...]] = _no_other
    arc: Callable[[Known], int] = lambda known: 0
    spread: Callable[[Tool, Known], tuple[Mark, ...]] = _spread_nothing
    assumed: Callable[[Tool], list[str]] = lambda tool: []
    supplied: Callable[[Family, Collection[str]], tuple[str, ...]] = lambda family, read: ()
    face_only: bool = False
    readings: tuple[str, ...] = ()
    unasked: tuple[str, ...] = ()
    damages: tuple[tuple[str, str], ...] = ()
    labels: Mapping[str, str] = field(default_factory=dict)
    hints: Mapping[str, str] = field(default_factory=dict)
    corner_part: str = "corner"
    tolerance: Callable[[int], Tolerance | None] = lambda diameter_within_nm: None
    planner: KindPlan | None = None
