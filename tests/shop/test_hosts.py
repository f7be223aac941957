"""Which addresses are answered, and what is said to who asks by another."""

import logging
import socket

import pytest

from regrind.shop.web import hosts
from scripts.network import find_lan_addresses

SIGN_IN = "/shop/sign-in"


@pytest.fixture(autouse=True)
def named(settings):
    settings.ALLOWED_HOSTS = ["tools.example"]
    settings.OWN_ADDRESSES = True


def told(caplog) -> list[str]:
    return [record.getMessage() for record in caplog.records if record.name == "regrind.hosts"]


def test_an_unknown_name_is_said_on_the_page_and_once_in_the_terminal(client, caplog):
    with caplog.at_level(logging.WARNING, "regrind.hosts"):
        answers = [client.get(SIGN_IN, headers={"Host": "shop-pc.lan:8000"}) for _ in range(3)]
    assert {answer.status_code for answer in answers} == {400}
    for words in ("'shop-pc.lan'", "Shop, Program", "REGRIND_HOSTS=shop-pc.lan"):
        assert words in answers[0].content.decode()
        assert words in caplog.text
    assert answers[0]["Content-Type"].startswith("text/plain")
    assert len(told(caplog)) == 1


@pytest.mark.parametrize("name", ["<script>", "a b", "", "x" * 5_000, "[::1", "tools.example.evil.example", "0.0.0.0"])
def test_a_strange_name_is_refused_in_plain_text(name, client):
    answer = client.get(SIGN_IN, headers={"Host": name})
    assert answer.status_code == 400
    assert answer["Content-Type"].startswith("text/plain")
    assert len(answer.content) < 1_000


def test_made_up_names_do_not_fill_the_log(client, caplog):
    for n in range(hosts.MOST_LOGGED + 20):
        client.get(SIGN_IN, headers={"Host": f"made-up-{n}.example"})
    assert len(told(caplog)) == hosts.MOST_LOGGED


def test_an_address_that_the_machine_has_got_since_is_answered(client, db, monkeypatch, settings):
    monkeypatch.setattr(hosts, "is_own_address", lambda name: name == "192.168.7.7")
    assert client.get(SIGN_IN, headers={"Host": "192.168.7.7:8000"}).status_code == 200
    assert client.get(SIGN_IN, headers={"Host": "192.168.7.8:8000"}).status_code == 400
    settings.OWN_ADDRESSES, settings.ALLOWED_HOSTS = False, ["tools.example"]  # behind TLS
    assert client.get(SIGN_IN, headers={"Host": "192.168.7.7:8000"}).status_code == 400


def test_own_addresses_are_told_from_others():
    assert [hosts.is_own_address(address) for address in find_lan_addresses()].count(False) == 0
    # TEST-NET-1 to 3 (RFC 5737) are no machine's
    for other in ("192.0.2.1", "198.51.100.1", "203.0.113.1", "127.0.0.1", "0.0.0.0", "224.0.0.1", "tools.example", ""):
        assert not hosts.is_own_address(other), other


def test_an_address_counts_because_it_can_be_bound(monkeypatch):
    class Bound(socket.socket):
        def bind(self, where):
            if where[0] != "192.0.2.1":
                raise OSError("not ours")

    monkeypatch.setattr(hosts.socket, "socket", Bound)
    assert hosts.is_own_address("192.0.2.1")
    assert not hosts.is_own_address("192.0.2.2")
