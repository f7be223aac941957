"""One's own account: password, first password, sessions and their end, and what no browser may store."""

import os
import re
import subprocess
import sys
from datetime import timedelta

import pytest
import time_machine
from django.contrib.auth.password_validation import validate_password
from django.contrib.sessions.models import Session
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.core.management.base import CommandError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from regrind.shop.events import Refusal
from regrind.shop.models import Person, PersonSession, SentForm, ShopSettings
from regrind.shop.owner.actions import add_person, change_person
from regrind.shop.people import sign_in_limit
from regrind.shop.people.tablet_actions import enrol, make_badge, set_pin

from .test_hand import PIN, try_pin

pytestmark = pytest.mark.django_db
OLD, NEW = "a long password", "another long password"
ACCOUNT, PASSWORD = "/shop/account", "/shop/account/password"


def signed_in(name="Bea", password=OLD) -> Client:
    client = Client()
    assert client.post("/shop/sign-in", {"name": name, "password": password}).status_code == 302
    return client


def change(client, old=OLD, new=NEW, again=None, once="key-1"):
    again = new if again is None else again
    typed = {"old_password": old, "new_password": new, "password_again": again, "once": once}
    return client.post(PASSWORD, typed)


def is_signed_in(client) -> bool:
    return client.get("/").status_code == 200


def test_a_new_password_needs_the_old_one_and_ends_every_other_session(bench_hand):
    here, there = signed_in(), signed_in()
    assert change(here)["Location"] == ACCOUNT
    assert is_signed_in(here)
    assert not is_signed_in(there)
    assert PersonSession.objects.count() == 1
    assert signed_in(password=NEW)
    assert Client().post("/shop/sign-in", {"name": "Bea", "password": OLD}).status_code == 422


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ({"old": "a wrong password"}, "not your present password"),
        ({"again": "not the same one"}, "The two new passwords differ"),
        ({"new": "short"}, "too short"),
        ({"new": OLD}, "Choose another one"),
        ({"new": ""}, "is required"),
    ],
)
def test_a_new_password_that_does_not_fit_is_refused_beside_its_field(bench_hand, typed, message):
    client = signed_in()
    answer = change(client, **typed)
    assert answer.status_code == 422
    assert message in answer.content.decode()
    assert Person.objects.get(pk=bench_hand.pk).check_password(OLD)


def test_the_old_password_cannot_be_guessed(bench_hand):
    client = signed_in()
    for n in range(5):
        change(client, old=f"guess number {n}", once=f"key-{n}")
    answer = change(client, once="key-9")
    assert "Too many tries" in answer.content.decode()
    assert Person.objects.get(pk=bench_hand.pk).check_password(OLD)


def test_a_password_that_the_owner_made_is_changed_before_anything_else(owner):
    add_person(by=owner, name="Nils", password=OLD, front_desk=False, bench=True, owner=False)
    client = signed_in("Nils")
    assert client.get("/bench/")["Location"] == PASSWORD
    assert client.post("/bench/gauges/new", {"name": "x", "once": "k"})["Location"] == PASSWORD
    assert "Someone else made your present password" in client.get(PASSWORD).content.decode()
    change(client)
    assert client.get("/bench/").status_code == 200


def test_new_passwords_that_are_refused_are_no_tries_of_the_present_one(bench_hand):
    client = signed_in()
    for n in range(7):
        assert change(client, new="short", once=f"key-{n}").status_code == 422
    assert change(client, once="key-9").status_code == 302


def test_a_password_that_the_owner_replaced_is_changed_too(owner, bench_hand):
    roles = {"front_desk": False, "bench": True, "owner": False, "is_active": True, "left_handed": False}
    change_person(by=owner, person=bench_hand, password=NEW, **roles)
    assert Person.objects.get(pk=bench_hand.pk).must_change_password


def test_nobody_changes_their_own_password_without_the_present_one(owner):
    roles = {"front_desk": False, "bench": False, "owner": True, "is_active": True, "left_handed": False}
    with pytest.raises(Refusal, match="asks for the present one"):
        change_person(by=owner, person=owner, password=NEW, **roles)
    client = signed_in("Oda")
    page = client.get(f"/shop/people/{owner.pk}").content.decode()
    assert 'type="password"' not in page
    assert f'href="{ACCOUNT}"' in page
    typed = {"owner": "on", "is_active": "on", "password": NEW, "once": "a"}
    assert client.post(f"/shop/people/{owner.pk}", typed).status_code == 302
    assert Person.objects.get(pk=owner.pk).check_password(OLD)


@pytest.mark.parametrize("how", [{"password": NEW}, {"is_active": False}])
def test_who_leaves_or_gets_a_new_password_has_no_open_session_on_the_list(owner, bench_hand, how):
    client = signed_in()
    roles = {"front_desk": False, "bench": True, "owner": False, "is_active": True, "left_handed": False}
    change_person(by=owner, person=bench_hand, **roles | how)
    assert not PersonSession.objects.filter(person=bench_hand).exists()
    assert not is_signed_in(client)


def test_the_only_owner_who_lost_the_password_gets_a_new_one_on_the_computer(owner, capsys):
    there = signed_in("Oda")
    for _ in range(6):
        Client().post("/shop/sign-in", {"name": "Oda", "password": "forgotten"})
    call_command("new_password", "oda")
    password = re.search(r"name Oda, password (\S+)", capsys.readouterr().out)[1]
    assert not is_signed_in(there)
    assert not PersonSession.objects.exists()
    here = signed_in("Oda", password)
    assert here.get("/")["Location"] == PASSWORD
    assert change(here, old=password).status_code == 302
    assert is_signed_in(here)


def test_a_new_password_on_the_computer_is_for_somebody_who_may_sign_in(owner, bench_hand):
    Person.objects.filter(pk=bench_hand.pk).update(is_active=False)
    with pytest.raises(CommandError, match="Bea is inactive"):
        call_command("new_password", "Bea")
    with pytest.raises(CommandError, match="Names: Bea, Oda"):
        call_command("new_password", "Carl")
    assert Person.objects.get(pk=owner.pk).check_password(OLD)


def test_the_first_owner_chooses_a_password_at_once(capsys):
    call_command("first_owner")
    assert Person.objects.get().must_change_password
    printed = capsys.readouterr().out
    assert "This is a new, empty shop in " in printed
    assert "asks for your own password" in printed


def test_a_session_unused_for_the_limit_ends_and_one_in_use_does_not(bench_hand, settings):
    client, start = signed_in(), timezone.now()
    for hours in (7, 14, 21):
        with time_machine.travel(start + timedelta(hours=hours), tick=False):
            assert is_signed_in(client)
    assert PersonSession.objects.get().last_used > start + timedelta(hours=20)
    with time_machine.travel(start + timedelta(hours=21) + settings.IDLE_LIMIT + timedelta(minutes=1), tick=False):
        assert not is_signed_in(client)
    assert not PersonSession.objects.exists()


def test_a_person_ends_one_of_their_sessions_on_another_device(bench_hand):
    here, lost = signed_in(), signed_in()
    row = PersonSession.objects.get(session_key=lost.session.session_key)
    page = here.get(ACCOUNT).content.decode()
    assert "this session" in page
    assert f'value="{row.pk}"' in page
    assert here.post("/shop/account/end-session", {"session": row.pk, "once": "a"}).status_code == 302
    assert not is_signed_in(lost)
    assert is_signed_in(here)
    assert here.post("/shop/account/end-session", {"session": row.pk, "once": "b"}).status_code == 422


@pytest.mark.parametrize(
    ("described", "name"),
    [
        ("Mozilla/5.0 (Linux; Android 14) AppleWebKit/537.36 Chrome/126.0 Mobile Safari/537.36", "Chrome, Android"),
        ("Mozilla/5.0 (iPad; CPU OS 17_5 like Mac OS X) Version/17.5 Safari/604.1", "Safari, iPad"),
        ("Mozilla/5.0 (Windows NT 10.0; Win64) Chrome/126.0 Safari/537.36 Edg/126.0", "Edge, Windows"),
        ("curl/8.5", "unknown device"),
    ],
)
def test_a_session_names_its_device(described, name):
    assert PersonSession(device=described).device_name == name


def test_nobody_ends_the_session_of_somebody_else(bench_hand, owner):
    hers, mine = signed_in(), signed_in("Oda")
    row = PersonSession.objects.get(person=bench_hand)
    assert mine.post("/shop/account/end-session", {"session": row.pk, "once": "a"}).status_code == 422
    assert is_signed_in(hers)


def test_signing_out_ends_the_session_and_its_row(bench_hand):
    client = signed_in()
    client.post("/shop/sign-out")
    assert not PersonSession.objects.exists()
    assert not Session.objects.exists()


@pytest.fixture
def on_tablet(owner, bench_hand) -> Client:
    """A tablet on which Bea has opened the bench by her PIN."""
    set_pin(by=owner, person=bench_hand, pin=PIN)
    client = Client()
    client.cookies["tablet"] = enrol(by=owner, name="One")
    assert try_pin(client, bench_hand).status_code == 302
    assert client.get("/bench/").status_code == 200
    return client


@pytest.mark.parametrize("pin", ["", "1379"])
def test_taking_a_pin_away_or_changing_it_ends_its_session(on_tablet, owner, bench_hand, pin):
    set_pin(by=owner, person=bench_hand, pin=pin)
    assert on_tablet.get("/bench/").status_code == 302


def test_a_new_badge_ends_the_session_of_the_old_one_and_leaves_that_of_the_pin(on_tablet, owner, bench_hand):
    by_badge = Client()
    by_badge.cookies["tablet"] = on_tablet.cookies["tablet"].value
    code = make_badge(by=owner, person=bench_hand)
    assert by_badge.post("/shop/who", {"badge": code}).status_code == 302
    assert by_badge.get("/bench/").status_code == 200
    make_badge(by=owner, person=bench_hand)
    assert by_badge.get("/bench/").status_code == 302
    assert on_tablet.get("/bench/").status_code == 200
    assert set(PersonSession.objects.values_list("opened_with", flat=True)) == {"PIN"}


@pytest.mark.parametrize("where", ["/", "/bench/", ACCOUNT, "/search?q=4", "/shop/echo?text=1/4"])
def test_no_browser_stores_a_page_with_data(bench_hand, where):
    assert "no-store" in signed_in().get(where)["Cache-Control"]


def test_a_password_is_in_no_hash_of_a_form_and_is_never_stashed(bench_hand, client):
    here = signed_in()
    change(here, once="one-key")
    first = SentForm.objects.get(key="one-key").digest
    answer = change(here, old=NEW, new="a third long password", once="one-key")
    assert answer["Location"] == ACCOUNT  # the same form by its hash: the passwords are no part of it
    assert SentForm.objects.get(key="one-key").digest == first
    assert change(client, once="lost")["Location"].startswith("/shop/sign-in")
    assert "pending_post" not in client.session


def test_a_try_is_counted_before_the_password_is_checked(bench_hand, client, monkeypatch):
    counted = []

    def check(request, **credentials):
        counted.append(sign_in_limit.recent().filter(name="name:Bea").count())

    monkeypatch.setattr("regrind.shop.people.sign_in_views.authenticate", check)
    statuses = [client.post("/shop/sign-in", {"name": "bea", "password": "wrong"}).status_code for _ in range(8)]
    assert counted == [1, 2, 3, 4, 5]
    assert statuses == [422] * 5 + [429] * 3


def test_spellings_of_one_name_have_one_limit_and_a_pins_key_is_no_name(bench_hand, client):
    for name in ("bea", "BEA", "Bea", "bEA", "beA"):
        assert client.post("/shop/sign-in", {"name": name, "password": "wrong"}).status_code == 422
    assert client.post("/shop/sign-in", {"name": "Bea", "password": OLD}).status_code == 429
    client.post("/shop/sign-in", {"name": f"pin:{bench_hand.pk}", "password": "wrong"})
    assert not sign_in_limit.recent().filter(name=f"pin:{bench_hand.pk}").exists()


def test_a_name_in_other_capitals_is_taken(owner, client):
    client.force_login(owner)
    typed = {"name": "oDA", "password": NEW, "bench": "on", "once": "a"}
    assert "There is a person named oDA already" in client.post("/shop/people", typed).content.decode()


@pytest.mark.parametrize(("tls", "prefix"), [("1", "__Host-"), ("", "")])
def test_with_tls_no_other_host_can_set_our_cookies(tls, prefix, tmp_path):
    """RFC 6265bis, 4.1.3.2: browsers take a __Host- cookie only with Secure, the path / and no domain."""
    ask = (
        "from django.conf import settings as s; from regrind.shop.people.tablet_login import COOKIE;"
        "print(s.SESSION_COOKIE_NAME, s.CSRF_COOKIE_NAME, COOKIE,"
        " s.SESSION_COOKIE_SECURE and s.CSRF_COOKIE_SECURE, s.SESSION_COOKIE_PATH, s.SESSION_COOKIE_DOMAIN)"
    )
    environment = os.environ | {
        "REGRIND_TLS": tls,
        "REGRIND_DATA": str(tmp_path),
        "DJANGO_SETTINGS_MODULE": "regrind.settings",
    }
    command = [sys.executable, "-c", f"import django; django.setup(); {ask}"]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
    names = [f"{prefix}{name}" for name in ("sessionid", "csrftoken", "tablet")]
    assert done.stdout.split() == [*names, str(bool(tls)), "/", "None"]


def test_a_request_of_an_ended_session_takes_no_newer_cookie_away(client, bench_hand):
    """A draft on its way while the same browser signs in anew in another tab: its answer must not sign that one out."""
    client.force_login(bench_hand)
    Session.objects.all().delete()
    late = client.post(reverse("shop:draft"), {"form": "/x", "content": "[]", "sequence": "1"})
    assert late.status_code == 302
    assert "sessionid" not in late.cookies
    client.force_login(bench_hand)
    assert client.post(reverse("shop:sign_out")).cookies["sessionid"].value == ""


@pytest.mark.parametrize("change", [{"is_active": False}, {"password": "another long one"}])
def test_who_leaves_or_gets_a_new_password_is_signed_out_at_once(client, owner, bench_hand, change):
    client.force_login(bench_hand)
    assert client.get("/").status_code == 200
    roles = {"front_desk": False, "bench": True, "owner": False, "is_active": True, "left_handed": False}
    change_person(by=owner, person=bench_hand, **roles | change)
    assert client.get("/").status_code == 302


@pytest.mark.parametrize("password", ["Brightside Grinding", "regrindregrind", "bea-bench-123", "Owner Owner 1"])
def test_a_password_of_the_shops_own_words_is_refused(bench_hand, password):
    ShopSettings.objects.create(name="Brightside Grinding")
    with pytest.raises(ValidationError, match="anybody who knows the shop"):
        validate_password(password, bench_hand)


def test_a_password_that_only_contains_such_a_word_is_taken(bench_hand):
    validate_password("seven wet bench dogs", bench_hand)


def test_no_page_answers_trace(client, bench_hand):
    client.force_login(bench_hand)
    assert client.generic("TRACE", "/").status_code == 405


def test_files_carry_the_policy_and_no_guessing_too(client, settings):
    answer = client.get("/service-worker.js")
    assert answer.status_code == 200
    assert "frame-ancestors 'none'" in answer["Content-Security-Policy"]
    assert answer["X-Content-Type-Options"] == "nosniff"
