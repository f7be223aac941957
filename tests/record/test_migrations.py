"""A migrated empty database has what the models ask for; each room with models has one migration."""

import pytest
from django.apps import apps
from django.db import connection
from django.db.migrations.autodetector import MigrationAutodetector
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.state import ProjectState

from regrind.record.models import AllowedStep
from regrind.record.moves import allowed_pairs

pytestmark = pytest.mark.django_db


def test_the_migrations_lead_to_the_models():
    loader = MigrationLoader(connection)
    found = MigrationAutodetector(loader.project_state(), ProjectState.from_apps(apps)).changes(graph=loader.graph)
    assert found == {}


def test_each_room_has_one_migration():
    names: dict[str, list[str]] = {}
    for app, name in MigrationLoader(None).disk_migrations:
        if apps.get_app_config(app).name.startswith("regrind."):
            names.setdefault(app, []).append(name)
    assert names
    assert set(map(len, names.values())) == {1}


def test_every_column_of_every_model_is_in_the_migrated_database():
    with connection.cursor() as cursor:
        for model in apps.get_models():
            described = connection.introspection.get_table_description(cursor, model._meta.db_table)
            there = {column.name for column in described}
            assert there == {field.column for field in model._meta.local_concrete_fields}, model


def test_the_allowed_steps_are_filled_in():
    assert list(AllowedStep.objects.order_by("pair").values_list("pair", flat=True)) == allowed_pairs()
