"""A served shop and its customers: mail goes out by itself, and guessed links are limited over workers and restarts."""

import os
import secrets
import subprocess
import sys
import time
import urllib.error
import urllib.request
from contextlib import contextmanager

import pytest

from scripts.launch import ROOT
from scripts.network import can_listen, wait_until_answers
from tests.office.smtp_server import Server, body_of, listening

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="signals as on POSIX")
START = (
    "import sys; from scripts import launch, mailing; launch.ensure = lambda level: None; mailing.EVERY_S = 1.0;"
    "launch.PYTHON = sys.executable; sys.exit(launch.main(sys.argv[1:]))"
)
TRIES = 30  # wrong links from one address within a quarter of an hour: `links.TRIES`
MAKE_SHOP = """
from django.utils import timezone
from regrind.bench.inspecting.actions import inspect
from regrind.bench.planning.actions import decide
from regrind.geometry.units import parse
from regrind.office.quotes.making import make_quote
from regrind.receiving.actions import log_line, open_batch
from regrind.record.contacts import keep_contact
from regrind.record.models import Customer, Family
from regrind.record.rate_changes import keep_list
from regrind.shop.models import Person
from regrind.shop.owner.actions import save_shop_settings
oda = Person.objects.create_user("Oda", "a long password", owner=True)
save_shop_settings(by=oda, name="Kerf & Land", mail="desk@kerf.example")
customer = Customer.objects.create(name="Brookfield Tooling", unit="in")
keep_contact(by=oda, customer=customer, name="Ann Lund", mail="ann@brookfield.example")
price = {((None, "square"), "inspection", ""): 300}
keep_list(by=oda, entries=price, from_day=timezone.localdate(), stale=lambda: False)
family = Family.objects.create(kind="square", nominal_nm=6_350_000, teeth=4, material="carbide")
batch = open_batch(by=oda, customer=customer)
log_line(by=oda, batch=batch, family=family, count=1)
pieces = list(batch.pieces.select_related("batch__customer", "line__family", "line__batch__customer", "tool"))
typed = {"diameter": parse("0.2498 in")}
inspect(by=oda, pieces=pieces, expected={}, damage="nothing", method="micrometer", typed=typed)
decide(by=oda, pieces=pieces, expected={}, decision="ask", reason="It is small. Shall we?")
make_quote(by=oda, batch=batch)
"""
MAKE_LINK = """
from regrind.office.models import Quote
from regrind.office.quotes.making import make_link
print(make_link(by=None, quote=Quote.objects.get()))
"""
QUEUE_MAIL = """
from regrind.office.mail.queueing import queue_mail
from regrind.record.models import Batch
from regrind.shop.models import Person
queue_mail(by=Person.objects.get(), kind="received", batch=Batch.objects.get())
"""
LET_TIME_PASS = """
from datetime import timedelta
from django.db.models import F
from regrind.shop.models import SignInTry
SignInTry.objects.update(at=F("at") - timedelta(minutes=16))
"""


class Shop:
    """A shop with one box that is asked about, in a folder of its own, on SQLite."""

    def __init__(self, data) -> None:
        self.data = data
        inherited = {
            k: v for k, v in os.environ.items() if k != "DATABASE_URL" and not k.startswith(("REGRIND_", "DJANGO_"))
        }
        self.environment = inherited | {
            "REGRIND_DATA": str(data),
            "REGRIND_STATIC": str(data.parent / "static"),
            "REGRIND_PUBLIC_ADDRESS": "http://127.0.0.1",
            "REGRIND_HOSTS": "127.0.0.1",
            "REGRIND_DEBUG": "1",
        }

    def manage(self, *words: str) -> str:
        command = [sys.executable, "manage.py", *words]
        done = subprocess.run(command, cwd=ROOT, env=self.environment, capture_output=True, text=True, check=True)
        return done.stdout.strip()

    @contextmanager
    def worker(self):
        """A web server of its own over the shop's data; its port."""
        port = free_port()
        command = [sys.executable, "-m", "waitress", f"--listen=127.0.0.1:{port}", "regrind.wsgi:application"]
        server = subprocess.Popen(command, cwd=ROOT, env=self.environment)
        try:
            assert wait_until_answers(port, lambda: server.poll() is None)
            yield port
        finally:
            server.kill()
            server.wait(30)


def free_port() -> int:
    return next(port for port in range(18_400 + secrets.randbelow(400), 19_000) if can_listen("127.0.0.1", port))


@pytest.fixture(scope="module")
def shop(tmp_path_factory) -> Shop:
    made = Shop(tmp_path_factory.mktemp("shop") / "data")
    made.data.mkdir()
    made.manage("migrate", "-v0")
    made.manage("shell", "-v0", "-c", MAKE_SHOP)
    return made


def status(port: int, token: str) -> int:
    try:
        return urllib.request.urlopen(f"http://127.0.0.1:{port}/q/{token}", timeout=30).status
    except urllib.error.HTTPError as refused:
        return refused.code


def test_guessed_links_are_limited_over_two_workers_and_after_a_restart(shop):
    token = shop.manage("shell", "-v0", "-c", MAKE_LINK)
    with shop.worker() as first, shop.worker() as second:
        assert [status(port, token) for port in (first, second)] == [200, 200]
        guessed = [status((first, second)[n % 2], secrets.token_urlsafe(16)) for n in range(TRIES)]
        assert guessed == [404] * TRIES
        assert [status(port, token) for port in (first, second)] == [404, 404]  # this address has had its tries
    with shop.worker() as again:
        assert status(again, token) == 404
        shop.manage("shell", "-v0", "-c", LET_TIME_PASS)
        assert status(again, token) == 200


def test_the_served_shop_sends_its_mail_by_itself(shop):
    with Server() as mail, listening(mail):
        (shop.data / "settings.toml").write_text(
            f'smtp_host = "127.0.0.1"\nsmtp_port = {mail.port}\nsmtp_security = "none"\n'
        )
        command = [sys.executable, "-c", START, "serve", "--data", str(shop.data)]
        served = subprocess.Popen(command, cwd=ROOT, env=shop.environment | {"PORT": str(free_port())})
        try:
            shop.manage("shell", "-v0", "-c", QUEUE_MAIL)
            end = time.monotonic() + 90
            while not mail.mails:
                assert time.monotonic() < end, "no mail came"
                time.sleep(0.2)
        finally:
            served.terminate()
            served.wait(60)
    [got] = mail.mails
    assert "We received your box. Its number here is 1." in body_of(got)
