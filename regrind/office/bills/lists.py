"""The rows of the pages of bills."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import F, Sum

from regrind.record.models import Customer, FamilyMonth

from ..bill_models import Bill, BillPayment

PAGE = 50
MONTHS = 24


@dataclass(frozen=True)
class BillRow:
    """A bill with what is still open of it; a credit note has nothing open."""

    bill: Bill
    open_minor: int

    @property
    def state(self) -> str:
        if self.bill.credits_bill_id:
            return f"for {self.bill.credits_bill}"
        if self.open_minor == 0:
            return "paid"
        return "open" if self.open_minor > 0 else "to be paid back"


def with_open(bills: Iterable[Bill]) -> list[BillRow]:
    """Each bill with what is still to be paid; two queries."""
    rows = list(bills)
    notes = Bill.objects.filter(credits_bill__in=rows).order_by().values_list("credits_bill")
    payments = BillPayment.objects.filter(bill__in=rows).order_by().values_list("bill")
    credited: dict[int | None, int] = dict(notes.annotate(sum=Sum("total_minor")))
    paid: dict[int, int] = dict(payments.annotate(sum=Sum("minor")))
    return [
        BillRow(
            bill,
            0 if bill.credits_bill_id else bill.total_minor - credited.get(bill.pk, 0) - paid.get(bill.pk, 0),
        )
        for bill in rows
    ]


def page_of_bills(before: int | None) -> tuple[list[BillRow], int | None]:
    """The newest bills and credit notes older than a primary key, and the key that the next page continues from."""
    rows = Bill.objects.select_related("customer", "credits_bill").order_by("-pk")
    bills = list((rows if before is None else rows.filter(pk__lt=before))[: PAGE + 1])
    return with_open(bills[:PAGE]), bills[PAGE - 1].pk if len(bills) > PAGE else None


@dataclass(frozen=True)
class StatementRow:
    """One movement: what is owed grows by a bill, and falls by a credit note or a payment. balance: after it, in
    its currency."""

    day: date
    words: str
    minor: int
    balance: int
    currency: str
    number: str = ""


def statement(customer: Customer) -> list[StatementRow]:
    """All bills, credit notes and payments of a customer, the oldest first, with what is owed after each."""
    bills = Bill.objects.filter(customer=customer).select_related("credits_bill")
    moves = [(bill.day, 0, bill.pk, _bill_words(bill), _owed(bill), bill) for bill in bills]
    payments = BillPayment.objects.filter(bill__customer=customer).select_related("bill")
    moves += [
        (row.day, 1, row.pk, f"Payment for {row.bill}{', ' + row.how if row.how else ''}", -row.minor, row.bill)
        for row in payments
    ]
    rows: list[StatementRow] = []
    owed: dict[str, int] = {}
    for day, _, _, words, minor, bill in sorted(moves, key=lambda row: row[:3]):
        owed[bill.currency] = owed.get(bill.currency, 0) + minor
        rows.append(StatementRow(day, words, minor, owed[bill.currency], bill.currency, str(bill)))
    return rows


def _bill_words(bill: Bill) -> str:
    return f"Credit note {bill} for {bill.credits_bill}" if bill.credits_bill else f"Bill {bill}"


def _owed(bill: Bill) -> int:
    return -bill.total_minor if bill.credits_bill_id else bill.total_minor


@dataclass(frozen=True)
class Month:
    """A month's turnover without tax (bills less credit notes), and the bench minutes of the boxes received in it.

    turnover: minor units with their currency, one a currency that was billed in; none where nothing was billed.
    """

    month: date
    turnover: list[tuple[int, str]]
    minutes_hundredths: int


def months() -> list[Month]:
    """The last months, the newest first."""
    turnover: dict[date, Counter[str]] = defaultdict(Counter)
    for day, minor, currency, credited in Bill.objects.values_list("day", "net_minor", "currency", "credits_bill"):
        turnover[day.replace(day=1)][currency] += -minor if credited else minor
    summed = FamilyMonth.objects.order_by("-month").values_list("month").annotate(sum=Sum(F("minutes_hundredths")))
    minutes: dict[date, int] = dict(summed.filter(sum__gt=0)[:MONTHS])
    days = sorted({*turnover, *minutes}, reverse=True)[:MONTHS]
    return [Month(day, _by_currency(turnover[day]), minutes.get(day, 0)) for day in days]


def _by_currency(sums: Counter[str]) -> list[tuple[int, str]]:
    return [(minor, currency) for currency, minor in sorted(sums.items())]
