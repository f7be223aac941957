"""The bench's pages in a client, with their once-only keys and what the page saw."""

import re

import pytest
from django.test import Client

from .tray import Hand


class Page:
    """A signed-in person who opens a page and sends its form."""

    def __init__(self, client: Client):
        self.client = client

    def get(self, path: str):
        return self.client.get(path)

    def post(self, path: str, **typed):
        """Send a form as the page gave it; `seen` and `once` may be set apart."""
        html = self.client.get(path).content.decode()
        for name in ("once", "seen"):
            found = re.search(rf'name="{name}" value="([^"]*)"', html)
            typed.setdefault(name, found.group(1) if found else "")
        return self.client.post(path, typed)


@pytest.fixture
def at_bench(bench_hand) -> Page:
    client = Client()
    client.force_login(bench_hand)
    return Page(client)


@pytest.fixture
def inspect_typed():
    """What is typed for a 1/4 in three-flute cutter with a chip of 4 thou."""
    return {
        "diameter": ".2498",
        "diameter_source": "measured",
        "method": "v-anvil",
        "teeth": "3",
        "damage": "depth",
        "damage_depth": "4 thou",
        "reach": ".06",
    }


@pytest.fixture
def inspected(at_bench, make_batch, inspect_typed):
    """inspected(12) -> a line of 12 pieces, all looked at, the first read and the others as it."""

    def make(count: int, **more):
        line = make_batch(count, **more).lines.get()
        ids = list(line.pieces.order_by("number").values_list("pk", flat=True))
        answer = at_bench.post(f"/bench/{line}/inspect", pieces=ids, **inspect_typed)
        assert answer.status_code == 302, answer.content.decode()
        return line, ids

    return make


@pytest.fixture
def hand(client, bench_hand) -> Hand:
    """The bench hand, signed in, with a browser that sends what a page offers."""
    client.force_login(bench_hand)
    return Hand(client)
