"""When the years are filled in, and when not."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction

from regrind.record.models import Piece
from regrind.shop.models import Person

pytestmark = pytest.mark.django_db


def told() -> list[tuple]:
    return list(
        Piece.objects.order_by("pk").values_list(
            "line__family__catalogue",
            "result",
            "status",
            "reason",
            "batch__customer__name",
            "tool__tag",
            "complaint",
        )
    )


def test_the_same_seed_gives_the_same_years(db):
    runs = []
    for seed in (5, 5, 6):
        with transaction.atomic():
            call_command("fill_years", visits=120, seed=seed, stdout=StringIO())
            runs.append(told())
            transaction.set_rollback(True)
    assert runs[0] == runs[1] != runs[2]


def test_a_shop_that_holds_anything_is_refused_and_stays_as_it_was(make_batch):
    make_batch(3)
    with pytest.raises(CommandError, match="not empty"):
        call_command("fill_years", visits=10)
    assert Piece.objects.count() == 3
    assert not Person.objects.filter(name="Fill-in").exists()


@pytest.mark.parametrize("visits", [0, -1, 10_000_001])
def test_visits_out_of_range_are_refused(visits, db):
    with pytest.raises(CommandError, match="from 1 to 10000000"):
        call_command("fill_years", visits=visits)
