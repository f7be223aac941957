"""A box comes in, its head is mended, something that is not theirs is noted."""

from datetime import date, datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Max
from django.utils import timezone

from regrind.record.models import Batch, Customer, ForeignItem
from regrind.record.rollups import cells_of, touch
from regrind.shop.events import Conflict, Refusal, event
from regrind.shop.models import Person
from regrind.shop.owner.settings import shop_settings

TRIES = 50


def open_batch(
    *,
    by: Person,
    customer: Customer,
    order_number: str = "",
    their_count: int | None = None,
    due: date | None = None,
    rush: bool = False,
    note: str = "",
    received_at: datetime | None = None,
) -> Batch:
    """Log a box's arrival under the next free number; boxes logged in the same instant get one each.

    received_at: when it came, if entered later; Refusal where that lies in the future.
    """
    if received_at and received_at > timezone.now():
        raise Refusal("The time of receiving lies in the future.")
    with event(by, "received", done_at=received_at) as receiving:
        for _ in range(TRIES):
            number = _next_number()
            try:
                with transaction.atomic():
                    return Batch.objects.create(
                        number=number,
                        customer=customer,
                        order_number=order_number,
                        their_count=their_count,
                        due=due,
                        rush=rush,
                        note=note,
                        received_by=by,
                        received_at=receiving.done_at,
                    )
            except IntegrityError:  # someone else's box took the number: it is committed by now
                if not Batch.objects.filter(number=number).exists():
                    raise
        raise Conflict("Other boxes took every number tried: send the form again.")


def _next_number() -> int:
    last = Batch.objects.aggregate(m=Max("number"))["m"]
    return shop_settings().first_number if last is None else last + 1


def change_batch(*, by: Person, batch: Batch, **changes: Any) -> None:
    """Change the head of a batch: order_number, their_count, difference, due, rush, note, received_at."""
    with event(by, "batch changed"):
        lines = list(batch.lines.values_list("pk", flat=True))
        touch(cells=cells_of(lines), lines=lines)
        Batch.objects.filter(pk=batch.pk).update(**changes)


def note_foreign_item(*, by: Person, batch: Batch, description: str) -> ForeignItem:
    """Write down something in the box that is not theirs, or no tool. Refusal without words."""
    if not description.strip():
        raise Refusal("Write what it is.")
    with event(by, "foreign item", why=description) as noting:
        return ForeignItem.objects.create(event=noting, batch=batch, description=description)
