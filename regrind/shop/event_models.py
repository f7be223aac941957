"""The event behind every record: who did what and when, what was undone, and the rows that belong to it."""

from datetime import datetime
from typing import ClassVar, Self, TypeVar

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from .people.person import Person


class Event(models.Model):
    """One thing that somebody did in the shop; insert-only.

    kind: a key of `event_kinds.KINDS`. by: None where a command of the program acted. done_at: when it was done, which
    may be before it was recorded. undoes: the event that this one undid; an undo is never undone itself. key: the
    once-only key of the form that it came with.
    """

    kind = models.CharField(max_length=24)
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    outsider = models.CharField("who acted by a link, nobody of the shop", max_length=120, blank=True)
    done_at = models.DateTimeField("when it was done", default=timezone.now)
    recorded_at = models.DateTimeField(default=timezone.now)
    why = models.CharField(max_length=300, blank=True)
    undoes = models.OneToOneField("self", null=True, blank=True, on_delete=models.PROTECT, related_name="undone_by")
    key = models.CharField("once-only key", max_length=40, blank=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(recorded_at__gte=F("done_at")), name="done_before_recorded")]

    def __str__(self) -> str:
        return f"{self.kind} {self.pk}"

    @property
    def who(self) -> str:
        """The person's name, `Ann Vale, by the link` where a customer acted, or that it was the program itself."""
        if self.by:
            return self.by.name
        return f"{self.outsider}, by the link" if self.outsider else "the program"


class CurrentEvent(models.Model):
    """On SQLite: the event of the running transaction, for the history's triggers; no row once it is over."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="+")


def not_undone(event: str = "event") -> models.Func:
    """A condition: the event of this row was not undone. event: the path from the row to its event.

    Nearly every query asks it: as a subquery of Django's own it took a quarter of the time that a query is made in.
    """
    return models.Func(
        F(event),
        template='NOT EXISTS(SELECT 1 FROM "shop_event" "undoing" WHERE "undoing"."undoes_id" = %(expressions)s)',
        output_field=models.BooleanField(),
    )


_Row = TypeVar("_Row", bound=models.Model, covariant=True)


class NotUndoneManager(models.Manager[_Row]):
    """Only rows whose event was not undone."""

    def get_queryset(self) -> models.QuerySet[_Row]:
        return super().get_queryset().filter(not_undone())


class EventRow(models.Model):
    """A row that an event wrote; insert-only. `objects` leaves out the undone rows, `every` has them too.

    Joins over a relation (`piece__steps__...`) ignore managers: query from the row's own model, or add `not_undone`.
    """

    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="+")

    objects: ClassVar[NotUndoneManager[Self]] = NotUndoneManager()
    every = models.Manager()

    class Meta:
        abstract = True
        base_manager_name = "every"  # a row may point to an undone one, and says so

    @property
    def by(self) -> Person | None:
        return self.event.by

    @property
    def who(self) -> str:
        return self.event.who

    @property
    def done_at(self) -> datetime:
        return self.event.done_at

    @property
    def recorded_at(self) -> datetime:
        return self.event.recorded_at
