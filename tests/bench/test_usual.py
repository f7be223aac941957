"""What a plan takes as usual: the shop's, a family's accepted allowance, and its own stock once there is enough."""

import pytest

from regrind.bench.checking.actions import check
from regrind.bench.inspecting.actions import inspect
from regrind.bench.planning.allowances import ENOUGH, usual_of, usual_stock
from regrind.bench.planning.groups import group_pieces
from regrind.geometry.units import parse
from regrind.record.defaults import accept_default
from tests.events import undo_newest

from .tray import ground, pieces_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def regrind(make_batch, bench_hand, gauges):
    """regrind(3, "0.2408 in") -> three pieces of the family, each measured before (.2498 in) and after."""

    def make(count: int, after: str = "0.2408 in"):
        done = []
        for _ in range(count):
            pieces = ground(make_batch(1).lines.get(), bench_hand)
            check(
                by=bench_hand,
                pieces=pieces,
                expected={},
                typed={"diameter": parse(after)},
                corner="sharp",
                gauge=gauges["v-anvil"],
            )
            done += pieces
        return done

    return make


def planned(make_batch, bench_hand):
    line = make_batch(1).lines.get()
    inspect(
        by=bench_hand,
        pieces=pieces_of(line),
        expected={},
        damage="depth",
        typed={"diameter": parse("0.2498 in"), "damage_depth": parse("0.003 in"), "reach": parse("0.060 in")},
    )
    [group] = group_pieces(line, pieces_of(line))
    return group


def test_the_stock_is_the_familys_own_from_the_fifth_regrind_on(regrind, family):
    regrind(ENOUGH - 1)
    assert usual_stock(family) == (None, ENOUGH - 1)
    regrind(1)
    stock, cases = usual_stock(family)
    assert (cases, stock.stock_radial_nm) == (ENOUGH, 114_300)  # (.2498 - .2408) in, halved


def test_what_was_taken_back_is_no_case(regrind, family, bench_hand):
    done = regrind(ENOUGH)
    undo_newest(done[:1], bench_hand)
    assert usual_stock(family) == (None, ENOUGH - 1)


def test_the_plan_takes_the_accepted_allowance_and_says_from_how_many(make_batch, bench_hand, owner, family):
    before = planned(make_batch, bench_hand)
    accept_default(by=owner, family=family, what="finish_radial", value_nm=25_400, cases=41, off_nm=12_700, seen=0)
    after = planned(make_batch, bench_hand)
    assert (before.case["allow"]["finish_radial"], after.case["allow"]["finish_radial"]) == ("0.0127 mm", "0.0254 mm")
    assert after.case["allow"]["finish_end"] == before.case["allow"]["finish_end"]
    assert any("accepted for this family from 41 regrinds" in words for words in after.assumed)
    sides = [next(o for o in group.answer["options"] if o["sides"]) for group in (before, after)]
    assert sides[0]["diameter_mm"] - sides[1]["diameter_mm"] == pytest.approx(2 * 0.0127, abs=1e-9)


def test_the_plan_page_says_from_how_many_regrinds_its_usual_stock_is(client, bench_hand, make_batch, regrind):
    regrind(ENOUGH + 1)
    group = planned(make_batch, bench_hand)
    client.force_login(bench_hand)
    page = client.get(f"/bench/{group.pieces[0].line}/plan").content.decode()
    assert f"from the last {ENOUGH + 1} of this family" in page
    assert group.case["typical"]["stock_radial"] == "0.1143 mm"


def test_another_familys_history_says_nothing_of_this_one(regrind, family, owner):
    other = type(family).objects.create(kind="square", nominal_nm=9_525_000, teeth=4)
    regrind(ENOUGH)
    accept_default(by=owner, family=family, what="finish_end", value_nm=0, cases=9, off_nm=-1, seen=0)
    assert usual_of(other).from_history == ()
    assert usual_of(other).typical is None
    assert usual_of(family).allow.finish_end_nm == 0
