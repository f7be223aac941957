from django.db import models

from ..figures import NAMES, Figures, TallyName
from .customers import Customer
from .families import Family


def _count() -> "models.BigIntegerField[int, int]":
    return models.BigIntegerField(default=0)


class FamilyMonth(models.Model):
    """One cell of the review: a family's pieces that one customer's boxes brought in one month (UTC).

    A column for each of `Figures`, so that any cells add up exactly and alike on both databases. Everything about a
    visit counts in the month its box came in. A cell is never typed: `record.rollups` counts it from the record, in
    the transaction of the event that touched it. A cell whose pieces have all gone elsewhere stays, with zeros.
    """

    family = models.ForeignKey(Family, on_delete=models.PROTECT, related_name="+")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="+")
    month = models.DateField("the first of the month its boxes came in")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["family", "customer", "month"], name="one_cell_a_month")]
        indexes = [models.Index(fields=["customer", "month"]), models.Index(fields=["month"])]

    @property
    def figures(self) -> Figures:
        """What the columns say."""
        return Figures(*(getattr(self, name) for name in NAMES))


for _name in NAMES:
    FamilyMonth.add_to_class(_name, _count())


class Tally(models.Model):
    """How often something was in one cell: for the review's pictures, which never scan readings.

    what: a `TallyName`. key: what it counts, as text. n of them, good of those, total and squares of the
    measured values.
    """

    cell = models.ForeignKey(FamilyMonth, on_delete=models.CASCADE, related_name="tallies")
    what: "models.CharField[TallyName, TallyName]" = models.CharField(max_length=10)
    key = models.CharField(max_length=300)
    n = _count()
    good = _count()
    total = _count()
    squares = _count()

    class Meta:
        verbose_name_plural = "tallies"
        constraints = [models.UniqueConstraint(fields=["cell", "what", "key"], name="one_tally_of_a_thing")]
        indexes = [models.Index(fields=["what", "cell"])]
