"""Every figure of the review against a count of the raw rows in plain Python, equal to the last digit."""
import os
from datetime import timedelta

import pytest
from django.utils import timezone

from regrind.record.models import Customer, Family, Piece
from regrind.record.saved import sum_saved
from regrind.review.customers import customer_rows
from regrind.review.families import all_rows, with_reasons
from regrind.review.intervals import share_interval
from regrind.review.looking import Look, WhatIf, month_of
from regrind.review.rows import case_of

from .conftest import SHOPS
from .plain import Record, figures, saved

pytestmark = pytest.mark.django_db
SEEDS = range(1, 12) if os.environ.get("REGRIND_FULL") else range(1, 2)
COUNTED = ("seen", "decided", "ground", "good", "complained", "stock_n")
FIGURED = ("good_share", "minutes_hundredths", "price_minor", "earns_minor", "wheel_each_minor", "stock_nm",
           "regrinds_before", "regrinds_left")


def told_by_the_review(look: Look) -> dict[int, dict]:
    told = {}
    for row in with_reasons(all_rows(look), look):
        told[row.key] = {name: getattr(row.sums, name) for name in COUNTED} | {
            name: getattr(row, name) for name in FIGURED} | {
            "off_plan_nm": row.sums.off_plan.mean, "reasons": {line.of: line.n for line in row.reasons},
            "saved": (row.saved_minor, row.saved_n)}
    return told


def counted_plainly(look: Look) -> dict[int, dict]:
    record, families = Record(), {family.pk: family for family in Family.objects.all()}
    wanted = {"customer": look.customer.pk if look.customer else None,
              "since": month_of(look.since) if look.since else None,
              "until": month_of(look.until) if look.until else None}
    found = {}
    for family in families.values():
        told = figures(record, family, **wanted)
        if told["seen"]:
            found[family.pk] = told | {"saved": saved(record, families, family=family.pk, **wanted)}
    return found


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", SHOPS)
def test_every_figure_of_a_generated_shop_is_that_of_the_raw_rows(made_shop, name, seed):
    made_shop(name, seed)
    today, customer = timezone.localdate(), Customer.objects.order_by("pk").first()
    whole = counted_plainly(Look())
    assert told_by_the_review(Look()) == whole
    assert sum(told["seen"] for told in whole.values()) == Piece.objects.count() > 10
    for look in (Look(customer=customer), Look(since=today - timedelta(days=50)),
                 Look(until=today - timedelta(days=100)),
                 Look(customer=customer, since=today - timedelta(days=420), until=today - timedelta(days=380))):
        assert told_by_the_review(look) == counted_plainly(look)


def test_the_made_shops_hold_what_they_are_named_after(made_shop):
    """Else the recount would prove less than it says."""
    scrap = told_by_the_review(made_shop("all scrap") and Look())
    assert scrap
    assert all(told["good"] == 0 for told in scrap.values())
    assert sum(told["decided"] for told in scrap.values())


def test_a_busy_shop_fills_every_figure(made_shop):
    made_shop("complaints", 2, 400)
    told = told_by_the_review(Look())
    for name in (*COUNTED, *FIGURED, "off_plan_nm", "reasons", "saved"):
        # regrinds left come from a worked-out answer alone, which these shops' plain plans have none of
        assert name == "regrinds_left" or any(row[name] for row in told.values()), name


def test_an_empty_shop_has_no_figures(db):
    assert told_by_the_review(Look()) == counted_plainly(Look()) == {}
    assert customer_rows(Look()) == []


def test_one_tool_alone_is_one_of_one(make_batch, family):
    make_batch(1)
    from regrind.record.rebuilding import rebuild
    rebuild()
    [row] = all_rows(Look())
    assert told_by_the_review(Look()) == counted_plainly(Look())
    assert (row.sums.seen, row.good_share, row.verdict.code, row.verdict.n) == (1, None, "too_few", 0)


@pytest.mark.parametrize("name", ["usual", "complaints"])
def test_the_verdict_rests_on_the_raw_rows_and_todays_rates(made_shop, name):
    shop, record = made_shop(name, 2, 400), Record()
    today = timezone.localdate()
    for row in all_rows(Look()):
        plain, case = figures(record, row.family), case_of(row, WhatIf())
        assert (case.good, case.ground, case.decided) == (plain["good"], plain["ground"], plain["decided"])
        said = record.rate("price", row.family, today)
        assert case.price == (plain["price_minor"] if said is None else said)
        assert (case.rate, case.wheel, case.new) == tuple(
            record.rate(what, row.family, today) for what in ("hourly", "wheel", "new"))
        assert row.verdict.kept == share_interval(plain["good"], plain["ground"])
        setups = setups_of(record, row.key)
        if setups:
            assert case.minutes.lot == sum(m for m, _ in setups) / len(setups)
            assert case.minutes.a_piece() == pytest.approx(sum(t for _, t in setups) / 100 / sum(m for m, _ in setups))
    assert shop.families


def setups_of(record: Record, family: int) -> list[tuple[int, int]]:
    """(pieces, hundredths) of each setup that stands and has minutes, by line and its own name."""
    mine = {p["id"]: p["line_id"] for p in record.of(family=family)}
    found: dict = {}
    for grind in record.grinds.values():
        if grind["piece_id"] in mine and grind["minutes_hundredths"] and record.stands(grind, "ground"):
            m, total = found.get((mine[grind["piece_id"]], grind["setup"]), (0, 0))
            found[mine[grind["piece_id"]], grind["setup"]] = (m + 1, total + grind["minutes_hundredths"])
    return list(found.values())


@pytest.mark.parametrize("name", ["usual", "complaints", "partial returns"])
def test_what_each_customer_saved_is_that_of_the_raw_rows(made_shop, name):
    made_shop(name, 3, 300)
    record, families = Record(), {family.pk: family for family in Family.objects.all()}
    rows = {row.key: row for row in customer_rows(Look())}
    for customer in Customer.objects.all():
        mine = record.of(customer=customer.pk)
        row = rows.get(customer.pk)
        assert (row is None) == (not mine)
        if row:
            good = sum(record.good(piece) for piece in mine)
            charged = sum(record.price(piece) or 0 for piece in mine)
            assert (row.sums.seen, row.sums.good, row.sums.charged_minor) == (len(mine), good, charged)
            assert (row.saved_minor, row.saved_n) == saved(record, families, customer=customer.pk)
            told = sum_saved(customer)
            assert (told.came, told.good, told.minor, told.tools) == (len(mine), good, row.saved_minor, row.saved_n)


def test_the_last_year_is_told_from_the_time_before(made_shop):
    made_shop("usual", 4, 300)
    record, border = Record(), month_of(timezone.localdate()).replace(year=timezone.localdate().year - 1)
    for row in all_rows(Look()):
        late = [p for p in record.of(family=row.key) if record.month(p) >= border]
        early = [p for p in record.of(family=row.key) if record.month(p) < border]
        assert (row.now.seen, row.before.seen) == (len(late), len(early))
        assert (row.now.good, row.before.good) == tuple(sum(map(record.good, some)) for some in (late, early))
