"""The bench's pages in a client, with their once-only keys and what the page saw."""

import re

import pytest
from django.test import Client

from regrind.record.models import Customer, Family, Line

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


@pytest.fixture
def apart(at_bench, make_batch, inspect_typed):
    """apart(["4 thou", "6 thou"], diameter=[".2498", ".2480"]) -> a line whose pieces were inspected one by one.

    depths: one for each piece; what else is typed is the same for all, or a list with one for each.
    """

    def make(depths, matched=None, **typed):
        line = make_batch(len(depths)).lines.get()
        Line.objects.filter(pk=line.pk).update(**(matched or {}))
        ids = list(line.pieces.order_by("number").values_list("pk", flat=True))
        for n, (pk, depth) in enumerate(zip(ids, depths, strict=True)):
            mine = {name: value[n] if isinstance(value, list) else value for name, value in typed.items()}
            answer = at_bench.post(
                f"/bench/{line}/inspect", pieces=[pk], **inspect_typed | {"damage_depth": depth} | mine
            )
            assert answer.status_code == 302, answer.content.decode()
        return line, ids

    return make


@pytest.fixture
def of_kind(at_bench, make_batch):
    def make(kind):
        line = make_batch(2, of=Family.objects.create(kind=kind, nominal_nm=12_700_000)).lines.get()
        ids = list(line.pieces.order_by("number").values_list("pk", flat=True))
        at_bench.post(
            f"/bench/{line}/inspect",
            pieces=ids,
            diameter=".5",
            diameter_source="measured",
            damage="corners",
            reach=".03",
        )
        return line, ids

    return make


@pytest.fixture
def worn(at_bench, make_batch):
    """worn(kind, diameter=…) -> a line of one inspected piece of a 4-flute carbide tool in mm, and its answer."""

    def make(kind: str, nominal_mm: float, *, of: dict | None = None, **typed: str):
        like = {"kind": kind, "nominal_nm": round(nominal_mm * 1e6), "teeth": 4, "material": "carbide"}
        family = Family.objects.create(**like | {"flute_length_nm": round(nominal_mm * 2.5e6)} | (of or {}))
        line = make_batch(
            1, of=family, owner=Customer.objects.create(name=f"Stillwell {nominal_mm}", unit="mm")
        ).lines.get()
        ids = list(line.pieces.values_list("pk", flat=True))
        sent = {"diameter_source": "measured", "method": "micrometer", "damage": "depth", "pieces": ids} | typed
        answer = at_bench.post(f"/bench/{line}/inspect", **sent)
        if answer.status_code != 302:
            answer = at_bench.post(f"/bench/{line}/inspect", **sent, sure="on")
        assert answer.status_code == 302, dict(answer.context["form"].errors)
        return line, ids

    return make
