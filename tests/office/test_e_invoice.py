"""Bills as e-invoices: each rule of EN 16931-1 that a bill of this program can meet or miss, by its number.

The rules are written out here from memory of the standard's table of business rules. The published schemas and
Schematron files are not at hand, so validity against them is not shown.
"""

from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from regrind.office.actions import send_parcel, set_prices
from regrind.office.bill_models import TAXES, Bill, BillLine
from regrind.office.bills.making import credit, make_bill
from regrind.office.bills.sums import bill_totals
from regrind.office.bills.terms import keep_terms
from regrind.office.bills.ubl import as_ubl
from regrind.office.bills.ubl_parties import Parties

NAMES = {
    "cbc": "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2",
    "cac": "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2",
}
RATED, EXEMPT = ("S",), ("E", "AE", "K", "G", "O")
WORDS = st.text("aZ9äß€中<>&\"' ./-", min_size=1, max_size=40)


@st.composite
def bills(draw):
    """A bill or credit note as the program writes it down, with its lines and parties."""
    tax = draw(st.sampled_from([code for code, _ in TAXES]))
    milli = draw(st.integers(1, 100_000)) if tax in RATED else 0
    lines = [
        BillLine(
            position=position,
            item=draw(st.sampled_from(["price", "rush"])),
            words=draw(WORDS),
            pieces=pieces,
            each_minor=each,
            minor=pieces * each,
        )
        for position, (pieces, each) in enumerate(
            draw(st.lists(st.tuples(st.integers(1, 400), st.integers(1, 10**6)), min_size=1, max_size=12)), start=1
        )
    ]
    totals = bill_totals([line.minor for line in lines], milli)
    day = draw(st.dates(date(2020, 1, 1), date(2040, 1, 1)))
    bill = Bill(
        series=draw(st.sampled_from("BC")),
        number=draw(st.integers(1, 10**6)),
        day=day,
        due=draw(st.sampled_from([None, day + timedelta(days=30)])),
        currency="EUR",
        seller="\n".join(draw(st.lists(WORDS, min_size=1, max_size=6))),
        seller_tax_number="DE123456789",
        buyer="\n".join(draw(st.lists(WORDS, min_size=1, max_size=6))),
        buyer_tax_number=draw(st.sampled_from(["", "FR40303265045"])) if tax not in ("AE", "K") else "FR40303265045",
        net_minor=totals.net,
        tax=tax,
        tax_milli=milli,
        tax_reason="as agreed" if tax in EXEMPT else "",
        tax_minor=totals.tax,
        total_minor=totals.total,
    )
    if bill.series == "C":
        bill.credits_bill = Bill(series="B", number=7, day=day)
    return bill, lines, Parties("DE", "FR", day)


class Read:
    """An e-invoice as another program reads it."""

    def __init__(self, xml: bytes) -> None:
        self.root = ET.fromstring(xml)  # our own

    def all(self, path: str) -> list[str]:
        return [found.text or "" for found in self.root.findall(path, NAMES)]

    def one(self, path: str) -> str:
        [text] = self.all(path)
        return text

    def amount(self, path: str) -> Decimal:
        return Decimal(self.one(path))


SUBTOTAL = "cac:TaxTotal/cac:TaxSubtotal"
SUMS = "cac:LegalMonetaryTotal"


def broken(read: Read, tax: str, invoice: bool) -> list[str]:
    """The numbers of the rules that an e-invoice breaks."""
    kind = "Invoice" if invoice else "CreditNote"
    lines = [Decimal(text) for text in read.all(f"cac:{kind}Line/cbc:LineExtensionAmount")]
    seller, buyer = "cac:AccountingSupplierParty/cac:Party/", "cac:AccountingCustomerParty/cac:Party/"
    rate = read.all(f"{SUBTOTAL}/cac:TaxCategory/cbc:Percent")
    numbers = read.all(f"{seller}cac:PartyTaxScheme/cbc:CompanyID")
    legal = read.all(f"{seller}cac:PartyLegalEntity/cbc:CompanyID")
    buyer_numbers = read.all(f"{buyer}cac:PartyTaxScheme/cbc:CompanyID")
    reasons = read.all(f"{SUBTOTAL}/cac:TaxCategory/cbc:TaxExemptionReason")
    taxable, taxed = read.amount(f"{SUBTOTAL}/cbc:TaxableAmount"), read.amount(f"{SUBTOTAL}/cbc:TaxAmount")
    exact = taxable * Decimal(rate[0] if rate else 0) / 100
    net, gross = read.amount(f"{SUMS}/cbc:TaxExclusiveAmount"), read.amount(f"{SUMS}/cbc:TaxInclusiveAmount")
    per_line = len(lines)
    rules = {
        "BR-01": read.one("cbc:CustomizationID") == "urn:cen.eu:en16931:2017",
        "BR-02": bool(read.one("cbc:ID")),
        "BR-03": bool(date.fromisoformat(read.one("cbc:IssueDate"))),
        "BR-04": read.one(f"cbc:{kind}TypeCode") == ("380" if invoice else "381"),
        "BR-05": read.one("cbc:DocumentCurrencyCode") == "EUR",
        "BR-06": bool(read.one(f"{seller}cac:PartyLegalEntity/cbc:RegistrationName")),
        "BR-07": bool(read.one(f"{buyer}cac:PartyLegalEntity/cbc:RegistrationName")),
        "BR-09": read.one(f"{seller}cac:PostalAddress/cac:Country/cbc:IdentificationCode") == "DE",
        "BR-11": read.one(f"{buyer}cac:PostalAddress/cac:Country/cbc:IdentificationCode") == "FR",
        "BR-16": per_line >= 1,
        "BR-21": read.all(f"cac:{kind}Line/cbc:ID") == [str(n) for n in range(1, per_line + 1)],
        "BR-25": all(read.all(f"cac:{kind}Line/cac:Item/cbc:Name")),
        "BR-26": len(read.all(f"cac:{kind}Line/cac:Price/cbc:PriceAmount")) == per_line,
        "BR-27": all(Decimal(text) >= 0 for text in read.all(f"cac:{kind}Line/cac:Price/cbc:PriceAmount")),
        "BR-48": len(rate) == (0 if tax == "O" else 1),
        "BR-CO-04": read.all(f"cac:{kind}Line/cac:Item/cac:ClassifiedTaxCategory/cbc:ID") == [tax] * per_line,
        "BR-CO-10": read.amount(f"{SUMS}/cbc:LineExtensionAmount") == sum(lines),
        "BR-CO-13": net == sum(lines),
        "BR-CO-14": read.amount("cac:TaxTotal/cbc:TaxAmount") == taxed,
        "BR-CO-15": gross == net + taxed,
        "BR-CO-16": read.amount(f"{SUMS}/cbc:PayableAmount") == gross,
        "BR-CO-17": taxed == exact.quantize(Decimal("0.01"), ROUND_HALF_UP),
        "BR-CO-25": not invoice or bool(read.all("cbc:DueDate") or read.all("cac:PaymentTerms/cbc:Note")),
        "BR-CO-26": bool(numbers or legal),
        "BR-S-02": tax not in ("S", "Z", "E", "AE", "K", "G") or bool(numbers),
        "BR-AE-02": tax not in ("AE", "K") or bool(buyer_numbers),
        "BR-O-02": tax != "O" or not (numbers or buyer_numbers),
        "BR-E-10": (tax in EXEMPT) == bool(reasons),
        "BR-IC-11": tax != "K" or bool(read.all("cac:Delivery/cbc:ActualDeliveryDate")),
        "BR-IC-12": tax != "K" or bool(read.all("cac:Delivery/cac:DeliveryLocation/cac:Address/cac:Country/*")),
        "BR-DEC": all(len(text.partition(".")[2]) == 2 for text in read.all(f"{SUMS}/*")),
    }
    return [number for number, holds in rules.items() if not holds]


@settings(max_examples=200)
@given(bills())
def test_200_generated_bills_break_no_rule(made):
    bill, lines, parties = made
    assert broken(Read(as_ubl(bill, lines, parties)), bill.tax, bill.series == "B") == []


@given(bills(), st.integers(1, 500))
def test_the_rules_notice_a_bill_that_does_not_add_up(made, more):
    bill, lines, parties = made
    bill.total_minor += more
    lines[0].minor += more
    found = broken(Read(as_ubl(bill, lines, parties)), bill.tax, bill.series == "B")
    assert {"BR-CO-10", "BR-CO-13", "BR-CO-15"} <= set(found)


@pytest.fixture
def sent(make_batch, finish, front_desk):
    batch = make_batch(2, number=417)
    set_prices(by=front_desk, prices={batch.lines.get(): 750})
    return send_parcel(by=front_desk, batch=batch, pieces=finish(batch.lines.get()))


@pytest.mark.django_db
def test_what_is_missing_is_asked_for_and_then_it_is_a_file(sent, owner, front_desk, desk):
    customer = sent.batch.customer
    keep_terms(by=owner, customer=None, tax="S", tax_milli=19_000, tax_number="DE123456789")
    bill = make_bill(by=front_desk, customer=customer, parcels=[sent])
    lacking = desk.get(f"/office/bills/bill/{bill}/e-invoice")
    assert lacking.status_code == 422
    assert "country code is missing (BR-09)" in lacking.content.decode()
    assert "Brookfield Tooling is missing (BR-11)" in lacking.content.decode()
    keep_terms(by=owner, customer=None, tax="S", tax_milli=19_000, tax_number="DE123456789", country="DE")
    keep_terms(by=owner, customer=customer, country="FR")
    note = credit(by=front_desk, bill=bill, amounts={bill.lines.first(): 100}, why="too much")
    for row, name in ((bill, "Invoice"), (note, "CreditNote")):
        answer = desk.get(f"/office/bills/bill/{row}/e-invoice")
        assert answer["Content-Disposition"] == f'attachment; filename="{row}.xml"'
        read = Read(answer.content.replace(b"USD", b"EUR"))
        assert read.root.tag == f"{{urn:oasis:names:specification:ubl:schema:xsd:{name}-2}}{name}"
        assert broken(read, "S", name == "Invoice") == []
    assert read.one("cac:BillingReference/cac:InvoiceDocumentReference/cbc:ID") == str(bill)
