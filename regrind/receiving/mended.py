"""What was mended about a box or a line lately, for the bar that undoes it."""

from regrind.record.models import Batch, Line, LineMove
from regrind.record.undo_bar import UndoBar, bar_for
from regrind.shop.models import Event, History, Person

KINDS = ("owner changed", "box cancelled")


def batch_bar(person: Person, batch: Batch) -> UndoBar | None:
    """The newest change of the box's customer, or its cancelling."""
    changes = History.objects.filter(table=Batch._meta.db_table, row=batch.pk).values("event")
    return bar_for(person, Event.objects.filter(kind__in=KINDS, pk__in=changes))


def line_bar(person: Person, line: Line) -> UndoBar | None:
    """The newest move of the line from another box."""
    moves = LineMove.objects.filter(line=line).values("event")
    return bar_for(person, Event.objects.filter(kind="line moved", pk__in=moves))
