from datetime import timedelta

import pytest
import time_machine
from django.urls import reverse
from django.utils import timezone

from regrind.shop.models import SignInTry

pytestmark = pytest.mark.django_db
PAGE = "/shop/sign-in"


def sign_in(client, name="Bea", password="a long password", **more):
    return client.post(PAGE, {"name": name, "password": password, **more})


def test_a_stranger_is_redirect_to_the_sign_in_and_back(client, bench_hand):
    asked = client.get(reverse("today:search") + "?q=417")
    assert asked.status_code == 302
    assert asked["Location"].startswith(PAGE)
    assert sign_in(client, next="/search?q=417")["Location"] == "/search?q=417"


def test_a_fragment_without_sign_in_sends_the_whole_page_there(client):
    answer = client.get("/", headers={"HX-Request": "true", "HX-Current-URL": "http://testserver/search?q=4"})
    assert answer["HX-Redirect"].startswith(PAGE + "?next=")
    assert "search" in answer["HX-Redirect"]


def test_the_name_counts_whatever_its_capitals(client, bench_hand):
    assert sign_in(client, name="bEA").status_code == 302


def test_no_way_out_of_the_shop_by_next(client, bench_hand):
    assert sign_in(client, next="https://example.com/")["Location"] == "/"


def test_wrong_passwords_close_the_name_and_the_right_one_is_then_refused_too(client, bench_hand):
    for _ in range(5):
        assert sign_in(client, password="wrong").status_code in (422, 429)
    assert sign_in(client).status_code == 429
    with time_machine.travel(timezone.now() + timedelta(minutes=16)):
        assert sign_in(client).status_code == 302
    assert not SignInTry.objects.filter(name="name:Bea").exists()


def test_many_names_from_one_address_close_the_address(client, bench_hand):
    SignInTry.objects.bulk_create([SignInTry(name=f"n{k}", address="127.0.0.1") for k in range(30)])
    assert sign_in(client).status_code == 429


def test_someone_who_left_cannot_sign_in(client, bench_hand):
    bench_hand.is_active = False
    bench_hand.save(update_fields=["is_active"])
    assert sign_in(client).status_code == 422


def test_one_tap_sign_in_exists_in_the_demo_alone(client, bench_hand, settings):
    address = reverse("shop:demo_sign_in")
    assert client.post(address, {"person": bench_hand.pk})["Location"].startswith(PAGE)
    assert "_auth_user_id" not in client.session
    settings.DEMO = True
    assert client.post(address, {"person": bench_hand.pk})["Location"] == "/"
    assert client.session["_auth_user_id"] == str(bench_hand.pk)


def test_control_characters_are_refused_everywhere(client, bench_hand):
    client.force_login(bench_hand)
    assert client.get("/search", {"q": "a\x00b"}).status_code == 400


def test_every_answer_carries_the_policy(client):
    answer = client.get(PAGE)
    assert "default-src 'none'" in answer["Content-Security-Policy"]
    assert "unsafe" not in answer["Content-Security-Policy"]
