"""The packing slip: read at the customer's receiving desk."""

from dataclasses import dataclass

from .head import Heading, Signed
from .quantity import Money


@dataclass(frozen=True)
class SlipLine:
    """Pieces of one line of the batch: `received` is the count in, the others say where those pieces are.

    `ground`, `returned_unground` and `scrap` are in this parcel; `sent_before` were in earlier
    parcels. All counts are 0 or more.
    """

    number: str
    description: str
    received: int
    ground: int = 0
    returned_unground: int = 0
    scrap: int = 0
    recycled: int = 0
    at_coater: int = 0
    on_hand: int = 0
    missing: int = 0
    sent_before: int = 0
    part_number: str = ""
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
