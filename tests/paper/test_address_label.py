"""The address label of a parcel: on every stock, nothing cut, and a refusal where it has no room."""

import dataclasses
from datetime import date

import pytest

from regrind.paper import address_label
from regrind.paper.stock import page_dots, place
from regrind.paper.values import ADDRESS_STOCKS, AddressLabel
from tests.paper.reading import black, pages, raster, words

LABEL = AddressLabel(
    "417/2",
    date(2026, 11, 30),
    ("Kerf & Land Regrinding", "Unit 4, Old Brickworks", "Millbrook OH 44997"),
    ("Ponte Aerostructures", "Receiving, gate 3", "400 Canal Road", "Eastfield OH 44998"),
    ("Parcel 417/2 · Your order PO-88 · 12 pieces", "Carrier Norddal, tracking number 00340434, weight 2.50 lb"),
)
LONG_LINES = (
    "Łódzkie Zakłady Narzędziowe i Hydrauliczne",
    "Skład, brama 3",
    "Ulica Bardzo Długa 117 lok. 9",
    "90-999 Stare Łagiewniki Wielkie",
    "Poland",
)
LONG = dataclasses.replace(LABEL, to=LONG_LINES)
every_stock = pytest.mark.parametrize("stock", ADDRESS_STOCKS.values(), ids=ADDRESS_STOCKS)


@every_stock
@pytest.mark.parametrize("label", [LABEL, LONG], ids=["usual", "long"])
def test_every_word_stands_on_every_stock_and_none_beyond_its_label(stock, label):
    pdf = address_label.draw(label, stock)
    assert len(pages(pdf)) == 1
    text = words(pdf).replace(" ", "")
    for line in (*label.sender, *label.to, *label.facts):
        assert line.replace(" ", "") in text
    ink, box, page = black(raster(pdf, stock.dpi)), place(stock, 1), page_dots(stock)
    assert ink.shape == (page[1], page[0])
    top = page[1] - box.top
    inside = ink[top : top + box.height, box.left : box.left + box.width]
    assert inside.sum() == ink.sum() > 0


@every_stock
def test_the_address_is_the_largest_thing_on_it(stock):
    """Its letters are at least as high as the sender's, and twice as high on a large label."""
    sizes = address_label.sizes(LABEL, stock)
    assert sizes.address >= (2 if stock.height_mm > 100 else 1) * sizes.notes


def test_it_is_the_same_bytes_for_the_same_values():
    stock = ADDRESS_STOCKS["4x6"]
    assert address_label.draw(LABEL, stock) == address_label.draw(LABEL, stock)


def test_what_has_no_room_is_refused_with_the_stock_named():
    endless = dataclasses.replace(LABEL, to=("Name",) + ("A street with many words in it " * 6,) * 12)
    with pytest.raises(ValueError, match="no room on 50 × 25 mm roll"):
        address_label.draw(endless, ADDRESS_STOCKS["50x25"])
    with pytest.raises(ValueError, match="start: 25 is not on the sheet"):
        address_label.draw(LABEL, ADDRESS_STOCKS["A4"], 25)
