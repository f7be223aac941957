"""The verdict's rule by worked examples, and what must hold for any shop."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from regrind.record.models import Customer
from regrind.review.filters import ReviewFilter, WhatIf
from regrind.review.intervals import share_interval
from regrind.review.paper_values import _tried
from regrind.review.setups import Minutes, SetupSums, part_minutes
from regrind.review.verdicts import (
    ENOUGH,
    FEW,
    LARGEST_LOT,
    LOTS,
    NOT,
    ORDER,
    PRICE,
    WORTH,
    Case,
    judge,
    price_needed,
    with_change,
)
from regrind.review.words import advise
from regrind.shop.models import ShopSettings
from tests.long_form import FULL

MANY = settings(max_examples=400 if FULL else 100, deadline=None)
MINUTES = Minutes(setting_up=20.0, each=4.0, lot=4.0, told_apart=True)
SURE = Case(good=400, ground=400, decided=410, minutes=MINUTES, price=1500, rate=9000, wheel=50, new=4000)


ANY_MINUTES = some.builds(Minutes, some.floats(0, 240), some.floats(0.01, 120), some.floats(1, 40), some.just(True))


@some.composite
def cases(draw, with_minutes=False) -> Case:
    """Any shop's family; the money of a real one, the minutes from moments to hours."""
    decided = draw(some.integers(0, 300))
    ground = draw(some.integers(0, decided))
    good = draw(some.integers(0, ground))
    minutes = draw(ANY_MINUTES if with_minutes else some.none() | ANY_MINUTES)
    money = some.none() | some.integers(0, 50_000)
    return Case(
        good,
        ground,
        decided,
        minutes,
        draw(money),
        draw(some.none() | some.integers(1, 50_000)),
        draw(some.integers(0, 3000)),
        draw(money),
        draw(some.none() | some.integers(1, 60)),
    )


@some.composite
def raised_prices(draw) -> tuple[Case, Case]:
    """Any family with a price, and the same at a higher one; the customer saves at both."""
    case = draw(cases())
    most = 50_000 if case.new is None else case.new
    price = draw(some.integers(0, most))
    return replace(case, price=price), replace(case, price=draw(some.integers(price, most)))


def rank(code: str) -> int:
    return ORDER.index(code)


def ends(case: Case) -> tuple[int, int] | None:
    verdict = judge(case)
    return (rank(verdict.at_worst), rank(verdict.at_best)) if verdict.at_worst else None


def test_the_five_verdicts_by_hand():
    """Four in a lot: 20/4 + 4 = 9 min at 1.50 a minute is 13.50, and 0.50 of wheel: 14.00, over what stays good."""
    assert price_needed(SURE, 1.0) == pytest.approx(1400)
    assert judge(SURE).code == WORTH
    assert judge(replace(SURE, price=1200)).code == LOTS  # in a lot of ten 6 min: 9.50
    assert judge(replace(SURE, price=600)).code == PRICE  # 4 min and the wheel alone are 6.50
    assert judge(replace(SURE, price=600, new=1000)).code == NOT
    assert judge(replace(SURE, good=4, ground=4, decided=4)).code == FEW
    assert judge(replace(SURE, good=9, ground=12, decided=12, price=1600)).code == FEW  # 14.00/.75 is 18.67


def test_what_is_said_would_change_it():
    said = {c.kind: c.value for c in judge(replace(SURE, price=1200)).changes}
    low = share_interval(400, 400).low
    assert said == {"lot": math.ceil(20 / ((1200 * low - 50) / 150 - 4)), "price": math.ceil(1400 / low)}
    dear = judge(replace(SURE, price=4500))
    assert (dear.code, dear.changes[0].kind, dear.changes[0].value) == (NOT, "price", 4000)
    worth = {c.kind: c.value for c in judge(SURE).changes}
    assert worth["least_price"] == math.ceil(1400 / low)
    assert worth["least_lot"] == 4


def test_nothing_good_of_enough_is_not_worth_it_and_of_few_is_not_said():
    nothing = Case(0, 0, ENOUGH, None, None, None)
    assert judge(nothing).code == NOT
    assert judge(replace(nothing, decided=ENOUGH - 1)).code == FEW


@pytest.mark.parametrize(
    ("unsaid", "words"), [("price", "a price"), ("rate", "the hourly rate"), ("minutes", "bench minutes")]
)
def test_what_nobody_said_is_named_and_nothing_is_judged(unsaid, words):
    verdict = judge(replace(SURE, **{unsaid: None}))
    assert (verdict.code, verdict.case.lacking, verdict.changes) == (FEW, (words,), ())


@pytest.mark.parametrize("counts", [(3, 2, 5), (1, 6, 5), (-1, 2, 5)])
def test_counts_that_cannot_be_are_refused(counts):
    with pytest.raises(ValueError, match="decided"):
        judge(Case(*counts, None, None, None))


@MANY
@given(cases())
def test_never_nan_and_always_its_cases(case):
    verdict = judge(case)
    figures = [
        verdict.earns,
        verdict.saves,
        *(c.value for c in verdict.changes),
        verdict.good_within.low,
        verdict.good_within.high,
    ]
    if verdict.earns_within:
        figures += [verdict.earns_within.low, verdict.earns_within.high]
    assert all(math.isfinite(f) for f in figures if f is not None)
    assert verdict.n == case.ground


@MANY
@given(raised_prices())
def test_a_higher_price_never_worsens_it_as_long_as_the_customer_saves(prices):
    before, after = map(ends, prices)
    if before and after:
        assert after >= before
        assert all(b <= a for b, a in zip(before, after, strict=True))


@MANY
@given(cases(with_minutes=True), some.integers(1, 60))
def test_a_larger_lot_never_worsens_it(case, more):
    before, after = ends(case), ends(replace(case, lot=case.in_lot + more))
    if before and after and case.in_lot + more <= LARGEST_LOT:
        assert all(b <= a for b, a in zip(before, after, strict=True))


@MANY
@given(cases())
def test_few_are_always_said_to_be_few(case):
    if case.ground < ENOUGH and case.good:
        assert judge(case).code == FEW
    if case.good > 0 and ends(case) and ends(case)[0] != ends(case)[1]:
        assert judge(case).code == FEW


@MANY
@given(cases())
def test_what_would_change_it_does_and_one_step_less_does_not(case):
    """A price or a lot that is offered makes it worth it, and a minor unit or a piece less does not."""
    verdict = judge(case)
    for change in verdict.changes:
        if change.kind not in ("price", "lot", "least_price", "least_lot"):
            continue
        changed = with_change(case, change)
        assert judge(changed).code == WORTH, change
        cheaper = case.price is not None and case.new is not None and case.price > case.new
        if change.kind in ("price", "least_price") and not cheaper and change.value >= 1:
            assert judge(replace(changed, price=change.value - 1)).code != WORTH
        if change.kind == "lot" and change.value - 1 >= case.in_lot:
            assert judge(replace(changed, lot=change.value - 1)).code != WORTH


@MANY
@given(cases())
def test_as_many_cases_more_as_said_decide_it(case):
    verdict = judge(case)
    more = [int(c.value) for c in verdict.changes if c.kind == "cases"]
    if verdict.at_worst and more:
        cases_then = case.ground + more[0]
        then = replace(
            case, ground=cases_then, decided=max(case.decided, cases_then), good=round(case.good_share * cases_then)
        )
        assert judge(then).code != FEW


@MANY
@given(some.lists(some.tuples(some.integers(1, 40), some.integers(1, 30_000)), max_size=30))
def test_minutes_part_so_that_a_usual_lot_takes_what_was_recorded(setups):
    sums = SetupSums(
        len(setups),
        sum(m for m, _ in setups),
        sum(m * m for m, _ in setups),
        sum(t for _, t in setups),
        sum(m * t for m, t in setups),
    )
    found = part_minutes(sums)
    if not setups:
        assert found is None
        return
    assert found.a_piece() == pytest.approx(sums.hundredths / 100 / sums.pieces)
    assert found.setting_up >= 0
    assert found.each >= 0
    assert found.a_piece(found.lot * 2) <= found.a_piece() + 1e-9


def test_minutes_part_as_numpys_straight_line_does():
    numpy = pytest.importorskip("numpy")
    setups = [(2, 4200), (4, 5300), (6, 6700), (12, 10_400), (3, 4600)]
    slope, start = numpy.polyfit([m for m, _ in setups], [t / 100 for _, t in setups], 1)
    found = part_minutes(SetupSums(5, 27, 209, 31_200, sum(m * t for m, t in setups)))
    assert (found.each, found.setting_up) == pytest.approx((slope, start))
    assert part_minutes(SetupSums(5, 20, 80, 30_000, 120_000)).told_apart is False


def test_the_advice_to_a_customer_never_names_the_shop_s_own_floor():
    """The price from which on a regrind would be worth it is the shop's own figure: the owner reads it, nobody else."""
    verdict = judge(replace(SURE, price=600))
    assert verdict.code == PRICE
    assert any(change.kind == "price" for change in verdict.changes)
    assert advise(verdict) == "not at the present price: ask us"


def test_a_customer_s_summary_tells_a_what_if_without_the_shop_s_rate():
    what_if, shop = WhatIf(percent=10, rate_minor=9_000), ShopSettings(currency="USD")
    for_owner = _tried(what_if, ReviewFilter(), shop)
    theirs = _tried(what_if, ReviewFilter(customer=Customer(name="X")), shop)
    assert "90.00 USD an hour" in for_owner
    assert "what-if" in theirs
    assert not any(sign.isdigit() for sign in theirs)
