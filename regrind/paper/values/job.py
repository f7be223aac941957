"""The job sheet and the setup card."""

from dataclasses import dataclass

from .drawing import Section, Sketch, StylusDrawing
from .head import Heading
from .quantity import Length


@dataclass(frozen=True)
class WheelSpeed:
    """The wheel's speed beside its marked maximum, rev/min; `surface_m_s` is the surface speed as text."""

    rpm: int | None = None
    marked_max_rpm: int | None = None
    surface_m_s: str = ""


@dataclass(frozen=True)
class SetupFigure:
    """One figure of a setup card: a length, or text; `note` stands beside it. Without either it is a blank to fill."""

    label: str
    length: Length | None = None
    text: str = ""
    note: str = ""
    assumed: bool = False


@dataclass(frozen=True)
class SetupPart:
    """What is ground in one go (sides, end, corner …): its figures, its steps in order, its drawing if it has one."""

    title: str
    figures: tuple[SetupFigure, ...] = ()
    steps: tuple[str, ...] = ()
    drawing: StylusDrawing | Sketch | None = None


@dataclass(frozen=True)
class SetupCard:
    """Everything to set once for a tray, part by part. What is None or empty is left as a blank to write in.

    steps: what holds for the whole card; cautions: of its parts and its material, before those that always hold.
    count: of the pieces; limits: what they are held to; warning: what it takes off against the customer's wish.
    """

    title: str
    number: str = ""
    holding: str = ""
    wheel: str = ""
    wheel_truing: Length | None = None
    speed: WheelSpeed = WheelSpeed()
    parts: tuple[SetupPart, ...] = ()
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    count: int = 0
    limits: tuple[SetupFigure, ...] = ()
    warning: str = ""


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
    section: Section | Sketch | None = None
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
    differing: tuple[str, ...] = ()  # labels of the card's figures that are set otherwise for others
    planned: bool = True


@dataclass(frozen=True)
class JobSheet:
    """One batch on paper for the bench: box, terms, setups, room to write."""

    head: Heading
    box: tuple[BoxLine, ...]
    setups: tuple[JobSetup, ...]
    terms: tuple[str, ...] = ()
    note: str = ""
