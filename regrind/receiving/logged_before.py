"""Whether the lines of a box were logged before: the same list twice."""

from collections.abc import Sequence

from django.db.models import Count

from regrind.record.models import Batch, Line

LEAST_LINES = 3  # one or two like lines come in box after box
RECENT = 60  # of the customer's batches
ALIKE = 0.8


def logged_before(batch: Batch, wordings: Sequence[str]) -> list[Batch]:
    """The recent batches of this customer, this one among them, that hold nearly all of these lines, word for word."""
    different = set(wordings)
    if len(different) < LEAST_LINES:
        return []
    recent = Batch.objects.filter(customer=batch.customer_id, cancelled="").order_by("-number")[:RECENT]
    alike = (
        Line.objects.filter(batch__in=list(recent), wording__in=different)
        .values("batch")
        .annotate(n=Count("wording", distinct=True))
        .order_by()
    )
    keys = [row["batch"] for row in alike if row["n"] >= ALIKE * len(different)]
    return list(Batch.objects.filter(pk__in=keys).order_by("-number"))
