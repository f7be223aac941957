from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class ShopConfig(AppConfig):
    name = "regrind.shop"

    def ready(self) -> None:
        post_migrate.connect(install_history, dispatch_uid="history")


def install_history(app_config: AppConfig, **_: Any) -> None:
    """Once, after the last room's tables are there: the one signal of this project."""
    from django.apps import apps
    from django.db import connection

    from .history import triggers

    last = [c for c in apps.get_app_configs() if c.name.startswith("regrind.") and c.models_module][-1]
    if app_config.name != last.name:
        return
    tables = set(connection.introspection.table_names())
    if all(apps.get_model(label)._meta.db_table in tables for label in triggers.GUARDED):
        triggers.install()
