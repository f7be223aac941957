"""What the drawings on paper need: nothing but numbers already worked out and stored."""

from dataclasses import dataclass
from datetime import date

from .quantity import Length


@dataclass(frozen=True)
class Section:
    """The cross-section of a tool, seen from the shank: old and new circle, core and teeth.

    `diameter_before` and `core` may be assumed. `rake_deg` and `relief_deg` shape the drawn tooth only;
    no figure is taken from the drawing.
    """

    teeth: int
    diameter_before: Length
    diameter_after: Length
    core: Length | None = None
    rake_deg: float = 8.0
    relief_deg: float = 12.0
    limit: Length | None = None


@dataclass(frozen=True)
class StylusDrawing:
    """The stylus beside the wheel: lengths in mm, angles in radians, the two figures that are written as they print.

    radius_mm: of the edge as ground, above 0. lag_rad: how far the edge turns along distance_mm. agree: whether hand of
    cut and hand of helix are the same. height: of the stylus' tip from the tool's centre; above: of it, else below.
    """

    radius_mm: float
    relief_rad: float
    lag_rad: float
    distance_mm: float
    agree: bool
    above: bool
    height: Length
    distance: Length


Path = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Sketch:
    """A tool's shape before and after at one scale: points in mm, x to the right and y up.

    title: what is seen. body: the tool as received, filled; before, after: its outlines, open; off: what comes off;
    worn: its damage; centre: centre lines. was, will: what both outlines are called; note: the figures beside them.
    """

    title: str
    body: Path
    before: Path
    after: Path
    off: tuple[Path, ...] = ()
    worn: tuple[Path, ...] = ()
    centre: tuple[Path, ...] = ()
    was: str = ""
    will: str = ""
    note: str = ""


@dataclass(frozen=True)
class LifePoint:
    """One visit in a tool's life: the day and the diameter it left (or came) with."""

    on: date
    diameter: Length
    label: str = ""


@dataclass(frozen=True)
class LifeChart:
    """A followed tool over its visits, oldest first, with the customer's smallest diameter dashed."""

    tag: str
    points: tuple[LifePoint, ...]
    nominal: Length | None = None
    limit: Length | None = None
    description: str = ""
    part_number: str = ""
