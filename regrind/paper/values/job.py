"""The job sheet and the setup card."""

from dataclasses import dataclass

from .drawing import Section
from .head import Heading
from .quantity import Angle, Length


@dataclass(frozen=True)
class WheelSpeed:
    """The wheel's speed beside its marked maximum, rev/min; `surface_m_s` is the surface speed as text."""

    rpm: int | None = None
    marked_max_rpm: int | None = None
    surface_m_s: str = ""


@dataclass(frozen=True)
class SetupCard:
    """Everything to set once for a tray. What is None or empty is left as a blank to write in.

    `stylus_height` is counted from the tool's centre, below positive; `stylus_lag` is the axial distance
    between wheel contact and stylus that it allows for. Drop is aimed for at `drop_at`. Without `sides` the card
    has no figure that belongs to them: no relief, drop, stylus, stop or infeed.
    """

    title: str
    number: str = ""
    sides: bool = True
    holding: str = ""
    wheel: str = ""
    wheel_truing: Length | None = None
    speed: WheelSpeed = WheelSpeed()
    relief: Angle | None = None
    secondary_relief: Angle | None = None
    drop: Length | None = None
    drop_at: Length | None = None
    drop_how: str = ""
    stylus_height: Length | None = None
    stylus_lag: Length | None = None
    travel_stop: Length | None = None
    infeed_rough: Length | None = None
    infeed_finish: Length | None = None
    direction_rough: str = ""
    direction_finish: str = ""
    reversed_finish: bool = False
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class SetupSheet:
    """The setup card as a paper of its own: one or more cards, one after the other."""

    head: Heading
    cards: tuple[SetupCard, ...]


@dataclass(frozen=True)
class BoxLine:
    """A line of the box, to be ticked when it is unpacked and again when it is packed."""

    number: str
    count: int
    description: str
    part_number: str = ""
    note: str = ""


@dataclass(frozen=True)
class JobPiece:
    """The plan's figures for a piece (or for the whole line: number "all").

    `todo` is one or two words: "grind", "ask", "not ground"; `note` the reason or the exception.
    """

    number: str
    todo: str = "grind"
    diameter_now: Length | None = None
    removal_radial: Length | None = None
    diameter_after: Length | None = None
    cut_back: Length | None = None
    travel_stop: Length | None = None
    usable_after: Length | None = None
    count: int = 1
    tag: str = ""
    note: str = ""


@dataclass(frozen=True)
class JobLine:
    """A line within a setup: its pieces, and the small drawing where the figures for one are known.

    `write_ins` heads the columns left empty for the bench, in the order in which they are typed in later.
    """

    number: str
    description: str
    pieces: tuple[JobPiece, ...]
    part_number: str = ""
    section: Section | None = None
    note: str = ""
    cautions: tuple[str, ...] = ()
    write_ins: tuple[str, ...] = ("⌀ as ground", "Runout", "Length", "By")


@dataclass(frozen=True)
class JobSetup:
    """Lines that one setup serves. `card` is None where the setup is not chosen yet.

    `anew` says what is set anew since the setup before; `others` what is not as on the card for which pieces. Not
    `planned`: these pieces have no setup, and `title` says why.
    """

    title: str
    lines: tuple[JobLine, ...]
    card: SetupCard | None = None
    anew: str = ""
    others: tuple[str, ...] = ()
    planned: bool = True


@dataclass(frozen=True)
class JobSheet:
    """One batch on paper for the bench: box, terms, setups, room to write."""

    head: Heading
    box: tuple[BoxLine, ...]
    setups: tuple[JobSetup, ...]
    terms: tuple[str, ...] = ()
    note: str = ""
