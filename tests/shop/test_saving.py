"""One path for one POST: which answer comes first where several would fit."""

import re

import pytest

from regrind.record.models import Customer
from regrind.shop.fields.whole_numbers import read_whole
from regrind.shop.models import SentForm

pytestmark = pytest.mark.django_db
NAMED = {"name": "Brookfield Tooling", "unit": "in", "scrap": "return"}


@pytest.fixture
def desk(client, front_desk):
    client.force_login(front_desk)
    return client


@pytest.fixture
def where(customer):
    return f"/receiving/customers/{customer.pk}"


def seen_on(client, address: str) -> str:
    return re.search(r'name="version" value="([^"]+)"', client.get(address).content.decode())[1]


def test_a_repeated_form_leads_to_its_first_answer_though_its_page_is_stale_by_now(desk, where):
    form = NAMED | {"version": seen_on(desk, where), "note": "mine", "once": "key-1"}
    first = desk.post(where, form)
    again = desk.post(where, form)
    assert (first.status_code, again.status_code) == (302, 302)
    assert again["Location"] == first["Location"]


def test_what_changed_meanwhile_comes_before_what_was_typed_wrong(desk, where):
    seen = seen_on(desk, where)
    Customer.objects.update(note="theirs")
    answer = desk.post(where, NAMED | {"version": seen, "unit": "ell", "note": "mine", "once": "key-1"})
    assert answer.status_code == 409
    assert ("note", "theirs", "mine") in answer.context["rows"]
    assert not SentForm.objects.exists()


def test_a_wrong_entry_is_told_beside_its_field_and_spends_no_key(desk, where):
    form = NAMED | {"version": seen_on(desk, where), "note": "kept", "once": "key-1"}
    wrong = desk.post(where, form | {"unit": "ell"})
    assert wrong.status_code == 422
    assert wrong.context["form"].errors.keys() == {"unit"}
    assert wrong.context["form"]["note"].value() == "kept"
    assert not SentForm.objects.exists()
    assert desk.post(where, form).status_code == 302


def test_a_refusal_stands_beside_the_field_that_the_form_names(desk, where):
    Customer.objects.create(name="Other Tools")
    refused = desk.post(where, NAMED | {"version": seen_on(desk, where), "name": "Other Tools", "once": "key-1"})
    assert refused.status_code == 422
    assert refused.context["form"].errors.keys() == {"name"}


@pytest.mark.parametrize("more", [{}, {"unit": "ell"}, {"version": "of another day"}])
def test_without_a_key_nothing_else_is_inspected(desk, where, more):
    assert desk.post(where, NAMED | {"note": "mine"} | more).status_code == 400
    assert Customer.objects.get(name=NAMED["name"]).note == ""


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("0", 0),
        ("007", 7),
        ("12345", 12345),
        ("123456", None),
        ("", None),
        (None, None),
        ("-1", None),
        ("+1", None),
        (" 1", None),
        ("1_0", None),
        ("1.0", None),
        ("\u0661", None),
        ("\u00b2", None),
    ],
)
def test_a_short_whole_number_is_plain_digits(text, number):
    assert read_whole(text, 5) == number
