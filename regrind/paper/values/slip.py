"""The packing slip: what their receiving desk reads."""

from dataclasses import dataclass

from .head import Heading, Signed
from .quantity import Money


@dataclass(frozen=True)
class SlipLine:
    """A line of the batch, counted: `came` is in, the rest says where those went.

    `ground`, `returned_unground` and `scrap` are in this parcel; `sent_before` left in earlier ones.
    """

    number: str
    what: str
    came: int
    ground: int = 0
    returned_unground: int = 0
    scrap: int = 0
    recycled: int = 0
    at_coater: int = 0
    on_hand: int = 0
    missing: int = 0
    sent_before: int = 0
    their_number: str = ""
    why: str = ""
    unit_price: Money | None = None
    amount: Money | None = None


@dataclass(frozen=True)
class Charge:
    """A charge beside the lines: rush, batch minimum, freight."""

    label: str
    amount: Money


@dataclass(frozen=True)
class PackingSlip:
    """One parcel. Prices are printed only where `total` is given."""

    head: Heading
    lines: tuple[SlipLine, ...]
    parcel: str = ""
    follows: tuple[str, ...] = ()
    charges: tuple[Charge, ...] = ()
    total: Money | None = None
    packed_by: Signed | None = None
    note: str = ""
