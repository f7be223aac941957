"""What was undone never happened: three cases that were seen, each told wrong by a program that compared times."""

import pytest
from django.utils import timezone

from regrind.bench.checking.actions import check
from regrind.bench.grinding.actions import grind
from regrind.bench.revisions import summarize_grinds
from regrind.bench.setups.waiting import find_standing
from regrind.geometry.units import parse
from regrind.office.papers.drafts import draft
from regrind.record.models import FamilyMonth
from tests.bench.tray import pieces_of, ready_to_grind
from tests.events import undo_newest

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch):
    return make_batch(2, number=417).lines.get()


def test_a_grind_typed_again_for_the_same_time_happened(line, bench_hand):
    ready_to_grind(line, bench_hand)
    when = timezone.now()
    grind(by=bench_hand, pieces=pieces_of(line), expected={}, grinds=["sides"], minutes_hundredths=2400, done_at=when)
    undo_newest(pieces_of(line), bench_hand)
    again = pieces_of(line)
    grind(
        by=bench_hand,
        pieces=again,
        expected={piece.pk: 1 for piece in again},
        grinds=["sides"],
        minutes_hundredths=2400,
        done_at=when,
    )
    ground = summarize_grinds(again)
    assert set(ground.newest) == {piece.pk for piece in again}
    assert set(ground.parts.values()) == {("sides",)}
    month = FamilyMonth.objects.get()
    assert (month.minutes_n, month.minutes_hundredths) == (2, 2400)


def test_a_release_that_was_undone_is_not_on_the_report(line, bench_hand, gauges):
    ready_to_grind(line, bench_hand)
    grind(by=bench_hand, pieces=pieces_of(line), expected={}, grinds=["sides", "end"])
    check(
        by=bench_hand,
        pieces=pieces_of(line),
        expected={},
        typed={"diameter": parse("0.2408 in")},
        corner="sharp",
        coating="coating ground off on the flank",
        gauge=gauges["v-anvil"],
    )
    undo_newest(pieces_of(line), bench_hand)
    assert not draft("report", "417").values.released_by


def test_the_wheel_of_a_grind_that_was_undone_is_not_on_the_machine(line, bench_hand, wheel):
    ready_to_grind(line, bench_hand)
    grind(by=bench_hand, pieces=pieces_of(line), expected={}, grinds=["sides"], wheel=wheel)
    undo_newest(pieces_of(line), bench_hand)
    assert find_standing() is None
