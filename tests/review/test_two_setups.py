"""The sides in one setup and the end in the next: what the diameter lost is told, of the wheel that took it."""

import pytest
from django.http import QueryDict

from regrind.bench.checking.actions import check
from regrind.bench.grinding.actions import grind
from regrind.bench.inspecting.actions import inspect
from regrind.bench.planning.actions import decide
from regrind.bench.planning.allowances import ENOUGH, usual_stock
from regrind.geometry.units import parse
from regrind.record.models.rollups import Tally
from regrind.record.moves import move
from regrind.review.families import all_rows
from regrind.review.filters import ReviewFilter
from regrind.review.piece_facts import read_facts
from regrind.review.pieces import pieces_behind
from regrind.shop.models import Wheel
from tests.bench.tray import pieces_of
from tests.review.plain import Record

pytestmark = pytest.mark.django_db
PLANNED_NM, LOST_NM = 6_150_000, 210_000


@pytest.fixture
def wheels(db):
    return [Wheel.objects.create(name=name, abrasive="diamond", diameter_nm=100_000_000) for name in ("sides", "end")]


@pytest.fixture
def bench(bench_hand, wheels):
    """bench(line, "sides", "end") looks at a line of one piece, plans both and grinds one after the other."""

    def work(line, *setups: str) -> None:
        inspect(
            by=bench_hand, pieces=pieces_of(line), expected={}, typed={"diameter": parse("6.350 mm")}, damage="nothing"
        )
        pieces = pieces_of(line)
        decide(by=bench_hand, pieces=pieces, expected={}, decision="grind", grinds="sides end", diameter_nm=PLANNED_NM)
        for n, part in enumerate(setups):
            pieces = pieces_of(line)
            grind(
                by=bench_hand,
                pieces=pieces,
                expected={p.pk: n for p in pieces},
                grinds=[part],
                wheel=wheels[part == "end"],
                follows=n + 1 < len(setups),
            )

    return work


@pytest.fixture
def leave(bench_hand):
    def release(line, diameter: str) -> None:
        check(
            by=bench_hand,
            pieces=pieces_of(line),
            expected={},
            typed={"diameter": parse(diameter)},
            corner="sharp",
            coating="ground off on the flank",
        )

    return release


@pytest.mark.parametrize("setups", [("sides", "end"), ("end", "sides")])
def test_both_setups_of_one_plan_are_one_regrind(make_batch, bench, leave, family, wheels, setups):
    for _ in range(ENOUGH):
        line = make_batch(1).lines.get()
        bench(line, *setups)
        leave(line, "6.140 mm")
    [row] = all_rows(ReviewFilter())
    facts = read_facts(family, ReviewFilter()).pieces
    assert (row.sums.stock_n, row.sums.stock_sum_nm) == (ENOUGH, ENOUGH * LOST_NM)
    assert [taken for taken, _ in Record().taken().values()] == [LOST_NM] * ENOUGH
    assert pieces_behind(family, ReviewFilter(), QueryDict("result=stock")).count() == ENOUGH
    assert {(fact.taken_nm, fact.wheel) for fact in facts} == {(LOST_NM, wheels[0].pk)}
    assert set(Tally.objects.filter(what="wheel").values_list("key", flat=True)) == {str(wheels[0].pk)}
    assert usual_stock(family)[1] == ENOUGH


def test_an_end_that_was_ground_by_a_later_plan_took_nothing_off_the_sides(
    make_batch, bench, leave, bench_hand, family
):
    line = make_batch(1).lines.get()
    bench(line, "sides")
    move(pieces=pieces_of(line), to="inspected", by=bench_hand)
    inspect(
        by=bench_hand,
        pieces=pieces_of(line),
        expected={p.pk: 1 for p in pieces_of(line)},
        damage="nothing",
        typed={"diameter": parse("6.140 mm")},
    )
    pieces = pieces_of(line)
    decide(by=bench_hand, pieces=pieces, expected={p.pk: 1 for p in pieces}, decision="grind", grinds="end")
    grind(by=bench_hand, pieces=pieces_of(line), expected={p.pk: 1 for p in pieces}, grinds=["end"])
    leave(line, "6.140 mm")
    [row] = all_rows(ReviewFilter())
    assert (row.sums.ground, row.sums.stock_n, Record().taken()) == (1, 0, {})
    assert {fact.taken_nm for fact in read_facts(family, ReviewFilter()).pieces} == {None}
    assert not pieces_behind(family, ReviewFilter(), QueryDict("result=stock")).exists()
