import json

import pytest
from django.db import DatabaseError, connection, transaction

from regrind.record.models import Customer, LineChange
from regrind.shop.events import event
from regrind.shop.history import triggers
from regrind.shop.history.database import refuse_unsafe
from regrind.shop.models import History
from tests.events import make_event

pytestmark = pytest.mark.django_db


def test_a_change_leaves_who_when_old_new_and_why(bench_hand, customer):
    with event(bench_hand, "test", why="they moved"):
        Customer.objects.filter(pk=customer.pk).update(note="12345")
    row = History.objects.filter(table="record_customer", what="changed").get()
    assert (row.who, row.event.why, row.row) == ("Bea", "they moved", customer.pk)
    assert (json.loads(row.old)["note"], json.loads(row.new)["note"]) == ("", "12345")


def test_raw_sql_without_an_actor_is_written_down_as_unknown(customer):
    with connection.cursor() as cursor:
        cursor.execute("UPDATE record_customer SET note = '9' WHERE id = %s", [customer.pk])
    assert History.objects.filter(what="changed").get().who == "unknown"


def test_an_update_that_changes_nothing_leaves_nothing(customer):
    Customer.objects.filter(pk=customer.pk).update(note=customer.note)
    assert not History.objects.filter(what="changed").exists()


@pytest.mark.parametrize("statement", ["UPDATE shop_history SET what = 'x'", "DELETE FROM shop_history"])
def test_history_itself_cannot_be_changed(customer, statement):
    assert History.objects.exists()
    with pytest.raises(DatabaseError, match="insert-only"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)


def test_insert_only_rows_refuse_change_and_deletion(make_batch, bench_hand):
    line = make_batch(1).lines.get()
    LineChange.objects.create(event=make_event(bench_hand), line=line, kind="recounted", description="12, not 11")
    with pytest.raises(DatabaseError, match="insert-only"), transaction.atomic():
        LineChange.objects.update(description="13")
    with pytest.raises(DatabaseError, match="insert-only"), transaction.atomic():
        LineChange.objects.all().delete()


def test_a_password_never_reaches_the_history(bench_hand):
    rows = History.objects.filter(table="shop_person").values_list("new", flat=True)
    assert rows
    assert not any('"password"' in text or bench_hand.password in text for text in rows)


def test_start_up_refuses_when_a_trigger_is_missing():
    refuse_unsafe()
    triggers.remove()
    assert triggers.missing_triggers()
    with pytest.raises(Exception, match="history triggers are missing"):
        refuse_unsafe()
    triggers.install()
    assert triggers.missing_triggers() == []
