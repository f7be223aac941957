"""A bill as an e-invoice: UBL 2.1, with the elements and rules of EN 16931-1.

The rules are those whose numbers stand beside them; the tests hold 200 generated bills against the published schemas
and rules. Amounts are the bill's own: nothing is worked out again.
"""

import re
from collections.abc import Sequence
from xml.etree import ElementTree as ET  # only written, never read

from ..bill_models import Bill, BillLine
from .export import in_units
from .ubl_parties import NO_RATE, Parties, buyer_address, seller_address

CBC = "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2"
CAC = "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2"
DOCUMENTS = {"B": "Invoice", "C": "CreditNote"}
TYPES = {"B": "380", "C": "381"}  # UNTDID 1001: commercial invoice, credit note
STANDARD = "urn:cen.eu:en16931:2017"
PIECE, WHOLE = "H87", "C62"  # UN/ECE recommendation 20 and 21: piece, one
NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
WITH_REASON = ("E", "AE", "K", "G", "O")


def as_ubl(bill: Bill, lines: Sequence[BillLine], parties: Parties) -> bytes:
    """The XML of a bill or credit note, UTF-8. Every party's country must be known: see `list_lacking`."""
    name = DOCUMENTS[bill.series]
    ET.register_namespace("cbc", CBC)
    ET.register_namespace("cac", CAC)
    root = ET.Element(name, {"xmlns": f"urn:oasis:names:specification:ubl:schema:xsd:{name}-2"})
    _head(root, bill, name)
    seller, buyer = _group(root, "AccountingSupplierParty"), _group(root, "AccountingCustomerParty")
    _party(seller, bill.seller, bill.seller_tax_number, seller_address(bill, parties), bill.tax)
    _party(buyer, bill.buyer, bill.buyer_tax_number, buyer_address(bill, parties), bill.tax)
    if bill.tax == "K":
        _delivery(root, parties)
    if bill.series == "B" and bill.due is None:
        _text(_group(root, "PaymentTerms"), "Note", "Payable on receipt.")  # BR-CO-25
    _sums(root, bill)
    for line in lines:
        _line(root, bill, line)
    ET.indent(root)
    xml: bytes = ET.tostring(root, encoding="UTF-8", xml_declaration=True)
    return xml


def _text(parent: ET.Element, name: str, text: str, **attributes: str) -> None:
    """An element with text; what XML 1.0 cannot hold (section 2.2, Char) becomes a blank."""
    ET.SubElement(parent, f"{{{CBC}}}{name}", attributes).text = NOT_XML.sub(" ", text)


def _group(parent: ET.Element, *names: str) -> ET.Element:
    for name in names:
        parent = ET.SubElement(parent, f"{{{CAC}}}{name}")
    return parent


def _amount(parent: ET.Element, name: str, minor: int, currency: str) -> None:
    _text(parent, name, str(in_units(minor)), currencyID=currency)


def _head(root: ET.Element, bill: Bill, name: str) -> None:
    _text(root, "CustomizationID", STANDARD)  # BR-01
    _text(root, "ID", str(bill))  # BR-02
    _text(root, "IssueDate", bill.day.isoformat())  # BR-03
    if name == "Invoice" and bill.due:
        _text(root, "DueDate", bill.due.isoformat())
    _text(root, f"{name}TypeCode", TYPES[bill.series])  # BR-04
    note = " ".join(filter(None, (bill.note, f"Pay to: {bill.pay_to}" if bill.pay_to else "")))
    if note:
        _text(root, "Note", note)
    _text(root, "DocumentCurrencyCode", bill.currency)  # BR-05
    if bill.credits_bill:
        reference = _group(root, "BillingReference", "InvoiceDocumentReference")
        _text(reference, "ID", str(bill.credits_bill))
        _text(reference, "IssueDate", bill.credits_bill.day.isoformat())


def _party(parent: ET.Element, words: str, number: str, lines: Sequence[tuple[str, str]], tax: str) -> None:
    """The name as it stands on the bill, its address by the names of its elements."""
    name = words.split("\n")[0]
    party = _group(parent, "Party")
    address = _group(party, "PostalAddress")  # BR-08, BR-10
    for path, text in lines:
        *groups, element = path.split("/")
        _text(_group(address, *groups), element, text)
    if number and tax != NO_RATE:
        scheme = _group(party, "PartyTaxScheme")
        _text(scheme, "CompanyID", number)
        _text(_group(scheme, "TaxScheme"), "ID", "VAT")
    legal = _group(party, "PartyLegalEntity")
    _text(legal, "RegistrationName", name)  # BR-06, BR-07
    if number and tax == NO_RATE:
        _text(legal, "CompanyID", number)  # BR-CO-26 without a tax number


def _delivery(root: ET.Element, parties: Parties) -> None:
    """BR-IC-11, BR-IC-12: when and into which country it went."""
    delivery = _group(root, "Delivery")
    if parties.delivered:
        _text(delivery, "ActualDeliveryDate", parties.delivered.isoformat())
    _text(_group(delivery, "DeliveryLocation", "Address", "Country"), "IdentificationCode", parties.buyer_country)


def _category(parent: ET.Element, name: str, bill: Bill, *, reason: bool) -> None:
    category = _group(parent, name)
    _text(category, "ID", bill.tax)
    if bill.tax != NO_RATE:
        _text(category, "Percent", f"{bill.tax_milli / 1000:.3f}".rstrip("0").rstrip("."))
    if reason and bill.tax in WITH_REASON:
        _text(category, "TaxExemptionReason", bill.tax_reason)  # BR-E-10, BR-AE-10, BR-IC-10, BR-G-10, BR-O-10
    _text(_group(category, "TaxScheme"), "ID", "VAT")


def _sums(root: ET.Element, bill: Bill) -> None:
    total = _group(root, "TaxTotal")
    _amount(total, "TaxAmount", bill.tax_minor, bill.currency)  # BR-CO-14
    subtotal = _group(total, "TaxSubtotal")
    _amount(subtotal, "TaxableAmount", bill.net_minor, bill.currency)
    _amount(subtotal, "TaxAmount", bill.tax_minor, bill.currency)
    _category(subtotal, "TaxCategory", bill, reason=True)
    sums = _group(root, "LegalMonetaryTotal")
    _amount(sums, "LineExtensionAmount", bill.net_minor, bill.currency)  # BR-CO-10
    _amount(sums, "TaxExclusiveAmount", bill.net_minor, bill.currency)  # BR-CO-13
    _amount(sums, "TaxInclusiveAmount", bill.total_minor, bill.currency)  # BR-CO-15
    _amount(sums, "PayableAmount", bill.total_minor, bill.currency)  # BR-CO-16


def _line(root: ET.Element, bill: Bill, line: BillLine) -> None:
    invoice = bill.series == "B"
    row = _group(root, "InvoiceLine" if invoice else "CreditNoteLine")
    _text(row, "ID", str(line.position))  # BR-21
    quantity = "InvoicedQuantity" if invoice else "CreditedQuantity"
    _text(row, quantity, str(line.pieces), unitCode=PIECE if line.counted else WHOLE)  # BR-22, BR-23
    _amount(row, "LineExtensionAmount", line.minor, bill.currency)  # BR-24
    item = _group(row, "Item")
    _text(item, "Name", line.words)  # BR-25
    _category(item, "ClassifiedTaxCategory", bill, reason=False)  # BR-CO-04
    _amount(_group(row, "Price"), "PriceAmount", line.each_minor, bill.currency)  # BR-26
