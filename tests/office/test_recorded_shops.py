"""The shops made by chance show what the tests of their papers are about."""

import json

import pytest

from regrind.bench.models import FinalCheck

from .recorded_shop import SEEDS, Shop

pytestmark = pytest.mark.django_db


def test_the_shops_made_by_chance_release_in_every_way(make_batch, bench_hand):
    """Inside, for a reason, sent nowhere; with the sides and without: the property is not held by doing nothing."""
    ways = set()
    for seed in SEEDS:
        shop = Shop(seed, make_batch, bench_hand)
        shop.work()
        ways |= {piece.status for piece in shop.line.pieces.all()}
    rows = FinalCheck.objects.select_related("grind")
    assert {"released", "ground", "waiting"} <= ways
    assert {bool(row.released_because) for row in rows} == {True, False}
    assert {"sides" in row.grind.grinds for row in rows} == {True, False}
    assert {row.relief_cdeg is None for row in rows} == {True, False}
    found = [item["what"] for row in rows for item in json.loads(row.findings) if item["state"] == "outside"]
    assert {"planned diameter", "runout on the sides", "primary relief"} <= set(found)
