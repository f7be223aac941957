"""A parcel: where it goes, fixed when it leaves; its weight, its page and its address label."""

import pytest

from regrind.office.actions import send_parcel
from regrind.office.issuing import draft, issue, read_file
from regrind.office.models import IssuedPaper, Parcel
from regrind.record.contacts import keep_address, remove_entry
from regrind.shop.events import Refusal
from regrind.shop.fields.weights import WeightText, show_weight
from regrind.shop.models import ShopSettings
from regrind.shop.owner.actions import save_shop_settings
from regrind.shop.undo import undo

from .conftest import words

pytestmark = pytest.mark.django_db
GATE = {"name_lines": "Gate 3", "street": "400 Canal Road", "town": "Eastfield OH", "postcode": "44998"}


@pytest.fixture
def shop(owner):
    save_shop_settings(by=owner, name="Kerf & Land", address="Unit 4\nMillbrook OH 44997", country="US")
    return ShopSettings.objects.get()


@pytest.fixture
def batch(shop, make_batch, finish):
    batch = make_batch(3, number=417)
    finish(batch.lines.get())
    return batch


@pytest.fixture
def gate(batch, owner):
    return keep_address(by=owner, customer=batch.customer, **GATE, first=True)


def send(batch, by, **more) -> Parcel:
    return send_parcel(by=by, batch=batch, pieces=list(batch.pieces.filter(status="released"))[:2], **more)


def test_it_goes_to_the_chosen_address_and_that_never_changes(batch, gate, desk, owner):
    annex = keep_address(by=owner, customer=batch.customer, street="7 Annex Way", town="Hilltown", country="CA")
    page = desk.get("/office/417/parcel")
    assert page.context["form"]["address"].value() == str(gate.pk)
    ticked = [str(piece.pk) for piece in batch.pieces.all()[:2]]
    desk.post("/office/417/parcel", "/office/417/parcel", send=ticked, address=str(annex.pk), weight="2.5")
    remove_entry(by=owner, entry=annex)
    parcel = Parcel.objects.get()
    assert parcel.address == "7 Annex Way\nHilltown\nCanada"
    assert draft("slip", "417/1").values.head.customer.lines == ("7 Annex Way", "Hilltown", "Canada")
    label = draft("address", "417/1").values
    assert label.to == (batch.customer.name, "7 Annex Way", "Hilltown", "Canada")
    assert label.sender == ("Kerf & Land", "Unit 4", "Millbrook OH 44997", "United States")
    shown = desk.get("/office/417/parcels/1").content.decode()
    for expected in ("7 Annex Way", "Weight 2.50 lb", "2 ground", "Line 1: 1 ready to return"):
        assert expected in shown


def test_an_address_removed_while_the_page_was_open_is_asked_again(batch, gate, desk, owner):
    remove_entry(by=owner, entry=gate)
    ticked = [str(piece.pk) for piece in batch.pieces.all()]
    answer = desk.post("/office/417/parcel", "/office/417/parcel", send=ticked, address=str(gate.pk))
    assert answer.status_code == 422
    assert "changed or removed meanwhile" in answer.content.decode()
    assert not Parcel.objects.exists()


def test_the_label_is_issued_once_for_each_stock_and_prints_the_same_file_again(batch, gate, desk, front_desk):
    send(batch, front_desk, carrier="Norddal", tracking="0034", weight_g=1134)
    for stock in ("", "A6", "A6"):
        answer = desk.post("/office/print/address/417_1", "/office/417/parcels/1", stock=stock)
        assert answer.status_code == 302
    papers = IssuedPaper.objects.order_by("revision")
    assert ['"4x6"' in papers[0].snapshot, '"A6"' in papers[1].snapshot, len(papers)] == [True, True, 2]
    text = words(read_file(papers[0]))
    for expected in ("Gate 3", "Eastfield OH 44998", "From Kerf & Land", "Carrier Norddal, tracking number 0034"):
        assert expected in text
    refused = desk.post("/office/print/address/417_1", "/office/417/parcels/1", stock="napkin")
    assert "Not a label stock" in refused.content.decode()


def test_without_an_address_there_is_no_label_until_one_is_written_down(batch, front_desk, owner):
    parcel = send(batch, front_desk)
    with pytest.raises(Refusal, match="has no address"):
        draft("address", "417/1")
    keep_address(by=owner, customer=batch.customer, **GATE)
    assert draft("address", "417/1").values.to[1:] == ("Gate 3", "400 Canal Road", "Eastfield OH 44998")
    undo(by=owner, done=parcel.event)
    with pytest.raises(Refusal, match="was undone"):
        issue(by=front_desk, kind="address", number="417/1", stock="4x6")


@pytest.mark.parametrize(
    ("typed", "unit", "grams", "shown"),
    [
        ("2.5", "in", 1134, "2.50 lb"),
        ("1 lb", "mm", 454, "0.454 kg"),
        ("1,2", "mm", 1200, "1.200 kg"),
        ("1.2 kg", "in", 1200, "2.65 lb"),
    ],
)
def test_a_weight_is_read_in_the_shops_unit_or_its_own(typed, unit, grams, shown):
    """One pound is 453.592 37 g exactly (NIST SP 811, appendix B.8, from memory)."""
    assert WeightText(unit=unit).clean(typed) == grams
    assert show_weight(grams, unit) == shown


@pytest.mark.parametrize("hundredths", range(1, 2000, 37))
def test_a_weight_in_hundredths_of_a_pound_comes_back_as_typed(hundredths):
    grams = WeightText(unit="in").clean(f"{hundredths / 100:.2f}")
    assert show_weight(grams, "in") == f"{hundredths / 100:.2f} lb"


@pytest.mark.parametrize("typed", ["0", "-1", "heavy", "1e3", "5000", "1.2.3", "٣"])
def test_a_weight_that_is_none_is_refused_with_the_range(typed):
    with pytest.raises(Exception, match=r"Write a weight such as 2\.5 kg, up to 1000\.000 kg"):
        WeightText(unit="mm").clean(typed)
