"""The terms of a bill: tax, days to pay, where to pay, and the two parties' numbers."""

from dataclasses import dataclass
from typing import Any

from regrind.record.models import Customer
from regrind.shop.events import Refusal, event
from regrind.shop.models import Person

from ..bill_models import BillTerms

WITHOUT_TAX = ("Z", "E", "AE", "K", "G", "O")  # their rate is 0 (EN 16931-1: BR-Z-5, BR-E-5, BR-AE-5, BR-IC-5 …)
WITH_REASON = ("E", "AE", "K", "G", "O")  # a reason is said (BR-E-10, BR-AE-10, BR-IC-10, BR-G-10, BR-O-10)
NEED_BUYER_NUMBER = ("AE", "K")  # the buyer's number is said too (BR-AE-2, BR-IC-2)


@dataclass(frozen=True)
class Terms:
    """What a bill to one customer says beside its lines."""

    tax: str
    tax_milli: int
    tax_reason: str
    due_days: int | None
    pay_to: str
    seller_tax_number: str
    buyer_tax_number: str


def newest_terms(customer: Customer | None) -> BillTerms | None:
    """The terms written down last for a customer, None for the shop; None where there are none."""
    return BillTerms.objects.filter(customer=customer).order_by("pk").last()


def terms_for(customer: Customer) -> Terms:
    """The terms of a bill to this customer. Refusal where nobody said yet which tax is charged, or a number that this
    tax needs is missing."""
    shop, own_terms = newest_terms(None), newest_terms(customer)
    taxed = own_terms if own_terms and own_terms.tax else shop
    if taxed is None or not taxed.tax:
        raise Refusal("No tax is chosen for bills yet. The owner chooses it under Bills, Tax and payment.")
    days = own_terms.due_days if own_terms and own_terms.due_days is not None else shop.due_days if shop else None
    terms = Terms(
        taxed.tax,
        taxed.tax_milli,
        taxed.tax_reason,
        days,
        (shop.pay_to if shop else ""),
        shop.tax_number if shop else "",
        own_terms.tax_number if own_terms else "",
    )
    if terms.tax in NEED_BUYER_NUMBER and not (terms.buyer_tax_number and terms.seller_tax_number):
        raise Refusal(f"{taxed.get_tax_display()} needs both tax numbers. Write them under Bills, Tax and payment.")
    return terms


def say_lacking(customer: Customer) -> str:
    """What a bill to this customer still lacks, in a sentence; '' where it can be made."""
    try:
        terms_for(customer)
    except Refusal as refused:
        return str(refused)
    return ""


def keep_terms(*, by: Person, customer: Customer | None, **values: Any) -> BillTerms:
    """Write down terms, the shop's where no customer is named; bills made before keep theirs.

    values: by the names of BillTerms' columns. Refusal where the rate does not fit the kind of tax, or a reason lacks.
    """
    tax, milli, reason = values.get("tax", ""), values.get("tax_milli", 0), values.get("tax_reason", "")
    if tax == "S" and not milli:
        raise Refusal("The standard rate is above 0. Write the rate, or choose another kind of tax.")
    if tax in WITHOUT_TAX and milli:
        raise Refusal("This kind of tax has no rate. Leave the rate empty, or choose the standard rate.")
    if tax in WITH_REASON and not reason:
        raise Refusal("A bill without tax says why. Write the reason as the bill shall say it.")
    if tax not in WITH_REASON and reason:
        raise Refusal("A reason is said only where no tax is charged. Leave the reason empty.")
    with event(by, "bill terms", why=str(customer or "")) as setting:
        return BillTerms.objects.create(event=setting, customer=customer, **values)
