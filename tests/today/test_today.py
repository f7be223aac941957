import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from regrind.bench.grinding.actions import send_to_coater
from regrind.record.models import Batch, Piece
from regrind.record.moves import move
from regrind.today import work

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(make_batch, bench_hand):
    """Six pieces of one line, each waiting for something else."""
    batch = make_batch(6)
    pieces = list(batch.pieces.select_related("batch__customer", "line__family"))
    move(pieces=pieces[1:], to="inspected", by=bench_hand)
    move(pieces=pieces[2:3], to="waiting", by=bench_hand, done_at=timezone.now() - timedelta(days=4))
    move(pieces=pieces[3:], to="ready_to_grind", by=bench_hand)
    move(pieces=pieces[4:], to="ground", by=bench_hand)
    send_to_coater(
        by=bench_hand,
        batch=batch,
        pieces=pieces[4:5],
        number="S1",
        coater="Brightcoat",
        coating="TiN",
        expected=timezone.localdate() - timedelta(days=1),
    )
    move(pieces=pieces[5:], to="released", by=bench_hand, result="ground")
    return batch


def test_every_piece_stands_under_what_it_waits_for(shop, bench_hand):
    jobs = work.open_jobs()
    assert {where: sum(job.count for job in found) for where, found in jobs.items()} == {
        "arrived": 1,
        "inspected": 1,
        "waiting": 1,
        "ready_to_grind": 1,
        "at_coater": 1,
        "released": 1,
    }
    [stage] = [stage for stage in work.stages(jobs, bench_hand) if stage.title == "To inspect"]
    assert stage.pieces == 1


@pytest.mark.parametrize("role", ["front_desk", "bench_hand", "owner"])
def test_every_link_opens_for_whoever_sees_it(shop, client, request, role):
    client.force_login(request.getfixturevalue(role))
    main = client.get("/").content.decode().partition("<main")[2]
    links = set(re.findall(r'href="(/[^"]*)"', main))
    assert len(links) >= 4
    assert {link: client.get(link, follow=True).status_code for link in links} == dict.fromkeys(links, 200)


def test_a_line_with_a_complaint_has_a_badge(shop, client, bench_hand):
    Piece.objects.filter(batch=shop, status__in=("arrived", "ground")).update(complaint="chatters")
    [arrived] = work.open_jobs()["arrived"]
    assert ("complaint", "rush") in arrived.badges
    client.force_login(bench_hand)
    for page in ("/", "/bench/"):
        assert '<span class="mark rush">complaint</span>' in client.get(page).content.decode()


def test_what_waits_says_for_how_long_and_what_is_away_that_it_is_overdue(shop):
    jobs = work.open_jobs()
    assert [job.days for job in work.waiting(jobs)] == [4]
    assert [job.overdue for job in work.at_coater(jobs)] == [True]


def test_a_batch_to_return_tells_what_is_released_and_what_is_not(shop):
    [row] = work.to_return(work.open_jobs())
    assert (row.batch, row.released, row.open) == (shop, 1, 5)


def test_rush_and_due_come_first(make_batch):
    late, rush, far = make_batch(1), make_batch(1), make_batch(1)
    today = timezone.localdate()
    Batch.objects.filter(pk=late.pk).update(due=today - timedelta(days=2))
    Batch.objects.filter(pk=rush.pk).update(rush=True)
    Batch.objects.filter(pk=far.pk).update(due=today + timedelta(days=30))
    assert work.urgent(work.open_jobs()) == [rush, late]


def test_an_empty_shop_says_what_to_do_first(client, front_desk):
    client.force_login(front_desk)
    page = client.get(reverse("today:page")).content.decode()
    assert "Nothing is in the shop" in page
    assert reverse("receiving:new") in page


def test_the_page_asks_the_same_queries_however_many_pieces(client, owner, make_batch):
    client.force_login(owner)
    counts = []
    for pieces in (1, 10, 400):
        make_batch(pieces)
        with CaptureQueriesContext(connection) as seen:
            assert client.get(reverse("today:page")).status_code == 200
        counts.append(len(seen))
    assert counts[0] == counts[1] == counts[2]
    assert Piece.objects.count() == 411
