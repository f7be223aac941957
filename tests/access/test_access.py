"""The access table against the program: every URL × role × method."""

from contextlib import contextmanager
from itertools import product

import pytest
from django.db import transaction
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from regrind.bench.planning.actions import decide
from regrind.office import actions as office
from regrind.office.bills.making import make_bill
from regrind.office.bills.terms import keep_terms
from regrind.office.issuing import issue
from regrind.office.mail_models import Mail
from regrind.office.quote_models import QuotePhoto
from regrind.office.quotes.making import make_link, make_quote
from regrind.office.tool_page.codes import code_of, make_code
from regrind.receiving.actions import complain, follow
from regrind.record.actions import merge_families
from regrind.record.contacts import keep_address, keep_contact
from regrind.record.models import Family, Tool
from regrind.record.moves import move
from regrind.shop.models import Person, Tablet
from regrind.shop.owner.actions import save_shop_settings
from regrind.shop.people.access import BY_PIN
from regrind.shop.people.tablet_actions import set_pin
from regrind.shop.people.tablet_login import OPENED_WITH, opened_with
from tests.bench.photo_maker import photo_of

from .table import ANYONE, BY_PASSWORD, TABLE, Row

pytestmark = pytest.mark.django_db
ROLES = ("front_desk", "bench", "owner")
SIGN_IN = "/shop/sign-in"


def every_url(resolver=None, namespace=()):
    for entry in (resolver or get_resolver()).url_patterns:
        if isinstance(entry, URLResolver):
            yield from every_url(entry, (*namespace, *([entry.namespace] if entry.namespace else [])))
        elif isinstance(entry, URLPattern):
            yield ":".join((*namespace, entry.name or str(entry.pattern)))


def test_every_url_has_a_row_and_every_row_a_url():
    assert sorted(set(every_url())) == sorted(row.name for row in TABLE)


@pytest.fixture
def world(make_batch, bench_hand, front_desk, owner, family, gauges, wheel, holding, settings, tmp_path):
    """A batch 417 with a parcel, and one row of everything that an address may name."""
    batch = make_batch(2, number=417)
    pieces = list(batch.pieces.select_related("batch"))
    for to in ("inspected", "ready_to_grind", "ground"):
        move(pieces=pieces[:1], to=to, by=bench_hand)
    move(pieces=pieces[:1], to="released", by=bench_hand, result="ground")
    office.set_prices(by=front_desk, prices={batch.lines.get(): 750})
    parcel = office.send_parcel(by=front_desk, batch=batch, pieces=pieces[:1])
    move(pieces=pieces[1:], to="inspected", by=bench_hand)
    decide(by=bench_hand, pieces=pieces[1:], expected={}, decision="ask", reason="small", grinds="sides")
    settings.PUBLIC_ADDRESS = "https://tools.example"
    photo = photo_of(batch.lines.get(), by=bench_hand)
    quote = make_quote(by=front_desk, batch=batch, photos={photo.pk})
    token = make_link(by=front_desk, quote=quote)
    again = make_batch(1, number=418).pieces.get()
    complain(by=bench_hand, piece=again, earlier=batch.pieces.get(status="left"), reason="chips")
    keep_terms(by=owner, customer=None, tax="O", tax_reason="not taxed")
    keep_contact(by=owner, customer=batch.customer, name="Ann Lund")
    keep_address(by=owner, customer=batch.customer, street="1 Mill Road")
    twin = Family.objects.create(kind="square", nominal_nm=family.nominal_nm, teeth=3, maker="twin")
    merge = merge_families(by=owner, family=twin, into=family)
    paper = issue(by=front_desk, kind="job_sheet", number="417")
    follow(by=front_desk, piece=again)
    save_shop_settings(by=owner, tool_pages=True)
    followed = Tool.objects.get()
    settings.BACKUPS = tmp_path
    backup = tmp_path / "regrind-20260101T020000Z-unsealed.tar"
    backup.write_bytes(b"a backup")
    return {
        "{photo}": photo.pk,
        "{event}": photo.event_id,
        "{backup}": backup.name,
        "{merge}": merge.pk,
        "{paper}": paper.pk,
        "{token}": token,
        "{tag}": followed.tag,
        "{code}": code_of(make_code(by=owner, tool=followed)),
        "{quote_photo}": QuotePhoto.objects.get().pk,
        "{mail}": Mail.objects.create(
            kind="received", batch=batch, to="ann@customer.example", message_id="<1@x>", queued_by=front_desk
        ).pk,
        "{complaint}": str(again),
        "{person}": bench_hand.pk,
        "{family}": family.pk,
        "{customer}": batch.customer_id,
        "{bill}": make_bill(by=front_desk, customer=batch.customer, parcels=[parcel]),
        "{gauge}": gauges["indicator"].pk,
        "{wheel}": wheel.pk,
        "{holding}": holding.pk,
        "{tablet}": Tablet.objects.create(name="Bench 1", token="0" * 64, enrolled_by=owner).pk,
    }


def address(row: Row, world: dict) -> str:
    return reverse(row.name, args=[world.get(arg, arg) for arg in row.args])


def each_method(rows: list[Row]) -> list[tuple[Row, str]]:
    return [(row, method) for row in rows for method in row.methods]


def ask(client, method: str, where: str):
    return client.get(where) if method == "GET" else client.post(where, {"once": "k"})


ANSWERED = (200, 204, 302, 400, 409, 422)


@contextmanager
def undone():
    """What a request writes is taken back, so that the next one meets the same shop."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def test_each_role_gets_in_where_the_table_says_and_nowhere_else(world, client):
    wrong = []
    for role in ROLES:
        person = Person.objects.create_user(f"Only {role}", "a long password", **{role: True})
        for row, method in product(TABLE, ("GET", "POST")):
            with undone():
                client.force_login(person)
                status = ask(client, method, address(row, world)).status_code
            may = row.roles == ANYONE or role in row.roles or role == "owner"
            right = (403, 405) if not may else ANSWERED if method in row.methods else (405,)
            if status not in right:
                wrong.append(f"{role} {method} {row.name}: {status}, not one of {right}")
    assert wrong == []


def test_a_pin_opens_the_bench_and_nothing_else_whatever_else_its_person_may_do(world, client):
    """One more column of the table: somebody with every role, signed in by a PIN."""
    person = Person.objects.create_user("All", "a long password", front_desk=True, bench=True, owner=True)
    set_pin(by=person, person=person, pin="2580")
    person.refresh_from_db()
    wrong = []
    for row, method in each_method(TABLE):
        with undone():
            client.force_login(person)
            session = client.session
            session[BY_PIN] = world["{tablet}"]
            session[OPENED_WITH] = opened_with(person, by_badge=False)
            session.save()
            answer = ask(client, method, address(row, world))
        may = row.roles == ANYONE or ("bench" in row.roles and row.name not in BY_PASSWORD)
        sent_away = answer.status_code == 403 and b"Sign in with your password" in answer.content
        if not (answer.status_code in ANSWERED if may else sent_away):
            wrong.append(f"by PIN {method} {row.name}: {answer.status_code}")
    assert wrong == []


def test_a_stranger_is_redirect_to_the_sign_in(world, client):
    wrong = []
    for row, method in each_method([row for row in TABLE if row.roles != ANYONE]):
        answer = ask(client, method, address(row, world))
        if answer.status_code != 302 or not answer["Location"].startswith(SIGN_IN):
            wrong.append(f"{method} {row.name}: {answer.status_code}")
    assert wrong == []


def test_what_is_not_there_is_not_found(client, owner):
    client.force_login(owner)
    wrong = []
    for row, method in each_method([row for row in TABLE if row.elsewhere]):
        with undone():
            status = ask(client, method, reverse(row.name, args=row.elsewhere)).status_code
        if status != 404:
            wrong.append(f"{method} {row.name}: {status}")
    assert wrong == []


def test_an_address_that_takes_arguments_says_what_another_one_gives():
    assert [row.name for row in TABLE if row.args and row.elsewhere is None] == []


def test_no_page_names_the_address_it_was_opened_at(world, client, owner):
    """A shop's computer gets another address from its router: no link or form may hold the old one. A page of the bench
    book shows its address on purpose, to be sent to somebody."""
    client.force_login(owner)
    named = []
    for row in [
        row for row in TABLE if "GET" in row.methods and row.name not in ("shop:backup_file", "calculators:page")
    ]:
        with undone():
            answer = client.get(address(row, world), headers={"Host": "localhost:8123"})
        assert answer.status_code != 400, row.name
        content = b"" if answer.streaming else answer.content
        if b"localhost" in content or "localhost" in answer.get("Location", ""):
            named.append(row.name)
    assert named == []
