import json

import pytest
from django.urls import reverse

from regrind.shop.models import Draft, Person

pytestmark = pytest.mark.django_db
PAGE = "/shop/people"
TYPED = json.dumps([["name", "Nia"], ["bench", "on"]])


@pytest.fixture
def desk(client, owner):
    client.force_login(owner)
    return client


def keep(client, sequence=1, content=TYPED, form=PAGE, once=""):
    sent = {"form": form, "sequence": sequence, "content": content, "key": once}
    return client.post(reverse("shop:draft"), sent).status_code


def kept(client, form=PAGE):
    return client.get(reverse("shop:draft"), {"form": form}).json()["content"]


def test_what_was_typed_is_given_back_to_its_writer_alone(desk, client, bench_hand):
    assert keep(desk) == 204
    assert kept(desk) == TYPED
    assert kept(desk, "/shop/settings") == ""
    client.force_login(bench_hand)
    assert kept(client) == ""


def test_a_draft_that_comes_late_changes_nothing(desk):
    keep(desk, 5, '[["name", "newer"]]')
    keep(desk, 4, '[["name", "older"]]')
    assert "newer" in kept(desk)
    assert Draft.objects.count() == 1


def test_the_save_drops_the_draft_and_a_refusal_does_not(desk):
    keep(desk)
    form = {"name": "ODA", "password": "a long password", "bench": "on", "once": "a"}
    assert desk.post(PAGE, form).status_code == 422
    assert kept(desk) == TYPED
    assert desk.post(PAGE, form | {"name": "Nia"}).status_code == 302
    assert kept(desk) == ""


def test_a_draft_that_comes_later_than_its_own_save_is_not_offered(desk):
    """A tap on the button leaves the field: the draft and the save are under way together."""
    nia = {"name": "Nia", "password": "a long password", "bench": "on"}
    assert desk.post(PAGE, nia | {"once": "a"}).status_code == 302
    assert keep(desk, once="a") == 204
    assert kept(desk) == ""
    assert keep(desk, sequence=2, once="b") == 204
    assert kept(desk) == TYPED


def test_drafts_that_came_later_than_their_saves_go_with_the_next_save(desk):
    nia = {"name": "Nia", "password": "a long password", "bench": "on"}
    assert desk.post(PAGE, nia | {"once": "a"}).status_code == 302
    keep(desk, once="a")
    keep(desk, form="/shop/settings", once="not sent yet")
    assert desk.post(PAGE, nia | {"name": "Pia", "once": "b"}).status_code == 302
    assert [draft.form for draft in Draft.objects.all()] == ["/shop/settings"]


def test_its_writer_may_drop_it(desk):
    keep(desk)
    assert desk.post(reverse("shop:draft"), {"form": PAGE}).status_code == 204
    assert not Draft.objects.exists()


@pytest.mark.parametrize(
    ("sequence", "content"),
    [
        ("x", TYPED),
        ("-1", TYPED),
        ("9" * 30, TYPED),
        (1, "no JSON"),
        (1, '{"a": 1}'),
        (1, "[[1, 2]]"),
        (1, "[" * 5000),
        (1, json.dumps([["a", "x" * 20_000]])),
    ],
)
def test_what_is_no_draft_is_refused(desk, sequence, content):
    assert keep(desk, sequence, content) == 422
    assert not Draft.objects.exists()


def test_a_draft_goes_with_its_person(owner):
    Draft.objects.create(person=owner, form=PAGE, sequence=1, content=TYPED)
    Person.objects.filter(pk=owner.pk).delete()
    assert not Draft.objects.exists()
