"""How often the bench asks the database: within a budget, and as often for 400 pieces as for one."""

import re

import pytest

from regrind.bench.planning.allowances import ENOUGH
from tests.queries import spent

from .tray import ground, pieces_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("sums")]
BUDGET = {
    "inspect": 48,
    "see the plan": 16,
    "keep an option": 45,
    "check": 59,
}  # the first row goes in alone; what a check decides is priced
SEEN = {
    "diameter": ".2498",
    "method": "v-anvil",
    "teeth": "3",
    "damage": "depth",
    "damage_depth": "4 thou",
    "reach": ".06",
}
CHECKED = {
    "passed": "yes",
    "drop_way": "tangent",
    "diameter": ".2408",
    "runout_sides": ".0002",
    "drop": ".0018",
    "drop_over": ".010",
}


def decided(hand, where: str, line) -> dict:
    """What a browser sends to keep the option that its page shows."""
    page = hand.open(where)
    hidden = {
        name: re.search(f'name="{name}" value="([^"]*)"', page.content.decode())[1]
        for name in ("once", "seen", "group")
    }
    return hidden | {"do": "keep", "option": page.context["picked"], "pieces": [piece.pk for piece in pieces_of(line)]}


def asked(hand, make_batch, bench_hand, gauges, count: int) -> dict[str, int]:
    """How often each page of a line of `count` pieces asks, of those that have a budget."""
    line, given = make_batch(count).lines.get(), {"gauge": gauges["v-anvil"].pk, "indicator": gauges["indicator"].pk}
    found = {}
    sent = hand.fill(f"/bench/{line}/inspect", **SEEN, **given)
    found["inspect"] = spent(lambda: hand.client.post(f"/bench/{line}/inspect", sent), 302)
    found["see the plan"] = spent(lambda: hand.open(f"/bench/{line}/plan"), 200)
    kept = decided(hand, f"/bench/{line}/plan", line)
    found["keep an option"] = spent(lambda: hand.client.post(f"/bench/{line}/plan", kept), 302)
    other = make_batch(count).lines.get()
    other.check_every = 1_000
    other.save(update_fields=["check_every"])
    ground(other, bench_hand)
    checked = hand.fill(f"/bench/{other}/check", **CHECKED, **given)
    found["check"] = spent(lambda: hand.client.post(f"/bench/{other}/check", checked), 302)
    return found


def within(counts: dict[str, int]) -> bool:
    return all(counts[name] <= most for name, most in BUDGET.items())


def test_the_bench_asks_within_its_budget_and_no_more_often_for_400_pieces(hand, make_batch, bench_hand, gauges):
    asked(hand, make_batch, bench_hand, gauges, 1)  # the first of a month and family makes what the next find
    counts = {count: asked(hand, make_batch, bench_hand, gauges, count) for count in (1, 3, 10, 400)}
    assert counts[1] == counts[3] == counts[10] == counts[400]
    assert within(counts[3]), counts[3]


def test_a_family_that_has_its_own_usual_stock_stays_within_the_budget(hand, make_batch, bench_hand, gauges):
    for _ in range(ENOUGH):
        asked(hand, make_batch, bench_hand, gauges, 1)
    counts = asked(hand, make_batch, bench_hand, gauges, 3)
    assert within(counts), counts
