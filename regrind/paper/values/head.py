"""What stands on every sheet: whose paper it is, its number, and who it is for."""

from dataclasses import dataclass, field
from datetime import date

from .quantity import Length, Style


@dataclass(frozen=True)
class Letterhead:
    """The shop as it signs its papers; the logo is the bytes of a PNG or JPEG, or None."""

    name: str
    lines: tuple[str, ...] = ()
    logo: bytes | None = None


@dataclass(frozen=True)
class Customer:
    """The customer a paper is for, with the address lines as they are written on an envelope."""

    name: str
    lines: tuple[str, ...] = ()
    contact: str = ""


@dataclass(frozen=True)
class Heading:
    """The identity of one paper: it is printed on every page, so that a loose sheet finds its stack."""

    number: str
    shop: Letterhead
    customer: Customer
    batch: str
    dated: date
    revision: int = 1
    order_number: str = ""
    arrived: date | None = None
    due: date | None = None
    rush: bool = False
    addressee: str = "Customer"  # what whom it is for is called
    style: Style = field(default_factory=Style)


@dataclass(frozen=True)
class Signed:
    """Who did something and on which day."""

    who: str
    on: date


@dataclass(frozen=True)
class Instrument:
    """A gauge that readings on this paper were taken with, and its calibration state at that moment.

    `state` is the word to print: "in calibration", "overdue", "not calibrated".
    """

    name: str
    number: str = ""
    resolution: Length | None = None
    state: str = ""
    calibrated_until: date | None = None
    used_for: str = ""


@dataclass(frozen=True)
class Photo:
    """A picture (bytes of a PNG or JPEG) with the words under it."""

    image: bytes
    caption: str = ""
