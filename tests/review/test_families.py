from statistics import mean

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from regrind.bench.models import FinalCheck, Grind, Inspection, Plan
from regrind.record.models import Piece, Step
from regrind.review.figures import SORTS, all_figures

pytestmark = pytest.mark.django_db


@pytest.fixture
def two_years(make_batch, bench_hand):
    """Six pieces: four ground (three of them measured before and after), one scrap, one as it came, one complaint."""
    batch = make_batch(6)
    batch.lines.update(unit_price_minor=750)
    pieces = list(batch.pieces.all())
    for n, piece in enumerate(pieces[:4]):
        seen = Inspection.objects.create(piece=piece, revision=1, by=bench_hand, damage="nothing",
                                         diameter_nm=6_350_000 - n if n < 3 else None, diameter_how="measured")
        plan = Plan.objects.create(piece=piece, revision=1, by=bench_hand, inspection=seen, decision="grind",
                                   regrinds_left=n)
        grind = Grind.objects.create(piece=piece, revision=1, by=bench_hand, plan=plan, setup="s", grinds="sides",
                                     minutes_hundredths=250)
        FinalCheck.objects.create(piece=piece, revision=1, by=bench_hand, grind=grind, passed=True,
                                  diameter_nm=6_223_000 if n < 3 else None)
    Piece.objects.filter(pk__in=[p.pk for p in pieces[:4]]).update(result="ground", before_here=1, before_elsewhere=1)
    Piece.objects.filter(pk=pieces[4].pk).update(result="scrap", reason="cracked")
    Piece.objects.filter(pk=pieces[5].pk).update(result="as_it_came", reason="worn past its core",
                                                 complaint_of=pieces[0], complaint="chatters")
    return pieces


def test_figures_equal_a_plain_count_of_the_rows(two_years):
    [row] = all_figures()
    assert (row.seen, row.decided, row.complaints) == (6, 6, 1)
    assert row.ground_percent == pytest.approx(100 * 4 / 6)
    assert row.stock_radial_nm == round(mean((6_350_000 - n - 6_223_000) / 2 for n in range(3)))
    assert row.stock_cases == 3
    assert (row.minutes_hundredths, row.price_minor, row.before) == (250, 750, 2)
    assert row.left == mean(range(4))
    assert row.minor_a_minute == 300
    assert dict(row.reasons) == {"cracked": 1, "worn past its core": 1}


def test_an_empty_shop_has_no_rows_and_says_what_to_do(client, owner):
    client.force_login(owner)
    assert all_figures() == []
    assert b"No tools yet" in client.get(reverse("review:families")).content


def test_every_column_sorts_and_another_is_not_found(client, owner, two_years):
    client.force_login(owner)
    for sort in SORTS:
        assert client.get(reverse("review:families"), {"sort": sort}).status_code == 200
    assert client.get(reverse("review:families"), {"sort": "password"}).status_code == 404


def test_a_family_opens_its_pieces_by_result(client, owner, two_years, family):
    client.force_login(owner)
    page = client.get(reverse("review:family", args=[family.pk]), {"result": "scrap"}).content.decode()
    assert str(two_years[4]) in page
    assert f">{two_years[0]}<" not in page


def test_the_count_of_queries_does_not_grow(client, owner, make_batch):
    client.force_login(owner)
    counts = []
    for pieces in (1, 10, 400):
        make_batch(pieces)
        with CaptureQueriesContext(connection) as seen:
            client.get(reverse("review:families"))
        counts.append(len(seen))
    assert counts[0] == counts[1] == counts[2]


def test_what_was_taken_back_counts_no_minutes_and_no_stock(two_years, bench_hand):
    piece = two_years[0]
    grind = Grind.objects.get(piece=piece)
    check = FinalCheck.objects.get(piece=piece)
    for number, (pair, row) in enumerate((("to_grind>ground", grind), ("ground>released", check)), start=1):
        step = Step.objects.create(piece=piece, number=2 * number, pair_id=pair, by=bench_hand, done_at=row.done_at)
        was, now = pair.split(">")
        Step.objects.create(piece=piece, number=2 * number + 1, pair_id=f"{now}>{was}", by=bench_hand, undoes=step)
    again = Grind.objects.create(piece=piece, revision=2, by=bench_hand, plan=grind.plan, setup="t", grinds="sides",
                                 minutes_hundredths=650)
    [row] = all_figures()
    assert row.minutes_hundredths == round((3 * 250 + again.minutes_hundredths) / 4)
    assert row.stock_cases == 2
