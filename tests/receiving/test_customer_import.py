"""Customers from a table: what is read, what is left out, what is refused with its row, and nothing saved before."""

import io
import re
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from openpyxl import Workbook

from regrind.receiving.customer_import import read_customers
from regrind.receiving.packing_list.cells import Refused
from regrind.record.contacts import address_for, address_lines, contacts_of
from regrind.record.models import Customer
from regrind.shop.models import Event

pytestmark = pytest.mark.django_db
HIDDEN = re.compile(r'<input type="hidden" name="([^"]+)" value="([^"]*)"')
PAGE = "/receiving/customers/import"
LIST = (
    "Company;Contact person;E-Mail;Tel.;Street;ZIP;City;Unit\n"
    "Aldgate Pumps;Iris Vale;iris@aldgate.example;+44 20 5550 100;4 Dock Road;EC3 1AA;London;metric\n"
    "Birch & Sons;;;;;;;\n"
    ";;;;;;;\n"
    "Total 2;;;;;;;"
)


def test_heads_in_several_words_an_address_in_columns_and_the_shops_unit_where_none_is_named():
    read = read_customers(LIST.rsplit("\n", 1)[0], b"", "in")
    first, second = read.rows
    assert first == {
        "name": "Aldgate Pumps",
        "contact": "Iris Vale",
        "mail": "iris@aldgate.example",
        "phone": "+44 20 5550 100",
        "note": "",
        "street": "4 Dock Road",
        "postcode": "EC3 1AA",
        "town": "London",
        "country": "",
        "unit": "mm",
    }
    assert (second["name"], second["unit"]) == ("Birch & Sons", "in")


def test_the_table_that_goes_along_with_the_page_reads_the_same():
    read = read_customers(LIST, b"", "in")
    assert read_customers(read.as_text(), b"", "in").rows == read.rows


def test_who_is_here_already_or_has_no_name_is_left_out_and_said(customer):
    read = read_customers(f"Name,Mail\n{customer.name.upper()},\n,a@b.example\nNew one,\nnew ONE,", b"", "in")
    assert [row["name"] for row in read.rows] == ["New one"]
    assert read.left_out == [
        f"Row 2: {customer.name.upper()} is here already",
        "Row 3: no name",
        "Row 5: new ONE is here already",
    ]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Name,Mail\nOne,one(at)shop\nTwo,two@\nThree,", ("Row 2, Mail: That is not", "Row 3, Mail: That is not")),
        ("Name,Unit\nOne,furlong", ("Row 2, Preferred unit:",)),
        ("Name,Street,Country\nOne,1 Mill Road,Ruritania", ("Row 2, Country: “Ruritania” is no country",)),
        ("Name,Postcode\nOne,12345", ("Row 2, Street: Write a street or a town",)),
        ("Colour,Weight\nred,7", ("No column is headed Name",)),
        ("Name,Mail\n,a@b.example", ("No row of the table is a new customer",)),
    ],
)
def test_a_row_that_cannot_be_a_customer_is_refused_by_its_place(text, words):
    with pytest.raises(Refused) as refused:
        read_customers(text, b"", "in")
    for part in words:
        assert part in str(refused.value)


def hidden_of(page) -> dict[str, str]:
    html = page.content.decode()
    return {name: unescape(value) for name, value in HIDDEN.findall(html)}


def test_nothing_is_saved_before_the_page_that_shows_it(counter):
    shown = counter.client.post(PAGE, {"text": LIST})
    assert "Birch &amp; Sons" in shown.content.decode()
    assert Customer.objects.count() == 0
    saved = counter.client.post(PAGE, hidden_of(shown) | {"do": "save"})
    assert saved.status_code == 302
    aldgate = Customer.objects.get(name="Aldgate Pumps")
    assert address_lines(address_for(aldgate, "delivery")) == ["4 Dock Road", "EC3 1AA London"]
    assert [(row.name, row.phone) for row in contacts_of(aldgate)] == [("Iris Vale", "+44 20 5550 100")]
    assert contacts_of(Customer.objects.get(name="Birch & Sons")) == []
    assert Event.objects.filter(kind="customers imported").count() == 1
    assert Customer.objects.count() == 3


def test_an_xlsx_file_is_read_and_a_wrong_row_stands_beside_the_file(counter):
    book = Workbook()
    for row in (["Kunde", "Telefon"], ["Nordmann Zerspanung", "+49 30 555 01"]):
        book.active.append(row)
    buffer = io.BytesIO()
    book.save(buffer)
    shown = counter.client.post(PAGE, {"file": SimpleUploadedFile("kunden.xlsx", buffer.getvalue())})
    assert shown.context["listed"].rows[0]["phone"] == "+49 30 555 01"
    refused = counter.client.post(PAGE, {"file": SimpleUploadedFile("k.csv", b"Name,Mail\nOne,nowhere")})
    assert refused.status_code == 422
    assert refused.context["form"].errors["file"][0].startswith("Row 2, Mail:")
