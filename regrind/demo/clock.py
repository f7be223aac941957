"""The demo's clock: while it runs, what is entered is recorded at the scenario's time, not in the last minute."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta

from django.apps import apps
from django.utils import timezone

REAL_NOW = timezone.now


EARLIER = timedelta(minutes=15)  # longer than an undo without a reason lasts


class Clock:
    """The scenario's time, which stays a quarter of an hour behind the real one, at midnight too."""

    def __init__(self) -> None:
        self.started = self.time = REAL_NOW() - EARLIER

    def set(self, time: datetime) -> datetime:
        self.time = min(time, self.started)
        return self.time

    def now(self) -> datetime:
        return self.time

    @contextmanager
    def running(self) -> Iterator[None]:
        """Let actions and the columns whose default is the present read this clock."""
        columns = [
            column for model in apps.get_models() for column in model._meta.local_fields if column.default is REAL_NOW
        ]
        timezone.now = self.now
        for column in columns:  # a column keeps the function it was made with
            column.__dict__["_get_default"] = self.now
        try:
            yield
        finally:
            timezone.now = REAL_NOW
            for column in columns:
                column.__dict__.pop("_get_default", None)
