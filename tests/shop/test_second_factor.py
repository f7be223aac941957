"""The code from a phone. RFC 6238's own test vectors; each code once; lost phones; who needs one."""

import re
from datetime import timedelta

import pytest
import time_machine
import zxingcpp
from django.core.management import CommandError, call_command
from django.urls import reverse
from django.utils import timezone

from regrind.shop.models import History, Person, PersonSession
from regrind.shop.people import second_factor, totp

WORD = {"present_password": "a long password"}
NOON = "2026-06-17T12:00:00Z"


@pytest.mark.parametrize(
    ("seconds", "code"),
    [
        (59, "94287082"),
        (1111111109, "07081804"),
        (1111111111, "14050471"),
        (1234567890, "89005924"),
        (2000000000, "69279037"),
        (20000000000, "65353130"),
    ],
)
def test_codes_are_those_of_the_standard(seconds, code):
    """RFC 6238, Appendix B: key "12345678901234567890", SHA-1, eight digits."""
    assert totp.code_of(b"12345678901234567890", seconds // totp.STEP_S, digits=8) == code


@pytest.mark.parametrize(("count", "code"), [*enumerate(["755224", "287082", "359152", "969429", "338314"])])
def test_codes_by_count_are_those_of_the_standard(count, code):
    """RFC 4226, Appendix D."""
    assert totp.code_of(b"12345678901234567890", count) == code


@pytest.fixture
def phone(owner):
    """The owner with a second factor; phone() is the code that the phone shows now."""
    seed = second_factor.new_seed()
    second_factor.set_up(by=owner, seed=seed, step=0)
    return lambda shift=0: totp.code_of(second_factor.key_of(seed), totp.present_step() + shift)


def password(client, name="Oda", **more):
    return client.post("/shop/sign-in", {"name": name, "password": "a long password", **more})


def enter(client, code):
    return client.post(reverse("shop:code"), {"code": code, "next": "/search?q=417"})


def is_in(client):
    return "_auth_user_id" in client.session


@pytest.mark.django_db
def test_the_password_alone_signs_nobody_in_and_the_code_does(client, owner, phone):
    answer = password(client, next="/search?q=417")
    assert answer["Location"] == reverse("shop:code") + "?next=%2Fsearch%3Fq%3D417"
    assert not is_in(client)
    assert client.get("/").status_code == 302
    assert enter(client, phone()[:3] + " " + phone()[3:])["Location"] == "/search?q=417"
    assert is_in(client)
    assert PersonSession.objects.get().opened_with == "password and code"


@pytest.mark.django_db
def test_without_the_password_no_code_is_asked_for(client, owner, phone):
    assert client.get(reverse("shop:code"))["Location"] == reverse("shop:sign_in")
    assert enter(client, phone()).status_code == 302
    client.post("/shop/sign-in", {"name": "Oda", "password": "wrong"})
    assert enter(client, phone())["Location"] == reverse("shop:sign_in")
    assert not is_in(client)


@pytest.mark.django_db
def test_a_code_counts_once_and_not_for_long(client, owner, phone):
    with time_machine.travel(NOON, tick=False) as clock:
        code = phone()
        password(client)
        assert enter(client, phone(-2)).status_code == 422
        assert enter(client, code).status_code == 302
        client.post(reverse("shop:sign_out"))
        password(client)
        assert enter(client, code).status_code == 422  # somebody who looked over a shoulder
        assert enter(client, phone(-1)).status_code == 422  # nor an older one
        clock.shift(30)
        assert enter(client, phone()).status_code == 302


@pytest.mark.django_db
def test_tries_are_limited_and_the_wait_for_a_code_ends(client, owner, phone):
    password(client)
    answers = [enter(client, "000000").status_code for _ in range(6)]
    assert answers[-1] == 429
    assert enter(client, phone()).status_code == 429
    with time_machine.travel(timezone.now() + timedelta(minutes=6)):
        assert enter(client, phone())["Location"] == reverse("shop:sign_in")


@pytest.mark.django_db
@pytest.mark.parametrize("typed", ["12345", "12345a", "１２３４５６", "1234567"])
def test_what_is_no_code_is_refused_without_a_try(client, owner, phone, typed):
    password(client)
    assert b"six digits" in enter(client, typed).content
    assert enter(client, phone()).status_code == 302


@pytest.mark.django_db
def test_who_left_meanwhile_gets_no_further(client, owner, phone):
    password(client)
    Person.objects.filter(pk=owner.pk).update(is_active=False)
    assert enter(client, phone())["Location"] == reverse("shop:sign_in")


def key_on(page):
    return re.search(r"type the key <code>([A-Z2-7 ]+)</code>", page)[1].replace(" ", "")


def read_path(page):
    """The drawn code, read back by a decoder."""
    import numpy

    side = int(re.search(r'viewBox="0 0 (\d+) ', page)[1])
    picture = numpy.full((side, side), 255, numpy.uint8)
    for x, y in re.findall(r"M(\d+) (\d+)h1v1", page):
        picture[int(y), int(x)] = 0
    [code] = zxingcpp.read_barcodes(picture.repeat(6, axis=0).repeat(6, axis=1))
    return code.text


@pytest.mark.django_db
def test_setting_up_a_phone(client, owner):
    import base64

    password(client)
    page = client.get(reverse("shop:second_factor")).content.decode()
    text = key_on(page)
    assert text in read_path(page)
    key = base64.b32decode(text)
    assert client.post(reverse("shop:second_factor"), {"code": "000000", "once": "a"} | WORD).status_code == 422
    assert not Person.objects.get(pk=owner.pk).totp_seed
    now = totp.code_of(key, totp.present_step())
    wrong = {"code": now, "once": "a", "present_password": "left open"}
    assert client.post(reverse("shop:second_factor"), wrong).status_code == 422
    assert not Person.objects.get(pk=owner.pk).totp_seed
    assert client.post(reverse("shop:second_factor"), {"code": now, "once": "a"} | WORD).status_code == 302
    assert Person.objects.get(pk=owner.pk).totp_seed
    assert key_on(client.get(reverse("shop:second_factor")).content.decode()) != text  # the next phone's
    client.post(reverse("shop:sign_out"))
    password(client)
    with time_machine.travel(timezone.now() + timedelta(seconds=40)):
        assert enter(client, totp.code_of(key, totp.present_step())).status_code == 302


@pytest.mark.django_db
def test_wrong_codes_of_a_new_phone_are_no_tries_of_the_password(client, owner):
    password(client)
    for n in range(7):
        answer = client.post(reverse("shop:second_factor"), {"code": "000000", "once": f"{n}"} | WORD)
        assert "not the present code of this key" in answer.content.decode()


@pytest.mark.django_db
def test_nobody_removes_their_own_phone_without_the_password(client, owner, phone):
    client.force_login(owner)
    assert "Remove the phone" not in client.get(reverse("shop:person", args=[owner.pk])).content.decode()
    answer = client.post(reverse("shop:remove_second_factor", args=[owner.pk]), {"once": "a"})
    assert "asks for your password" in answer.content.decode()
    assert Person.objects.get(pk=owner.pk).totp_seed


@pytest.mark.django_db
def test_where_the_shop_needs_it_office_and_owner_set_it_up_first(client, owner, front_desk, bench_hand, settings):
    settings.SECOND_FACTOR = True
    for name in ("Oda", "Fay"):
        password(client, name)
        assert client.get("/")["Location"] == reverse("shop:second_factor")
        assert client.get(reverse("shop:second_factor")).status_code == 200
        client.post(reverse("shop:sign_out"))
    password(client, "Bea")
    assert client.get("/").status_code == 200
    settings.SECOND_FACTOR = False
    password(client, "Oda")
    assert client.get("/").status_code == 200


@pytest.mark.django_db
def test_it_is_taken_away_by_oneself_only_where_the_shop_does_not_need_it(client, owner, phone, settings):
    password(client)
    enter(client, phone())
    settings.SECOND_FACTOR = True
    assert client.post(reverse("shop:second_factor"), {"do": "remove", "once": "a"} | WORD).status_code == 422
    assert Person.objects.get(pk=owner.pk).totp_seed
    settings.SECOND_FACTOR = False
    assert client.post(reverse("shop:second_factor"), {"do": "remove", "once": "a"}).status_code == 422
    assert b"present_password" in client.get(reverse("shop:second_factor") + "?do=remove").content
    assert client.post(reverse("shop:second_factor"), {"do": "remove", "once": "a"} | WORD).status_code == 302
    assert not Person.objects.get(pk=owner.pk).totp_seed


@pytest.mark.django_db
def test_a_lost_phone_is_removed_by_an_owner_or_on_the_computer(client, owner, front_desk, phone, capsys):
    second_factor.set_up(by=front_desk, seed="x", step=0)
    client.force_login(owner)
    assert "Remove the phone" in client.get(reverse("shop:person", args=[front_desk.pk])).content.decode()
    client.post(reverse("shop:remove_second_factor", args=[front_desk.pk]), {"once": "a"})
    assert not Person.objects.get(pk=front_desk.pk).totp_seed
    call_command("end_second_factor", "oda")
    assert not Person.objects.get(pk=owner.pk).totp_seed
    with pytest.raises(CommandError, match=r"nobody named 'Nia'. Names: Fay, Oda"):
        call_command("end_second_factor", "Nia")


@pytest.mark.django_db
def test_neither_database_nor_history_holds_a_key(owner, phone, settings):
    seed = Person.objects.get(pk=owner.pk).totp_seed
    assert seed not in "".join(History.objects.values_list("new", flat=True))
    before = second_factor.key_of(seed)
    settings.SECRET_KEY = "another signing key " * 4
    assert second_factor.key_of(seed) != before  # a backup alone makes no code
