"""A reload without a network: the page stays, and what was typed; nothing of it outlives the sign-in."""

import contextlib
import socket
import threading

import pytest
from playwright.sync_api import expect

from .job_steps import Hand

pytestmark = pytest.mark.django_db(transaction=True)
WHERE = "/bench/417-1/inspect"


class Cable:
    """The way to the server, which can be cut: what comes to this port goes on to the server's."""

    def __init__(self, port: int):
        self.to, self.open = port, True
        self.socket = socket.create_server(("127.0.0.1", 0))
        self.port = self.socket.getsockname()[1]
        self.ways: list[socket.socket] = []
        threading.Thread(target=self._serve, daemon=True).start()

    def _serve(self) -> None:
        while True:
            try:
                here, _ = self.socket.accept()
            except OSError:
                return
            if not self.open:
                here.close()
                continue
            there = socket.create_connection(("127.0.0.1", self.to))
            self.ways += [here, there]
            for one, other in ((here, there), (there, here)):
                threading.Thread(target=self._pass_on, args=(one, other), daemon=True).start()

    def _pass_on(self, one: socket.socket, other: socket.socket) -> None:
        try:
            while some := one.recv(65536):
                other.sendall(some)
            other.shutdown(socket.SHUT_WR)
        except OSError:
            pass

    def cut(self) -> None:
        self.open = False
        for way in self.ways:
            with contextlib.suppress(OSError):
                way.shutdown(socket.SHUT_RDWR)
            way.close()
        self.ways.clear()

    def mend(self) -> None:
        self.open = True


@pytest.fixture
def cable(live_server):
    cable = Cable(int(live_server.url.rsplit(":", 1)[1]))
    yield cable
    cable.cut()
    cable.socket.close()


def open_hand(open_device, cable, **options):
    page = open_device("tablet", base_url=f"http://127.0.0.1:{cable.port}", **options)
    hand = Hand(page)
    hand.sign_in("Bea")
    return hand, page


def wait_for_worker(page):
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.wait_for_function("navigator.serviceWorker.controller !== null")


@pytest.fixture
def batch(make_batch, bench_hand, gauges):
    return make_batch(3, number=417)


def test_a_page_and_what_was_typed_outlive_a_reload_without_network(open_device, cable, batch):
    hand, page = open_hand(open_device, cable, service_workers="allow")
    wait_for_worker(page)
    hand.open(WHERE)
    cable.cut()
    page.locator("#id_diameter").fill(".2498")
    page.locator("#id_note").fill("two edges dull")
    page.reload()
    page.get_by_role("button", name="Restore them").click()
    expect(page.locator("#id_diameter")).to_have_value(".2498")
    expect(page.locator("#id_note")).to_have_value("two edges dull")
    cable.mend()
    page.reload()
    page.get_by_role("button", name="Restore them").click()
    expect(page.locator("#id_note")).to_have_value("two edges dull")


def test_without_the_worker_the_page_is_gone(open_device, cable, batch):
    hand, page = open_hand(open_device, cable)
    hand.open(WHERE)
    cable.cut()
    with pytest.raises(Exception, match="ERR_"):
        page.reload()


def stored(page):
    return page.evaluate(
        "caches.open('pages-1').then((c) => c.keys()).then((k) => k.map((r) => new URL(r.url).pathname))"
    )


def test_no_stored_page_outlives_the_sign_in_and_none_of_the_shop_is_stored(open_device, cable, batch):
    hand, page = open_hand(open_device, cable, service_workers="allow")
    wait_for_worker(page)
    hand.open(WHERE)
    page.goto("/shop/account")
    assert WHERE in stored(page)
    assert "/shop/account" not in stored(page)
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/shop/sign-in*")
    assert stored(page) == []
    cable.cut()
    answer = page.goto(WHERE)
    assert answer.status == 503
    assert "no network" in page.content()
