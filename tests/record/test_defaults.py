"""Defaults that a family's own history taught: who accepted what, taken back, two at once."""

import pytest
from django.db import DatabaseError, transaction

from regrind.record.defaults import accept_default, accepted, newest_pk
from regrind.record.models import FamilyDefault
from regrind.shop.events import Conflict, Refusal

pytestmark = pytest.mark.django_db


def accept(owner, family, value_nm=25_400, **more):
    told = {"what": "finish_radial", "cases": 40, "off_nm": 12_700, "seen": newest_pk(family, "finish_radial")}
    return accept_default(by=owner, family=family, value_nm=value_nm, **told | more)


def test_what_was_accepted_last_holds_and_who_accepted_it_is_kept(owner, family):
    accept(owner, family)
    row = accept(owner, family, 27_940, cases=55)
    held = accepted(family)["finish_radial"]
    assert (held, held.value_nm, held.cases, held.by) == (row, 27_940, 55, owner)
    assert FamilyDefault.objects.filter(family=family).count() == 2


def test_taken_back_nothing_holds_and_both_rows_stay(owner, family):
    accept(owner, family)
    accept(owner, family, None)
    assert accepted(family) == {}
    assert FamilyDefault.objects.filter(family=family).count() == 2


def test_an_accepted_default_is_never_changed_in_place(owner, family):
    row = accept(owner, family)
    with pytest.raises(DatabaseError, match="insert-only"), transaction.atomic():
        FamilyDefault.objects.filter(pk=row.pk).update(value_nm=1)


@pytest.mark.parametrize(
    "wrong",
    [
        {"what": "stylus"},
        {"value_nm": -1},
        {"value_nm": 1_000_001},
        {"what": "finish_end", "value_nm": 2_000_001, "seen": 0},
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_kept(owner, family, wrong):
    with pytest.raises(Refusal):
        accept(owner, family, **wrong)
    assert not FamilyDefault.objects.exists()


def test_the_second_of_two_who_saw_the_same_is_told(owner, family):
    accept(owner, family, seen=0)
    with pytest.raises(Conflict):
        accept(owner, family, 30_000, seen=0)
    assert FamilyDefault.objects.count() == 1
