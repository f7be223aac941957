"""The demo shop is worked through by the same actions as the pages, so it must hold what they promise."""
import pytest
from django.core.management import call_command

from regrind.bench.models import FinalCheck, Inspection, Plan
from regrind.record.models import Batch, Piece, Step
from regrind.record.moves import reconcile
from regrind.review.figures import all_figures
from regrind.shop.models import History

pytestmark = pytest.mark.django_db


@pytest.fixture
def demo():
    call_command("demo", verbosity=0)


def test_the_demo_holds_two_years_of_about_four_hundred_pieces_in_every_state(demo, capsys):
    assert 350 <= Piece.objects.count() <= 480
    days = [batch.received_at for batch in Batch.objects.order_by("received_at")]
    assert (days[-1] - days[0]).days > 600
    there = set(Piece.objects.values_list("whereabouts", flat=True))
    assert there >= {"arrived", "looked_at", "to_grind", "ground", "away", "released", "left"}
    for batch in Batch.objects.all():
        counts = reconcile(batch)
        assert counts["came"] == sum(n for name, n in counts.items() if name != "came")
    assert all(row.seen for row in all_figures())
    call_command("demo", verbosity=0)
    assert "not empty" in capsys.readouterr().out


def test_nothing_in_the_demo_went_past_the_steps_and_every_change_has_an_actor(demo):
    assert Step.objects.exists()
    assert Inspection.objects.exists()
    assert Plan.objects.filter(like=None).exclude(case="").exists()
    assert FinalCheck.objects.filter(passed=True).exists()
    assert not History.objects.filter(actor="unknown", table="record_piece").exists()
