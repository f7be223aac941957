"""An enrolled tablet: a PIN or a badge opens the bench, and nothing but the bench."""

import re
import time
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
import time_machine
from django.db import OperationalError, connection
from django.test import Client
from django.utils import timezone

from regrind.shop.models import History, Person, SignInTry, Tablet
from regrind.shop.people import tablet_login
from regrind.shop.people.tablet_actions import enrol, make_badge, revoke, set_pin

pytestmark = pytest.mark.django_db
WHO, PIN = "/shop/who", "2580"


@pytest.fixture
def tablet(client, owner) -> Client:
    """A browser that the owner enrolled and nobody is signed in at."""
    client.force_login(owner)
    answer = client.post("/shop/tablets", {"name": "By the window", "once": "a"})
    assert answer.status_code == 302
    client.post("/shop/sign-out")
    return client


@pytest.fixture
def bea(bench_hand, owner) -> Person:
    set_pin(by=owner, person=bench_hand, pin=PIN)
    return bench_hand


def try_pin(client, person, pin=PIN, **more):
    return client.post(WHO, {"person": person.pk, "pin": pin, **more})


def at(client) -> str:
    return client.session.get("_auth_user_id", "")


def test_the_token_is_a_cookie_that_no_script_reads_and_only_its_hash_is_stored(tablet):
    cookie = tablet.cookies["tablet"]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"
    token, row = cookie.value, Tablet.objects.get()
    assert len(token) >= 64
    assert row.token == tablet_login.digest(token)
    assert token not in "".join(History.objects.values_list("new", flat=True))
    assert row.token not in "".join(History.objects.values_list("new", flat=True))


def test_on_an_enrolled_tablet_the_sign_in_asks_who_is_there_and_a_pin_leads_to_the_page_asked_for(tablet, bea):
    asked = tablet.get("/bench/setups", follow=True)
    assert asked.redirect_chain[-1][0] == "/shop/who?next=%2Fbench%2Fsetups"
    assert bea.name in asked.content.decode()
    keypad = tablet.get(WHO, {"person": bea.pk, "next": "/bench/setups"}).content.decode()
    assert 'data-digit="5"' in keypad
    assert try_pin(tablet, bea, next="/bench/setups")["Location"] == "/bench/setups"
    assert at(tablet) == str(bea.pk)


def test_a_pin_opens_nothing_on_a_device_that_was_never_enrolled(tablet, bea):
    stranger = Client()
    answer = try_pin(stranger, bea)
    assert answer["Location"].startswith("/shop/sign-in")
    assert not at(stranger)
    stranger.cookies["tablet"] = tablet.cookies["tablet"].value[:-1] + "x"  # signed by nobody here
    assert try_pin(stranger, bea)["Location"].startswith("/shop/sign-in")


def test_only_who_may_work_at_the_bench_and_has_a_pin_is_offered(tablet, bea, front_desk, owner):
    set_pin(by=owner, person=front_desk, pin="1379")
    page = tablet.get(WHO).content.decode()
    assert "Bea" in page
    assert "Fay" not in page
    assert "Oda" not in page
    try_pin(tablet, front_desk, "1379")
    assert not at(tablet)


def test_five_wrong_pins_close_the_person_on_that_tablet_for_a_quarter_of_an_hour(tablet, bea):
    assert [try_pin(tablet, bea, "0001").status_code for _ in range(6)] == [422] * 5 + [429]
    assert try_pin(tablet, bea).status_code == 429
    with time_machine.travel(timezone.now() + timedelta(minutes=16)):
        assert try_pin(tablet, bea).status_code == 302
    assert not SignInTry.objects.filter(name__startswith="pin").exists()


def test_another_tablet_and_another_person_are_not_closed_by_that(tablet, bea, owner, front_desk):
    cara = Person.objects.create_user("Cara", "a long password", bench=True)
    set_pin(by=owner, person=cara, pin="9753")
    for _ in range(6):
        try_pin(tablet, bea, "0001")
    assert try_pin(tablet, cara, "9753").status_code == 302
    other = Client()
    other.cookies["tablet"] = enrol(by=owner, name="Other")
    assert try_pin(other, bea).status_code == 302


def test_fifteen_wrong_pins_over_all_tablets_close_the_person_on_every_one(bea, owner):
    tablets = [Client() for _ in range(4)]
    for client in tablets:
        client.cookies["tablet"] = enrol(by=owner, name="One")
    for client in tablets[:3]:
        assert [try_pin(client, bea, "0001").status_code for _ in range(5)] == [422] * 5
    assert try_pin(tablets[3], bea).status_code == 429


def test_a_tablet_stays_enrolled_when_the_shop_is_restored_without_its_key(bea, owner, settings):
    tablet = Client()
    tablet.cookies["tablet"] = enrol(by=owner, name="One")
    settings.SECRET_KEY = "another key, as a new data folder makes one"
    assert try_pin(tablet, bea).status_code == 302
    stranger = Client()
    stranger.cookies["tablet"] = "no token that was ever given"
    assert stranger.get("/shop/who").headers["Location"].startswith("/shop/sign-in")


@pytest.mark.django_db(transaction=True)
def test_tries_that_come_at_once_through_several_workers_never_exceed_the_limit(owner, bench_hand):
    set_pin(by=owner, person=bench_hand, pin=PIN)
    value = enrol(by=owner, name="One")

    def guess(n: int) -> int:
        """SQLite's database in memory says "locked" at once where a file waits for its turn: here it asks again."""
        client = Client()
        client.cookies["tablet"] = value
        while True:
            try:
                return try_pin(client, bench_hand, f"{n:04}").status_code
            except OperationalError as busy:
                if "locked" not in str(busy):
                    raise
                time.sleep(0.01)
            finally:
                connection.close()

    with ThreadPoolExecutor(8) as pool:
        statuses = list(pool.map(guess, range(3000, 3024)))
    assert statuses.count(422) <= 5
    assert set(statuses) <= {422, 429}


def test_a_revoked_tablet_opens_nothing_and_what_was_open_on_it_ends(tablet, bea, owner):
    try_pin(tablet, bea)
    assert tablet.get("/bench/setups").status_code == 200
    revoke(by=owner, tablet=Tablet.objects.get())
    assert tablet.get("/bench/setups").status_code == 302
    assert not at(tablet)
    assert try_pin(tablet, bea)["Location"].startswith("/shop/sign-in")


def test_a_badge_opens_the_bench_and_a_new_one_makes_the_old_one_worthless(tablet, bench_hand, owner):
    old = make_badge(by=owner, person=bench_hand)
    assert tablet.post(WHO, {"badge": old}).status_code == 302
    assert at(tablet) == str(bench_hand.pk)
    new = make_badge(by=owner, person=bench_hand)
    tablet.post("/shop/sign-out")
    assert tablet.post(WHO, {"badge": old}).status_code == 422
    assert tablet.post(WHO, {"badge": new.lower()}).status_code == 302
    assert Person.objects.get(pk=bench_hand.pk).badge == tablet_login.digest(new)


def test_a_badge_scanned_into_the_pin_counts_as_a_badge(tablet, bea, owner):
    cara = Person.objects.create_user("Cara", "a long password", bench=True)
    code = make_badge(by=owner, person=cara)
    assert try_pin(tablet, bea, code).status_code == 302
    assert at(tablet) == str(cara.pk)


def test_the_badges_code_is_shown_once(client, owner, bench_hand):
    client.force_login(owner)
    where = f"/shop/people/{bench_hand.pk}/badge"
    client.post(where, {"once": "b"})
    first, second = client.get(where).content.decode(), client.get(where).content.decode()
    code = re.search(r"B-[0-9A-Z]{26}", first)[0]
    assert Person.objects.get(pk=bench_hand.pk).badge == tablet_login.digest(code)
    assert code not in second
    assert "<svg" in first


def test_office_rights_never_come_with_a_pin_but_the_password_opens_them(tablet, owner):
    set_pin(by=owner, person=owner, pin="1397")
    try_pin(tablet, owner, "1397")
    denied = tablet.get("/shop/settings")
    assert denied.status_code == 403
    assert "Sign in with your password" in denied.content.decode()
    assert "/office/" not in tablet.get("/bench/").content.decode()
    tablet.post("/shop/sign-in", {"name": "Oda", "password": "a long password", "next": "/shop/settings"})
    assert tablet.get("/shop/settings").status_code == 200
    assert tablet.session.get_expiry_age() <= 30 * 60  # on a tablet that many hands hold


def test_handing_over_keeps_the_page_and_asks_who_is_next(tablet, bea):
    try_pin(tablet, bea)
    page = tablet.get("/bench/setups").content.decode()
    assert 'action="/shop/hand-over"' in page
    handed = tablet.post("/shop/hand-over", {"next": "/bench/setups"})
    assert handed["Location"] == "/shop/who?next=%2Fbench%2Fsetups"
    assert not at(tablet)


@pytest.mark.parametrize("page", ["/bench/setups", "/bench/", "/", "/shop/settings", "/shop/tablets", "/review/"])
def test_a_hand_over_from_any_page_lands_on_one_that_the_next_person_may_see(tablet, bea, owner, page):
    """Even the owner, by a PIN, is at the bench alone: a page of the office is not where the PIN leads."""
    set_pin(by=owner, person=owner, pin="1397")
    for person, pin in ((bea, PIN), (owner, "1397")):
        tablet.force_login(owner)
        assert tablet.get(page).status_code == 200
        tablet.post("/shop/hand-over", {"next": page})
        landed = try_pin(tablet, person, pin, next=page)["Location"]
        assert tablet.get(landed).status_code == 200
        assert (landed == page) == (page in {"/", "/bench/", "/bench/setups"})


def test_a_wrong_pin_moves_nothing(tablet, bea):
    """The keypad of the same person stays, with the page that was asked for; nobody is signed in."""
    answer = try_pin(tablet, bea, "9999", next="/bench/setups")
    assert answer.status_code == 422
    assert not at(tablet)
    page = answer.content.decode()
    assert 'data-digit="5"' in page
    assert 'value="/bench/setups"' in page
    assert try_pin(tablet, bea, next="/bench/setups")["Location"] == "/bench/setups"


def test_someone_who_left_opens_nothing(tablet, bea):
    Person.objects.filter(pk=bea.pk).update(is_active=False)
    try_pin(tablet, bea)
    assert not at(tablet)


@pytest.mark.parametrize(
    ("pin", "said"),
    [
        ("123", "four to six digits"),
        ("12a4", "four to six digits"),
        ("٤٤٤٥", "four to six digits"),
        ("1111", "easy to guess"),
        ("3456", "easy to guess"),
        ("9876", "easy to guess"),
        ("8901", "easy to guess"),
        ("", "required"),
    ],
)
def test_a_pin_that_is_none_or_too_plain_is_refused(client, bench_hand, pin, said):
    client.force_login(bench_hand)
    answer = client.post("/shop/pin", {"pin": pin, "again": pin, "once": "c"})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Person.objects.get(pk=bench_hand.pk).pin


def test_a_person_sets_their_own_pin_and_it_is_kept_by_the_password_hasher_alone(client, bench_hand):
    client.force_login(bench_hand)
    assert (
        "The two PINs differ" in client.post("/shop/pin", {"pin": PIN, "again": "2581", "once": "c"}).content.decode()
    )
    assert client.post("/shop/pin", {"pin": PIN, "again": PIN, "once": "d"}).status_code == 302
    kept = Person.objects.get(pk=bench_hand.pk)
    assert "$" in kept.pin
    assert PIN not in kept.pin
    row = History.objects.filter(table="shop_person").order_by("-pk").first()
    assert (row.who, row.event.why) == ("Bea", "PIN set")
    assert kept.pin not in row.new
    assert client.post("/shop/pin", {"do": "remove", "once": "e"}).status_code == 302
    assert not Person.objects.get(pk=bench_hand.pk).pin
