"""A box comes in: whose it is, its number, its head, what is not theirs."""

from datetime import timedelta

import pytest
from django.utils import timezone

from regrind.receiving import actions
from regrind.record.models import Batch, Customer, ForeignItem
from regrind.shop.events import Refusal
from regrind.shop.models import History

pytestmark = pytest.mark.django_db


def test_a_box_takes_the_next_number_and_opens_where_its_lines_are_said(counter, customer, make_batch):
    make_batch(1, number=416)
    answer = counter.post(
        "/receiving/new",
        customer=customer.pk,
        order_number="PO-5",
        their_count="12",
        due=f"{timezone.localdate():%Y-%m-%d}",
        rush="on",
        note="two tubes",
    )
    box = Batch.objects.get(number=417)
    assert answer.url == "/receiving/417/lines"
    assert (box.order_number, box.their_count, box.rush, box.note, box.received_by.name) == (
        "PO-5",
        12,
        True,
        "two tubes",
        "Fay",
    )


def test_a_new_customer_can_be_named_with_the_box(counter):
    counter.post("/receiving/new", new_customer="Marlow Gear", new_unit="mm")
    box = Batch.objects.get()
    assert (box.number, box.customer.name, box.customer.unit) == (1, "Marlow Gear", "mm")


def test_a_bench_hand_receives_boxes_but_adds_no_customer(client, bench_hand, customer):
    client.force_login(bench_hand)
    page = client.get("/receiving/new").content.decode()
    assert "new_customer" not in page
    client.post("/receiving/new", {"once": "k", "customer": customer.pk, "new_customer": "Sly"})
    assert not Customer.objects.filter(name="Sly").exists()
    assert Batch.objects.get().customer == customer


def test_a_box_can_be_entered_late_with_the_time_it_came(counter, customer):
    came = timezone.now() - timedelta(days=2)
    counter.post("/receiving/new", customer=customer.pk, received_at=f"{came:%Y-%m-%dT%H:%M}")
    assert abs(Batch.objects.get().received_at - came) < timedelta(minutes=1)


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("customer", "", "Choose the customer"),
        ("customer", "99999", "not in the list"),
        ("their_count", "0", "from 1 to 100000"),
        ("their_count", "a dozen", "from 1 to 100000"),
        ("their_count", "1e3", "from 1 to 100000"),
        ("due", "2026-02-30", "Write it as"),
        ("due", "1999-01-01", "write a day from"),
        ("due", "2999-01-01", "write a day from"),
        ("received_at", "2999-01-01T10:00", "future"),
        ("received_at", "1990-01-01T10:00", "2000"),
        ("order_number", "x" * 61, "60"),
    ],
)
def test_what_does_not_fit_is_said_beside_its_field_and_nothing_is_kept(counter, customer, field, value, message):
    typed = {"customer": customer.pk, "order_number": "PO-77", "note": "kept note"} | {field: value}
    answer = counter.post("/receiving/new", **typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert not Batch.objects.exists()
    assert message in " ".join(answer.context["form"].errors[field])
    assert "kept note" in page
    assert f'id="id_{field}_error"' in page


def test_a_name_that_is_taken_is_said_beside_the_name(counter, customer):
    answer = counter.post("/receiving/new", new_customer=customer.name.upper())
    assert answer.status_code == 422
    assert "already" in answer.context["form"].errors["new_customer"][0]
    assert not Batch.objects.exists()


def test_a_customer_chosen_and_a_new_one_named_is_refused(counter, customer):
    answer = counter.post("/receiving/new", customer=customer.pk, new_customer="Both Ltd")
    assert "not both" in answer.context["form"].errors["customer"][0]


def test_a_box_that_arrives_in_the_future_is_refused_by_the_action_too(front_desk, customer):
    with pytest.raises(Refusal, match="future"):
        actions.open_batch(by=front_desk, customer=customer, received_at=timezone.now() + timedelta(hours=1))


def test_the_head_is_mended_and_the_history_says_who(counter, make_batch):
    box = make_batch(3)
    counter.post(
        f"/receiving/{box.number}/",
        order_number="PO-9",
        their_count="4",
        difference="Tess, by phone",
        received_at=f"{box.received_at:%Y-%m-%dT%H:%M}",
    )
    box.refresh_from_db()
    assert (box.order_number, box.their_count, box.difference) == ("PO-9", 4, "Tess, by phone")
    assert History.objects.filter(table="record_batch", what="changed").latest("id").who == "Fay"


def test_a_due_date_before_the_box_came_is_refused_with_the_range(counter, make_batch):
    box = make_batch(1)
    answer = counter.post(
        f"/receiving/{box.number}/", due="2001-01-01", received_at=f"{box.received_at:%Y-%m-%dT%H:%M}"
    )
    assert answer.status_code == 422
    assert f"{timezone.localdate():%Y-%m-%d}" in answer.context["form"].errors["due"][0]


def test_what_is_not_theirs_is_noted_with_who_and_when(counter, make_batch):
    box = make_batch(1)
    counter.post(f"/receiving/{box.number}/foreign-item", f"/receiving/{box.number}/", description="a hex key")
    assert (ForeignItem.objects.get().description, ForeignItem.objects.get().by.name) == ("a hex key", "Fay")
    assert "a hex key" in counter.get(f"/receiving/{box.number}/").content.decode()


@pytest.mark.parametrize("description", ["", "   ", "y" * 201])
def test_a_foreign_item_without_words_is_refused_on_the_boxs_page(counter, make_batch, description):
    box = make_batch(1)
    answer = counter.post(f"/receiving/{box.number}/foreign-item", f"/receiving/{box.number}/", description=description)
    assert answer.status_code == 422
    assert answer.context["foreign_form"].errors["description"]
    assert not ForeignItem.objects.exists()


@pytest.mark.parametrize("number", ["0", "999", "417-1", "x", "9" * 40])
def test_a_box_that_does_not_exist_is_not_found(counter, number):
    assert counter.get(f"/receiving/{number}/").status_code == 404
