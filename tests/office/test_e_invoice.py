"""Bills as e-invoices, held against the published schemas of UBL 2.1 and the published rules of EN 16931-1.

Both lie in `published`, with their sources: OASIS UBL 2.1, and the Schematron of CEN/TC 434 of November 2025.
"""

import re
from datetime import date, timedelta
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from regrind.office.actions import send_parcel, set_prices
from regrind.office.bill_models import TAXES, Bill, BillLine
from regrind.office.bills.codes import COUNTRIES, CURRENCIES, TAX_NUMBER_PREFIXES
from regrind.office.bills.making import credit, make_bill
from regrind.office.bills.sums import bill_totals
from regrind.office.bills.terms import NEED_BUYER_NUMBER, keep_terms
from regrind.office.bills.ubl import as_ubl
from regrind.office.bills.ubl_parties import LEAST_MILLI, Parties, list_lacking
from regrind.record.contacts import keep_address
from regrind.record.models import Customer
from regrind.shop.countries import country_names
from regrind.shop.owner.actions import save_shop_settings

from .published_rules import broken, codes_of

CAC, CBC = (
    f"{{urn:oasis:names:specification:ubl:schema:xsd:Common{kind}Components-2}}" for kind in ("Aggregate", "Basic")
)
CREDITED = f"{CAC}BillingReference/{CAC}InvoiceDocumentReference/{CBC}ID"
RATED, EXEMPT = ("S",), ("E", "AE", "K", "G", "O")
WORDS = st.text("aZ9äß€中<>&\"' ./-", min_size=1, max_size=40).map(str.strip).filter(bool)
NUMBERS = st.sampled_from(["DE123456789", "EL123456789", "XI123456789", "1A123", "", "12-3456789", "de123456789"])
FRENCH = st.sampled_from(["", "FR40303265045"])


@st.composite
def bills(draw, loose=False):
    """A bill or credit note as the program writes it down, with its lines and parties; loose: with anything missing."""
    tax = draw(st.sampled_from([code for code, _ in TAXES]))
    milli = draw(st.integers(1 if loose else LEAST_MILLI, 100_000)) if tax in RATED else 0
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
        currency=draw(st.sampled_from(["EUR", "EUR", "USD", "ABC"])) if loose else "EUR",
        seller="\n".join(draw(st.lists(WORDS, min_size=1, max_size=6))),
        seller_tax_number=draw(NUMBERS) if loose else "DE123456789",
        buyer="\n".join(draw(st.lists(WORDS, min_size=1, max_size=6))),
        buyer_street=draw(st.just("") | WORDS),
        buyer_postcode=draw(st.just("") | WORDS),
        buyer_town=draw(st.just("") | WORDS),
        buyer_tax_number="FR40303265045" if tax in NEED_BUYER_NUMBER else draw(NUMBERS if loose else FRENCH),
        net_minor=totals.net,
        tax=tax,
        tax_milli=milli,
        tax_reason="as agreed" if tax in EXEMPT else "",
        tax_minor=totals.tax,
        total_minor=totals.total,
    )
    if bill.series == "C":
        bill.credits_bill = Bill(series="B", number=7, day=day)
    countries = st.sampled_from(["", "XX", "DE", "FR", "US"] if loose else ["DE", "FR"])
    return bill, lines, Parties(draw(countries), draw(countries), draw(st.sampled_from([None, day])) if loose else day)


@settings(max_examples=200, deadline=None)
@given(bills())
def test_200_generated_bills_break_no_published_rule(made):
    assert broken(as_ubl(*made)) == []


@settings(max_examples=200, deadline=None)
@given(bills(loose=True))
def test_whatever_the_rules_would_refuse_is_asked_for_before(made):
    bill, lines, parties = made
    bill.customer = Customer(name="Brookfield Tooling")
    if not list_lacking(bill, parties):
        assert broken(as_ubl(bill, lines, parties)) == []


@settings(deadline=None)
@given(bills(), st.integers(1, 500))
def test_the_rules_notice_a_bill_that_does_not_add_up(made, more):
    bill, lines, parties = made
    bill.total_minor += more
    lines[0].minor += more
    assert {"BR-CO-10", "BR-CO-15"} <= set(broken(as_ubl(bill, lines, parties)))


BILL = (
    Bill(
        series="B",
        number=7,
        day=date(2026, 3, 2),
        currency="EUR",
        seller="Kerf & Land",
        seller_tax_number="DE123456789",
        buyer="Brookfield Tooling",
        buyer_tax_number="FR40303265045",
        net_minor=1750,
        tax="S",
        tax_milli=19_000,
        tax_minor=333,
        total_minor=2083,
    ),
    [BillLine(position=1, item="price", words="12.7 mm end mill", pieces=1, each_minor=1750, minor=1750)],
    Parties("DE", "FR", date(2026, 3, 1)),
)
SPOILT = [
    (b"urn:cen.eu:en16931:2017", b"", "BR-01"),
    (b">B-7<", b"><", "BR-02"),
    (b">380<", b">999<", "BR-CL-01"),
    (b">EUR<", b">EUX<", "BR-CL-04"),
    (b"Kerf &amp; Land", b"", "BR-06"),
    (b"Brookfield Tooling", b"", "BR-07"),
    (b">DE<", b">XX<", "BR-CL-14"),
    (b"DE123456789", b"123456789", "BR-CO-09"),
    (b"20.83", b"20.84", "BR-CO-15"),
    (b">17.50<", b">17.505<", "BR-DEC-23"),
    (b">19<", b">0<", "BR-S-05"),
    (b"<cbc:Note>Payable on receipt.</cbc:Note>", b"", "BR-CO-25"),
    (b'"H87"', b'"pcs"', "BR-CL-23"),
    (b"12.7 mm end mill", b"", "BR-25"),
]


def test_a_whole_bill_breaks_none_of_the_published_rules():
    assert broken(as_ubl(*BILL)) == []


@pytest.mark.parametrize(("written", "instead", "rule"), SPOILT)
def test_a_spoilt_bill_breaks_the_published_rule(written, instead, rule):
    xml = as_ubl(*BILL)
    assert written in xml
    assert rule in broken(xml.replace(written, instead))


def test_the_schema_notices_elements_in_another_order():
    xml = as_ubl(*BILL)
    [first, second] = re.findall(rb"<cbc:ID>B-7</cbc:ID>|<cbc:IssueDate>.*?</cbc:IssueDate>", xml)
    assert "schema: Element" in broken(xml.replace(first, b"", 1).replace(second, second + first))[-1]


def test_codes_are_those_of_the_published_rules():
    assert codes_of("BR-CL-14") == COUNTRIES
    assert set(country_names()) <= COUNTRIES  # what addresses take is written as it is
    assert codes_of("BR-CL-04") == CURRENCIES
    assert codes_of("BR-CO-09") == TAX_NUMBER_PREFIXES


def test_a_sign_that_xml_cannot_hold_becomes_a_blank():
    bill, _, parties = BILL
    odd = BillLine(position=1, item="price", words="end\x0bmill\ufffe", pieces=1, each_minor=1750, minor=1750)
    xml = as_ubl(bill, [odd], parties)
    assert b"<cbc:Name>end mill </cbc:Name>" in xml
    assert broken(xml) == []


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
    assert "country is missing (BR-09)" in lacking.content.decode()
    assert "Brookfield Tooling is missing (BR-11)" in lacking.content.decode()
    save_shop_settings(by=owner, country="DE")
    keep_address(by=owner, customer=customer, street="4 rue du Port", postcode="44000", town="Nantes", country="FR")
    note = credit(by=front_desk, bill=bill, amounts={bill.lines.first(): 100}, why="too much")
    for row, name in ((bill, "Invoice"), (note, "CreditNote")):
        answer = desk.get(f"/office/bills/bill/{row}/e-invoice")
        assert answer["Content-Disposition"] == f'attachment; filename="{row}.xml"'
        assert ET.fromstring(answer.content).tag == f"{{urn:oasis:names:specification:ubl:schema:xsd:{name}-2}}{name}"
        assert broken(answer.content) == []
    assert ET.fromstring(answer.content).findtext(CREDITED) == str(bill)


@pytest.mark.django_db
def test_a_country_that_is_none_is_said_beside_the_field(owner, desk):
    desk.client.force_login(owner)
    refused = desk.post("/shop/settings", "/shop/settings", name="Kerf", country="XX")
    assert refused.status_code == 422
    assert "“XX” is no country" in refused.content.decode()
