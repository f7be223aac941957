"""The kinds of events, their words, and how long each can be undone."""

from typing import Literal, NamedTuple

Undo = Literal["soon", "always", "never"]


class Kind(NamedTuple):
    """words: the action, before "6 pieces". undo: soon (ten minutes, later with a reason), always or never."""

    words: str
    undo: Undo = "never"


KINDS: dict[str, Kind] = {
    "undone": Kind("Undone"),
    # at the counter
    "received": Kind("Box received"),
    "batch changed": Kind("Batch details changed", "soon"),
    "box cancelled": Kind("Box cancelled", "soon"),
    "owner changed": Kind("Box recorded as another customer's", "soon"),
    "line moved": Kind("Line moved to another box", "soon"),
    "foreign item": Kind("Noted as not this customer's", "always"),
    "line logged": Kind("Line logged"),
    "line set aside": Kind("Line set aside"),
    "line split": Kind("Line split"),
    "lines merged": Kind("Lines merged"),
    "kind changed": Kind("Kind changed"),
    "line changed": Kind("Line changed", "soon"),
    "recounted": Kind("Recounted"),
    "missing": Kind("Marked as missing", "soon"),
    "found": Kind("Found again", "soon"),
    "life tag given": Kind("Life tag given"),
    "tool recognised": Kind("Recognised as a known tool", "soon"),
    "tool forgotten": Kind("No longer matched to a tool", "soon"),
    "marks counted": Kind("Marks on the shank counted", "soon"),
    "complaint": Kind("Recorded a complaint about", "soon"),
    "complaint ended": Kind("Complaint ended", "soon"),
    "complaint withdrawn": Kind("Complaint withdrawn", "soon"),
    "customer": Kind("Customer saved"),
    "contact": Kind("Contact saved", "soon"),
    "contact removed": Kind("Contact removed", "soon"),
    "address": Kind("Address saved", "soon"),
    "address removed": Kind("Address removed", "soon"),
    "customers imported": Kind("Customers imported"),
    "family": Kind("Family saved"),
    "families imported": Kind("Families imported"),
    "families merged": Kind("Families merged"),
    "families unmerged": Kind("Merge undone"),
    "family default": Kind("Allowance of a family set", "soon"),
    # at the bench
    "inspected": Kind("Inspected", "soon"),
    "planned": Kind("Planned", "soon"),
    "ground": Kind("Ground", "soon"),
    "checked": Kind("Checked", "soon"),
    "sent to coater": Kind("Sent to the coater", "soon"),
    "back from coater": Kind("Back from the coater", "soon"),
    "moved": Kind("Moved", "soon"),
    "photo": Kind("Photo added", "always"),
    "register": Kind("Register changed"),
    # in the office
    "answered": Kind("Answer recorded", "soon"),
    "mail": Kind("Mail"),
    "quoted": Kind("Quote made"),  # replaced by another quote
    "quote link": Kind("Link to a quote made"),
    "quote link ended": Kind("Link to a quote revoked"),
    "tool code": Kind("Code of a tool made"),
    "priced": Kind("Prices set", "soon"),
    "rates set": Kind("Rates set", "soon"),
    "prices fixed": Kind("Prices fixed"),
    "bill terms": Kind("Tax and payment set", "soon"),
    "bill columns": Kind("Columns for the books set", "soon"),
    "billed": Kind("Bill made"),  # corrected by a credit note
    "credited": Kind("Credit note made"),
    "paid": Kind("Payment noted", "soon"),
    "sent": Kind("Parcel sent", "soon"),
    "paper issued": Kind("Paper issued"),
    # about the shop
    "account": Kind("Account changed"),
    "tablet": Kind("Tablet changed"),
    "first steps": Kind("First steps hidden"),
    "settings": Kind("Settings changed"),
    "first start": Kind("First start"),
    "filled in": Kind("Invented years added"),
    "test": Kind("Test"),
}
