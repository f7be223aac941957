"""Ways past the history's triggers, tried with plain SQL; each goes through once the trigger against it is taken away.

SQLite: www.sqlite.org/lang_conflict.html, REPLACE deletes rows without their triggers. PostgreSQL: TRUNCATE fires no
trigger of rows (postgresql.org/docs/current/sql-truncate.html).
"""

import pytest
from django.db import DatabaseError, connection, transaction

from regrind.bench.models import Reading
from regrind.record.models import Customer, LineChange, Rate
from regrind.shop.events import event
from regrind.shop.history import triggers
from regrind.shop.history.seal import broken_seals, seal_history
from regrind.shop.models import Event, History
from tests.events import make_event

pytestmark = pytest.mark.django_db
on_sqlite = pytest.mark.skipif("sqlite" not in connection.settings_dict["ENGINE"], reason="REPLACE is SQLite's")
on_postgres = pytest.mark.skipif("sqlite" in connection.settings_dict["ENGINE"], reason="TRUNCATE is PostgreSQL's")


def run(statement):
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)


def copy_of(model, pk, **changed):
    """INSERT OR REPLACE of a row's copy, with some columns changed to these SQL values."""
    names = [f'"{field.column}"' for field in model._meta.concrete_fields]
    values = [changed.get(name.strip('"'), name) for name in names]
    table = model._meta.db_table
    return (
        f"INSERT OR REPLACE INTO {table} ({', '.join(names)}) SELECT {', '.join(values)} FROM {table} WHERE id = {pk}"
    )


def drop(table, *events):
    for name in events:
        run(f"DROP TRIGGER history_{table}_{name}")


@pytest.fixture
def change(make_batch, bench_hand):
    line = make_batch(1).lines.get()
    return LineChange.objects.create(event=make_event(bench_hand), line=line, kind="recounted", description="12")


@on_sqlite
def test_no_row_of_an_insert_only_table_is_replaced(change):
    statement = copy_of(LineChange, change.pk, description="'11'")
    with pytest.raises(DatabaseError, match="nothing replaces it"):
        run(statement)
    drop("record_linechange", "replace_insert")
    run(statement)  # without it the row is another one, and no trigger of a change has fired
    assert LineChange.objects.get(pk=change.pk).description == "11"


@on_sqlite
@pytest.mark.parametrize("table", ["shop_event", "shop_history", "shop_historyseal"])
def test_neither_an_event_nor_the_history_nor_a_seal_is_replaced(change, table):
    from datetime import timedelta

    from django.apps import apps

    seal_history(timedelta(0))
    model = next(one for one in apps.get_models() if one._meta.db_table == table)
    with pytest.raises(DatabaseError, match="nothing replaces it"):
        run(copy_of(model, model.objects.first().pk))


@on_sqlite
def test_a_row_is_not_replaced_by_way_of_another_unique_key(customer):
    other = Customer.objects.create(name="Other")
    with pytest.raises(DatabaseError, match="nothing replaces it"):
        run(copy_of(Customer, customer.pk, id="999", name="'Other'"))
    with pytest.raises(DatabaseError, match="nothing replaces it"):
        run(f"UPDATE OR REPLACE record_customer SET name = 'Other' WHERE id = {customer.pk}")
    assert set(Customer.objects.values_list("name", flat=True)) == {customer.name, "Other"}
    drop("record_customer", "replace_update")
    run(f"UPDATE OR REPLACE record_customer SET name = 'Other' WHERE id = {customer.pk}")
    assert not Customer.objects.filter(pk=other.pk).exists()
    assert not History.objects.filter(table="record_customer", what="gone").exists()  # gone without a trace


@on_sqlite
def test_a_person_is_not_replaced_by_the_same_name_in_capitals(bench_hand):
    with pytest.raises(DatabaseError, match="nothing replaces it"):
        run(copy_of(type(bench_hand), bench_hand.pk, id="999", name="'BEA'"))


def test_a_row_still_gets_its_own_new_values(customer):
    Customer.objects.filter(pk=customer.pk).update(name="Brookfield Tooling Ltd")
    customer.refresh_from_db()
    assert customer.name == "Brookfield Tooling Ltd"


@on_postgres
@pytest.mark.parametrize("table", ["record_linechange", "shop_history", "shop_event", "record_customer"])
def test_no_guarded_table_is_emptied(change, table):
    with pytest.raises(DatabaseError, match="insert-only"):
        run(f"SET CONSTRAINTS ALL IMMEDIATE; TRUNCATE {table} CASCADE")


@on_postgres
def test_it_is_the_trigger_that_refuses_to_empty_it(change):
    run("DROP TRIGGER history_record_linechange_truncate ON record_linechange")
    run("SET CONSTRAINTS ALL IMMEDIATE; TRUNCATE record_linechange")
    assert not LineChange.objects.exists()


@on_postgres
def test_no_row_is_changed_by_way_of_a_conflict(change):
    with pytest.raises(DatabaseError, match="insert-only"):
        run(
            "INSERT INTO record_linechange SELECT * FROM record_linechange "
            "ON CONFLICT (id) DO UPDATE SET description = '11'"
        )


def test_a_rate_and_a_reading_are_in_the_chain(owner, bench_hand, make_batch):
    """Whoever alters one past the triggers, and its copy in the history too, breaks the chain."""
    from datetime import date, timedelta

    with event(owner, "rates set") as happened:
        rate = Rate.objects.create(
            event=happened, what="hourly", amount=9000, currency="USD", from_day=date(2026, 3, 1)
        )
    copy = History.objects.get(table="record_rate", row=rate.pk)
    assert (copy.what, copy.event) == ("added", happened)
    assert "9000" in copy.new
    assert Reading._meta.label in triggers.SEALED
    seal_history(timedelta(0))
    assert broken_seals() == []
    triggers.remove()
    run("UPDATE record_rate SET amount = 1")
    run("UPDATE shop_history SET new = replace(new, '9000', '1') WHERE \"table\" = 'record_rate'")
    triggers.install()
    assert len(broken_seals()) == 1


def test_an_event_with_a_reading_is_still_undone(make_batch, bench_hand):
    """Undo reads the history: the copies of insert-only rows are no changes to be put back."""
    from regrind.shop.undo import read_changes

    with event(bench_hand, "rates set") as happened:
        Rate.objects.create(event=happened, what="hourly", amount=1, currency="USD", from_day="2026-03-01")
    assert read_changes(happened) == []
    assert Event.objects.filter(pk=happened.pk).exists()


def test_whoever_rewrites_history_and_seals_alike_is_betrayed_by_a_backups_name(
    customer, client, owner, settings, tmp_path, capsys
):
    from datetime import timedelta

    from django.core.management import call_command
    from django.urls import reverse

    from regrind.shop.models import HistorySeal

    settings.BACKUPS = tmp_path
    seal_history(timedelta(0))
    head = HistorySeal.objects.order_by("last").last().digest[:12]
    (tmp_path / f"regrind-20260617T020000Z-{head}.tar").write_bytes(b"x")
    client.force_login(owner)
    assert "not in this history</" not in client.get(reverse("shop:backups")).content.decode()
    triggers.remove()  # the work of somebody who knows how the chain is made
    run("UPDATE shop_history SET new = replace(new, 'Brookfield', 'Nobody')")
    run("DELETE FROM shop_historyseal")
    seal_history(timedelta(0))
    triggers.install()
    assert broken_seals() == []
    assert "not in this history</" in client.get(reverse("shop:backups")).content.decode()
    call_command("check_database", "--history")
    assert f"names the seal {head}, which this history does not have" in capsys.readouterr().out
