"""A session that lapsed while someone typed: signing in again leads back to what was typed, and it is saved once."""

import re

import pytest
from django.contrib.sessions.models import Session
from django.test import Client

from regrind.shop.models import Person
from regrind.shop.posts import pending_post

pytestmark = pytest.mark.django_db
NEW = {"name": "Nia", "pin": "", "front_desk": "on", "once": "key-1"}
GAUGE = {"name": "Indicator 7", "what": "indicator", "resolution": ".0001", "in_use": "on", "once": "key-2"}
WHERE = "/bench/gauges"


def sign_in(client, answer, name="Bea"):
    assert answer.status_code == 302
    return client.post("/shop/sign-in", {"name": name, "password": "a long password", "next": "/shop/unsaved"})


def hidden(page: str) -> list[tuple[str, str]]:
    form = re.search(r'<form method="post" action="/bench/gauges">(.*?)</form>', page, re.S)[1]
    return re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', form)


def test_what_was_sent_after_the_session_lapsed_is_offered_after_the_sign_in_and_saved_as_it_was(client, bench_hand):
    sent = client.post(WHERE, GAUGE)
    assert "next=%2Fshop%2Funsaved" in sent["Location"]
    assert sign_in(client, sent)["Location"] == "/shop/unsaved"
    page = client.get("/shop/unsaved").content.decode()
    assert "Indicator 7" in page
    assert dict(hidden(page)) | {"csrfmiddlewaretoken": ""} == GAUGE | {"csrfmiddlewaretoken": ""}
    assert client.post(WHERE, dict(hidden(page))).status_code == 302
    assert "Indicator 7" in client.get(WHERE).content.decode()
    assert client.get("/shop/unsaved")["Location"] == "/"  # saved: held no longer


def test_a_page_of_before_the_last_sign_in_is_held_where_it_was_a_page_of_ours(bench_hand):
    client = Client(enforce_csrf_checks=True)
    client.force_login(bench_hand)
    page = client.get(WHERE).content.decode()
    old = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page)[1]
    client.cookies["csrftoken"] = "x" * 32  # signed in anew in another tab
    ours = client.post(WHERE, GAUGE | {"csrfmiddlewaretoken": old}, headers={"Origin": "http://testserver"})
    assert ours["Location"] == "/shop/unsaved"
    assert "Indicator 7" in client.get("/shop/unsaved").content.decode()
    client.post("/shop/unsaved")
    theirs = client.post(WHERE, GAUGE | {"csrfmiddlewaretoken": old}, headers={"Origin": "http://elsewhere.example"})
    assert theirs.status_code == 403
    nowhere = client.post(WHERE, GAUGE | {"csrfmiddlewaretoken": old})
    assert nowhere.status_code == 403


def test_it_can_be_dropped(client, bench_hand):
    sign_in(client, client.post(WHERE, GAUGE))
    dropped = client.post("/shop/unsaved", {"csrfmiddlewaretoken": "", "x": ""})
    assert dropped["Location"] == WHERE
    assert client.get("/shop/unsaved")["Location"] == "/"


ADDRESS, SENDER = "/shop/hand-over", "http://testserver/bench/?x=1"  # takes forms alone; the page it stands on


def test_a_form_whose_address_is_no_page_leads_back_to_the_page_it_was_sent_from(client, bench_hand):
    sent = client.post(ADDRESS, {"once": "key-3"}, headers={"Referer": SENDER})
    sign_in(client, sent)
    assert client.post("/shop/unsaved")["Location"] == "/bench/?x=1"
    client.post("/shop/sign-out")
    for address in ("/shop/sign-out", ADDRESS):
        without_key = client.post(address, headers={"Referer": SENDER})
        assert without_key["Location"] == "/shop/sign-in?next=/bench/%3Fx%3D1"
    elsewhere = client.post(WHERE, headers={"Referer": "http://elsewhere.example/bench/1-1/"})
    assert elsewhere["Location"] == f"/shop/sign-in?next={WHERE}"


def test_a_forms_address_opened_as_a_page_says_so(client, bench_hand):
    client.force_login(bench_hand)
    answer = client.get(ADDRESS)
    assert answer.status_code == 405
    assert answer["Allow"] == "POST"
    assert "only takes a sent form" in answer.content.decode()


@pytest.mark.parametrize("sent", [{"name": "no key"}, GAUGE | {"password": "secret"}, GAUGE | {"note": "x" * 30_000}])
def test_no_key_a_password_or_a_very_long_text_is_not_held(client, bench_hand, sent):
    answer = client.post(WHERE, sent)
    assert answer["Location"].startswith("/shop/sign-in?next=/bench")
    assert "pending_post" not in client.session


def test_who_signs_in_may_only_do_what_they_may(client, front_desk):
    sign_in(client, client.post(WHERE, GAUGE), "Fay")
    assert client.post(WHERE, dict(hidden(client.get("/shop/unsaved").content.decode()))).status_code == 403


def test_a_form_sent_by_script_is_told_where_to_go_and_when_nobody_is_signed_in(client, bench_hand):
    headers = {"X-Tab": "1"}
    assert client.post(WHERE, GAUGE, headers=headers).status_code == 401
    client.force_login(bench_hand)
    for _ in range(2):
        answer = client.post(WHERE, GAUGE, headers=headers)
        assert (answer.status_code, answer["X-Go-To"]) == (204, WHERE)
    assert "Saved Indicator 7" in client.get(WHERE).content.decode()  # what it said waits for the page
    assert client.post(WHERE, {"once": "k"}, headers=headers).status_code == 422
    assert not Person.objects.filter(name="Nia").exists()


def test_strangers_cannot_fill_the_shop_with_held_forms(client, db, monkeypatch):
    monkeypatch.setattr(pending_post, "MOST_SESSIONS", 5)
    for n in range(12):
        client.cookies.clear()
        client.post("/receiving/new", {"once": f"k{n}", "note": "x" * 1_000})
    assert Session.objects.count() == 5
    monkeypatch.setattr(pending_post, "MOST_SESSIONS", 12)  # the bound is what held it back
    client.cookies.clear()
    client.post("/receiving/new", {"once": "one more"})
    assert Session.objects.count() == 6
