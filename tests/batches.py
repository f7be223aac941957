"""Batches in one call, for fixtures of a test and of a module."""

from django.db.models import Max

from regrind.record.models import Batch, Customer, Family, Line, Piece
from regrind.shop.events import event
from regrind.shop.models import Person


def new_batch(*counts: int, of: Family, owner: Customer, by: Person, number: int | None = None) -> Batch:
    """new_batch(12, 3, ...) -> a batch with lines of 12 and 3 pieces of the same family, arrived."""
    with event(by, "test"):
        number = number or 1 + (Batch.objects.aggregate(last=Max("number"))["last"] or 0)
        batch = Batch.objects.create(number=number, customer=owner, received_by=by)
        for n, count in enumerate(counts, start=1):
            line = Line.objects.create(batch=batch, number=n, family=of)
            Piece.objects.bulk_create(
                [Piece(batch=batch, original_line=n, number=k, line=line) for k in range(1, count + 1)]
            )
    return batch
