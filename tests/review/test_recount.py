"""Every figure of the review against a count of the raw rows in plain Python, equal to the last digit."""

from datetime import timedelta

import pytest
from django.db import connection
from django.utils import timezone

from regrind.record.customer_savings import sum_savings
from regrind.record.models import Customer, Family, Piece
from regrind.review.customers import customer_rows
from regrind.review.families import all_rows
from regrind.review.filters import ReviewFilter, WhatIf, month_of
from regrind.review.intervals import share_interval
from regrind.review.rows import case_of
from tests.long_form import FULL

from .both import COUNTED, FIGURED, counted_plainly, told_by_the_review
from .conftest import SHOPS
from .plain import DONE, Record, figures, saved

pytestmark = pytest.mark.django_db
SEEDS = range(1, 6) if FULL else range(1, 2)
MADE = [(name, seed, 400 if name == "busy" else 200) for seed in SEEDS for name in SHOPS]
NAMED = [(name, 1) for name in SHOPS]
MADE.append(("undone", 303, 300))  # where a check followed a setup that had been taken back
if connection.vendor == "postgresql" and not FULL:
    MADE = MADE[::2]  # the counting is one; what differs is how the database adds up
in_each = pytest.mark.parametrize("made_shop", MADE, indirect=True, ids=lambda of: " ".join(map(str, of)))


@in_each
def test_every_figure_of_a_generated_shop_is_that_of_the_raw_rows(made_shop):
    today, customer = timezone.localdate(), Customer.objects.order_by("pk").first()
    whole = counted_plainly(ReviewFilter())
    assert told_by_the_review(ReviewFilter()) == whole
    assert sum(told["received"] for told in whole.values()) == Piece.objects.count() > 10
    for look in (
        ReviewFilter(customer=customer),
        ReviewFilter(since=today - timedelta(days=50)),
        ReviewFilter(until=today - timedelta(days=100)),
        ReviewFilter(customer=customer, since=today - timedelta(days=420), until=today - timedelta(days=380)),
    ):
        assert told_by_the_review(look) == counted_plainly(look)


@pytest.mark.parametrize("made_shop", [of for of in MADE if of[:2] in NAMED], indirect=True, ids=lambda of: of[0])
def test_the_made_shops_hold_what_they_are_named_after(made_shop):
    """Else the recount would prove less than it says."""
    told = told_by_the_review(ReviewFilter())
    if made_shop.name == "all scrap":
        assert all(row["good"] == 0 for row in told.values())
        assert sum(row["decided"] for row in told.values())
    elif made_shop.name == "busy":
        for name in (*COUNTED, *FIGURED, "off_plan_nm", "reasons", "saved"):
            # regrinds left come from a worked-out answer alone, which these shops' plain plans have none of
            assert name == "regrinds_left" or any(row[name] for row in told.values()), name
    else:
        assert all(made_shop.done[what] for what in SHOPS[made_shop.name])


@in_each
def test_the_verdict_rests_on_the_raw_rows_and_todays_rates(made_shop):
    record, today = Record(), timezone.localdate()
    for row in all_rows(ReviewFilter()):
        plain, case = figures(record, row.family), case_of(row, WhatIf())
        assert (case.good, case.ground, case.decided) == (plain["good"], plain["ground"], plain["decided"])
        said = record.rate("price", row.family, today)
        assert case.price == (plain["price_minor"] if said is None else said)
        hourly, wheel, new = (record.rate(what, row.family, today) for what in ("hourly", "wheel", "new"))
        assert (case.rate, case.wheel, case.new) == (hourly, wheel or 0, new)  # a wheel that costs nothing yet
        assert row.verdict.good_within == share_interval(plain["good"], plain["ground"])
        setups = setups_of(record, row.key)
        if setups:
            assert case.minutes.lot == sum(m for m, _ in setups) / len(setups)
            assert case.minutes.a_piece() == pytest.approx(sum(t for _, t in setups) / 100 / sum(m for m, _ in setups))
    assert made_shop.families


def setups_of(record: Record, family: int) -> list[tuple[int, int]]:
    """(pieces, hundredths) of each setup that stands and has minutes, by line and its own name."""
    mine = {p["id"]: p["line_id"] for p in record.of(family=family)}
    found: dict = {}
    for grind in record.grinds.values():
        if grind["piece_id"] in mine and grind["minutes_hundredths"] and record.stands(grind):
            m, total = found.get((mine[grind["piece_id"]], grind["setup"]), (0, 0))
            found[mine[grind["piece_id"]], grind["setup"]] = (m + 1, total + grind["minutes_hundredths"])
    return list(found.values())


@in_each
def test_what_each_customer_saved_is_that_of_the_raw_rows(made_shop):
    record, families = Record(), {family.pk: family for family in Family.objects.all()}
    rows = {row.key: row for row in customer_rows(ReviewFilter())}
    for customer in Customer.objects.all():
        mine = record.of(customer=customer.pk)
        row = rows.get(customer.pk)
        assert (row is None) == (not mine)
        if row:
            good = sum(record.good(piece) for piece in mine)
            charged = sum(record.price(piece) or 0 for piece in mine)
            assert (row.sums.received, row.sums.good, row.sums.charged_minor) == (len(mine), good, charged)
            assert (row.sums.saved_minor, row.sums.saved_n) == saved(record, families, customer=customer.pk)
            told = sum_savings(customer)
            assert (told.received, told.good, told.saved_minor, told.tools) == (
                len(mine),
                good,
                row.sums.saved_minor,
                row.sums.saved_n,
            )


@in_each
def test_the_last_year_is_told_from_the_time_before(made_shop):
    record, border = Record(), month_of(timezone.localdate()).replace(year=timezone.localdate().year - 1)
    for row in all_rows(ReviewFilter()):
        late = [p for p in record.of(family=row.key) if record.month(p) >= border]
        early = [p for p in record.of(family=row.key) if record.month(p) < border]
        decided = tuple(sum(p["result"] in DONE for p in some) for some in (late, early))
        assert (row.now.decided, row.before.decided) == decided
        assert (row.now.good, row.before.good) == tuple(sum(map(record.good, some)) for some in (late, early))
