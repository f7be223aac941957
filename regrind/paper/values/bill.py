"""The bill and the credit note: read by whoever pays."""

from dataclasses import dataclass
from datetime import date

from .head import Heading
from .quantity import Money


@dataclass(frozen=True)
class BillRow:
    """One line: `amount` is pieces × each. Of a charge for a whole box (rush, the minimum) no count is printed."""

    words: str
    pieces: int
    each: Money
    amount: Money
    counted: bool = True


@dataclass(frozen=True)
class BillSheet:
    """A bill; a credit note where `credits_bill` names the bill that it takes back from. net + tax is the total.

    tax_words: `standard rate, 19 %`, or the kind of tax with the reason why none is charged. parcels: those it is for,
    each with the day on which it left.
    """

    head: Heading
    rows: tuple[BillRow, ...]
    net: Money
    tax_words: str
    tax: Money
    total: Money
    due: date | None = None
    pay_to: str = ""
    seller_tax_number: str = ""
    buyer_tax_number: str = ""
    credits_bill: str = ""
    note: str = ""
    parcels: tuple[str, ...] = ()
