"""The returned-tool report: what the customer keeps."""

from dataclasses import dataclass

from .drawing import LifeChart
from .head import Heading, Instrument, Photo, Signed
from .quantity import Angle, Clearance, Length


@dataclass(frozen=True)
class State:
    """A tool's figures at one moment. What was not measured is None; what was assumed is marked so."""

    diameter: Length | None = None
    difference: Length | None = None
    overall_length: Length | None = None
    usable_length: Length | None = None
    clearance: Clearance | None = None
    runout: Length | None = None
    corner: str = ""
    coating: str = ""
    point: Angle | None = None
    width: Length | None = None
    chamfer: Length | None = None


@dataclass(frozen=True)
class ReportPiece:
    """One piece, or like pieces entered once (`count` above 1). `result` is one of "ground", "returned unground",
    "scrap", "missing", "at the coater", "on hand"."""

    number: str
    result: str
    before: State = State()
    after: State = State()
    removed_radial: Length | None = None
    cut_back: Length | None = None
    why: str = ""
    done: str = ""
    count: int = 1
    tag: str = ""
    times_reground: int | None = None
    regrinds_left: int | None = None
    shank_runout: Length | None = None


@dataclass(frozen=True)
class PieceNow:
    """Pieces that are alike now, for the first page; `result` as of `ReportPiece`. `diameter_of` and `lengths_of` name
    the piece that a size was measured on where it is another one. `other`: further sizes in words, on that piece as
    well. `limits` says of each limit in words whether it was
    passed or missed."""

    number: str
    result: str
    count: int = 1
    diameter: Length | None = None
    diameter_of: str = ""
    overall_length: Length | None = None
    usable_length: Length | None = None
    lengths_of: str = ""
    corner: str = ""
    coating: str = ""
    other: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()


@dataclass(frozen=True)
class ReportLine:
    """Like tools of the batch: the first page prints one row for it, the table behind one row per piece."""

    number: str
    description: str
    received: int
    ground: int
    pieces: tuple[ReportPiece, ...]
    part_number: str = ""
    nominal: Length | None = None
    diameter_from: Length | None = None
    diameter_to: Length | None = None
    difference: Length | None = None
    other: str = ""
    done: str = ""
    regrinds_left: str = ""
    now: tuple[PieceNow, ...] = ()
    difference_to: Length | None = None  # where the pieces differ, as `diameter_to`
    asked: tuple[str, ...] = ("diameter", "overall length", "usable length", "runout", "relief")  # said where unread


@dataclass(frozen=True)
class NotGround:
    """Pieces that were not ground, why, and the photo that shows it where there is one."""

    number: str
    description: str
    count: int
    result: str
    why: str
    part_number: str = ""
    photos: tuple[Photo, ...] = ()


@dataclass(frozen=True)
class Report:
    """The whole report. `assumed` lists in words what was assumed rather than measured; `saved` says what all of the
    customer's tools came to against buying new, as of the day. An instrument without a name stands for readings that
    named none."""

    head: Heading
    lines: tuple[ReportLine, ...]
    not_ground: tuple[NotGround, ...] = ()
    instruments: tuple[Instrument, ...] = ()
    assumed: tuple[str, ...] = ()
    measured_by: tuple[Signed, ...] = ()
    released_by: tuple[Signed, ...] = ()
    life: tuple[LifeChart, ...] = ()
    note: str = ""
    summary: str = ""
    saved: str = ""
