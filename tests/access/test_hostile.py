"""Hostile requests made from the URLconf and the forms: no answer of 500 or more, no raw marker in the HTML."""

import random
import re

import pytest
from django.utils.crypto import get_random_string

from tests.long_form import FULL

from .table import ANYONE, TABLE
from .test_access import address, world  # noqa: F401  (the fixture)

pytestmark = pytest.mark.django_db
REQUESTS = 20_000 if FULL else 1_000
MARKER = '"><script>mark</script>'
HOSTILE = [
    MARKER,
    "NaN",
    "1e400",
    "-Infinity",
    "9" * 400,
    "0x1F",
    "1_000",
    "\u202e417",
    "a\u0000b",
    "\u0660\u0661",
    "٣",
    "½",
    "=cmd|'/c calc'!A1",
    "+1",
    "@x",
    "-1",
    "0",
    " ",
    "\u00a0",
    "𝟙",
    "<b>",
    "{{ 7|add:7 }}",
    "%s%n",
    "'; DROP TABLE shop_person; --",
    "../../etc/passwd",
    "x" * 10_000,
    "1/0",
    "1//2",
    "0.2.5",
    "1,2.3",
    "#",
    "417-1-1",
    "é" * 500,
    "\r\nSet-Cookie: a=b",
    "2026-02-30T25:61",
    "9999999999999999999",
    "None",
    "[]",
    '{"a": 1}',
    "\ud7ff",
    "\U0010ffff",
]
NAMES = re.compile(r'\bname="([^"]+)"')


@pytest.mark.drill("hostile requests")
def test_hostile_requests_never_break_a_page(world, client, owner, record_property):  # noqa: F811
    chance = random.Random(417)
    client.raise_request_exception = False
    client.force_login(owner)
    pages = [(row, address(row, world)) for row in TABLE if row.roles != ANYONE and row.name != "shop:sign_out"]
    fields = {where: _fields(client, where) for row, where in pages if "GET" in row.methods}
    for _ in range(REQUESTS):
        row, where = chance.choice(pages)
        method = chance.choice(row.methods)
        names = fields.get(where) or ["q", "once", "pieces", "text"]
        data = _spoil(chance, names)
        answer = client.get(where, data) if method == "GET" else client.post(where, data)
        assert answer.status_code < 500, (method, where, data)
        if "html" in answer.get("Content-Type", ""):
            assert MARKER.encode() not in answer.content, (method, where, data)
    record_property("tries", REQUESTS)
    record_property("errors", 0)  # the first one would have ended the test


def _fields(client, where: str) -> list[str]:
    page = getattr(client.get(where), "content", b"").decode(errors="replace")  # a file that is streamed has none
    inputs = set(NAMES.findall(page)) - {"csrfmiddlewaretoken", "viewport"}
    return sorted(inputs | {"q", "sort", "unit", "text", "before", "page"})


def _spoil(chance: random.Random, names: list[str]) -> dict:
    """Some fields hostile, some repeated, some missing, the rest harmless; always a fresh once-only key."""
    data: dict = {}
    for name in names:
        fate = chance.random()
        if fate < 0.55:
            data[name] = chance.choice(HOSTILE)
        elif fate < 0.65:
            data[name] = [chance.choice(HOSTILE), chance.choice(HOSTILE)]
        elif fate < 0.8:
            data[name] = chance.choice(["1", "0.25", ".0005", "grind", "on", "5 thou", "2026-01-01"])
    data["once"] = get_random_string(12)
    return data


@pytest.mark.parametrize(
    "where",
    [
        "/office/" + text + "/"
        for text in ("0", "-1", "9" * 30, "417-1-1-1", "417--1", "٤", "a", "417-", "%00", "..%2f..")
    ],
)
def test_odd_numbers_in_an_address_are_not_found(where, client, owner):
    client.force_login(owner)
    assert client.get(where).status_code in (400, 404)
