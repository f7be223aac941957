"""The years that fill a shop for measuring: what they hold fits together, and the database's guards are all there."""

from collections import Counter
from io import StringIO

import pytest
from django.core.management import call_command

from regrind.bench.models import FinalCheck, Grind, Inspection, Plan, Reading
from regrind.office.models import ParcelPiece
from regrind.record.models import Batch, Customer, Family, FamilyMonth, Line, Piece, Step, Tool
from regrind.record.moves import ALL_PAIRS, ON_HAND, move
from regrind.record.rollup_rebuild import differences
from regrind.record.tags import read_tag
from regrind.shop.history import triggers
from regrind.shop.models import History
from tests.kept import kept

pytestmark = pytest.mark.django_db
VISITS = 1_500


@pytest.fixture(scope="module")
def years(django_db_setup, django_db_blocker):
    yield from kept(django_db_blocker, lambda: call_command("fill_years", visits=VISITS, seed=5, stdout=StringIO()))


def test_the_years_hold_as_many_visits_as_asked_and_their_sums_equal_a_recount(years):
    assert Piece.objects.count() == VISITS
    assert sum(FamilyMonth.objects.values_list("received", flat=True)) == VISITS
    assert list(differences()) == []
    assert Customer.objects.count() == 40
    assert Family.objects.count() == 300


def test_every_piece_stands_where_its_steps_led_and_every_step_is_allowed(years):
    last = {}
    for step in Step.objects.order_by("piece", "number"):
        assert step.pair_id in ALL_PAIRS
        assert step.was == last.get(step.piece_id, ("arrived", 0))[0]
        assert step.number == last.get(step.piece_id, ("arrived", 0))[1] + 1
        last[step.piece_id] = (step.now, step.number)
    for piece in Piece.objects.all():
        assert (piece.status, piece.steps_taken) == last.get(piece.pk, ("arrived", 0))
    for batch in Batch.objects.prefetch_related("pieces"):
        assert batch.closed == (not any(p.status in ON_HAND for p in batch.pieces.all()))


def test_what_is_ground_has_its_rows_and_five_readings_two_more_where_it_was_sent_back(years):
    done = set(Piece.objects.filter(result="ground", status="left").values_list("pk", flat=True))
    assert len(done) > VISITS // 2
    for model in (Inspection, Plan, Grind, FinalCheck):
        assert done <= set(model.objects.values_list("piece", flat=True))
    assert set(ParcelPiece.objects.values_list("piece", flat=True)) == set(
        Piece.objects.filter(status="left").values_list("pk", flat=True)
    )
    readings = Counter(Reading.objects.filter(inspection__isnull=False).values_list("inspection__piece", flat=True))
    readings.update(Reading.objects.filter(final_check__isnull=False).values_list("final_check__piece", flat=True))
    back = set(FinalCheck.objects.filter(passed=False).values_list("piece", flat=True))
    assert all(readings[piece] == (7 if piece in back else 5) for piece in done)
    assert back & done


def test_few_customers_bring_most_cutters_wear_and_are_given_up(years):
    seen = sorted(Counter(Piece.objects.values_list("batch__customer", flat=True)).values(), reverse=True)
    assert sum(seen[:8]) > VISITS * 0.4
    lives = {}
    read = Reading.objects.filter(inspection__piece__tool__isnull=False, quantity="diameter")
    for tool, diameter in read.order_by("inspection__piece__batch__number", "pk").values_list(
        "inspection__piece__tool", "nm"
    ):
        lives.setdefault(tool, []).append(diameter)
    again = [life for life in lives.values() if len(life) > 2]
    assert again
    assert all(life[-1] < life[0] for life in again)
    assert Piece.objects.filter(result="scrap").exists()
    assert Piece.objects.filter(complaint_of__isnull=False).exists()
    assert all(read_tag(tag) == tag for tag in Tool.objects.values_list("tag", flat=True))


def test_there_is_open_work_and_the_shop_goes_on_from_there(years, bench_hand):
    assert {"arrived", "inspected"} <= set(Piece.objects.values_list("status", flat=True))
    piece = Piece.objects.filter(status="arrived").first()
    move(pieces=[piece], to="inspected", by=bench_hand)
    Line.objects.create(batch=Batch.objects.first(), number=99, family=Family.objects.first())
    assert list(differences()) == []


def test_the_guards_stay_and_what_leaves_history_left_it(years):
    assert triggers.missing_triggers() == []
    assert History.objects.filter(table="record_piece", what="added").count() == VISITS
    assert {row.who for row in History.objects.filter(table="record_piece")[:50]} == {"the program"}
    assert not History.objects.filter(event=None).exists()
