"""A slow network: what was typed last is what the page works out, and no earlier answer stands in its place."""

import pytest
from playwright.sync_api import expect

from tests.bench.tray import ground

from .job_steps import Hand

pytestmark = pytest.mark.django_db(transaction=True)


def test_the_relief_is_that_of_the_last_drop_though_earlier_answers_never_came(tablet, make_batch, bench_hand, gauges):
    line, hand = make_batch(2).lines.get(), Hand(tablet)
    ground(line, bench_hand)
    hand.sign_in("Bea")
    hand.open(f"/bench/{line}/check")
    hand.choose(drop_way="along the tangent")
    hand.field("diameter").fill(".2408")
    hand.field("drop_over").fill(".010")
    held = []
    tablet.route(
        "**/relief?*", lambda route: held.append(route) if "0018" not in route.request.url else route.continue_()
    )
    for drop in (".0050", ".0040", ".0030", ".0018"):  # one is on its way, one waits: the last must not be left out
        hand.field("drop").fill(drop)
        hand.field("drop").blur()
    expect(tablet.locator("#relief")).to_contain_text("primary relief")
    assert held
