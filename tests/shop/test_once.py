import pytest
from django.urls import reverse

from regrind.shop.models import Person, SentForm

pytestmark = pytest.mark.django_db
NEW = {"name": "Nia", "password": "a long password", "bench": "on"}


@pytest.fixture
def at_the_desk(client, owner):
    client.force_login(owner)
    return client


def test_the_same_form_twice_acts_once_and_leads_to_the_same_place(at_the_desk):
    first = at_the_desk.post(reverse("shop:people"), NEW | {"once": "key-1"})
    second = at_the_desk.post(reverse("shop:people"), NEW | {"once": "key-1"})
    assert first.status_code == second.status_code == 302
    assert first["Location"] == second["Location"]
    assert Person.objects.filter(name="Nia").count() == 1


def test_a_spent_key_with_other_content_says_so_and_keeps_what_was_typed(at_the_desk):
    at_the_desk.post(reverse("shop:people"), NEW | {"once": "key-1"})
    again = at_the_desk.post(reverse("shop:people"), NEW | {"once": "key-1", "name": "Nils"})
    assert again.status_code == 409
    assert b"Already saved" in again.content
    assert b"Nils" in again.content
    assert not Person.objects.filter(name="Nils").exists()


def test_a_refused_form_spends_no_key(at_the_desk):
    refused = at_the_desk.post(reverse("shop:people"), NEW | {"once": "key-1", "name": "ODA"})
    assert refused.status_code == 422
    assert b"There is a person named ODA already." in refused.content
    assert not SentForm.objects.exists()
    assert at_the_desk.post(reverse("shop:people"), NEW | {"once": "key-1"}).status_code == 302


def test_a_writing_form_without_a_key_is_refused(at_the_desk):
    assert at_the_desk.post(reverse("shop:people"), NEW).status_code == 400
    assert not Person.objects.filter(name="Nia").exists()


def test_a_key_of_someone_else_is_not_answered_as_ones_own(at_the_desk, client):
    at_the_desk.post(reverse("shop:people"), NEW | {"once": "key-1"})
    other = Person.objects.create_user("Otto", "a long password", owner=True)
    client.force_login(other)
    assert client.post(reverse("shop:people"), NEW | {"once": "key-1"}).status_code == 409
