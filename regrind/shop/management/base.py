"""What the shop's own commands share."""

from typing import Any

from django.core.exceptions import ImproperlyConfigured
from django.core.management.base import BaseCommand, CommandError

from regrind.shop.history.database import refuse_newer


class PlainCommand(BaseCommand):
    """A command without Django's checks of the code: they load every page, which takes longer than most commands, and
    the outbox is sent each minute. The suite makes those checks."""

    requires_system_checks: list[str] = []


class ShopCommand(PlainCommand):
    """A command that works on the shop's database; CommandError where a newer program has migrated it."""

    def execute(self, *args: Any, **options: Any) -> str | None:
        try:
            refuse_newer()
        except ImproperlyConfigured as error:
            raise CommandError(str(error)) from error
        return super().execute(*args, **options)
