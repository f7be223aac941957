"""The review's sums as rows: cells, and the sums of the cells of a year. `record.rollups` alone writes them."""

from datetime import date

from django.db import models

from ..figures import NAMES, Figures, TallyName
from .customers import Customer
from .families import Family


def _count() -> "models.BigIntegerField[int, int]":
    return models.BigIntegerField(default=0)


ALL_YEARS = date.min


class Summed(models.Model):
    """A column for each of `Figures`, so that any rows add up exactly and alike on both databases.

    A row whose pieces have all gone elsewhere stays, with zeros.
    """

    class Meta:
        abstract = True

    @property
    def figures(self) -> Figures:
        """What the columns say."""
        return Figures(*(getattr(self, name) for name in NAMES))


for _name in NAMES:
    Summed.add_to_class(_name, _count())


class FamilyMonth(Summed):
    """One cell of the review: a family's pieces that one customer's boxes brought in one month (UTC).

    Everything about a visit counts in the month its box came in. A cell is counted from the record, in the
    transaction of the event that touched it.
    """

    family = models.ForeignKey(Family, on_delete=models.PROTECT, related_name="+")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="+")
    month = models.DateField("the first of the month its boxes came in")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["family", "customer", "month"], name="one_cell_a_month")]
        indexes = [models.Index(fields=["customer", "month"]), models.Index(fields=["month"])]


class FamilyYear(Summed):
    """The sum of a family's cells of one year, over all customers: a page adds twenty of these, not a thousand cells.

    It is changed by what its cells change, in the same transaction. One row more, with ALL_YEARS, sums all of them.
    """

    family = models.ForeignKey(Family, on_delete=models.PROTECT, related_name="+")
    year = models.DateField("the first of January of the year its boxes came in")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["family", "year"], name="one_family_a_year")]
        indexes = [models.Index(fields=["year"])]


class CustomerYear(Summed):
    """The sum of one customer's cells of a family and a year, or with ALL_YEARS of all of them."""

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="+")
    family = models.ForeignKey(Family, on_delete=models.PROTECT, related_name="+")
    year = models.DateField("the first of January of the year its boxes came in")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["customer", "family", "year"], name="one_customers_family_a_year"),
        ]
        indexes = [models.Index(fields=["year", "customer"])]


class Tallied(models.Model):
    """How often something was in one row above: for the review's pictures, which never scan readings.

    what: a `TallyName`. key: what it counts, as text. n of them, good of those, total and squares of the
    measured values.
    """

    what: "models.CharField[TallyName, TallyName]" = models.CharField(max_length=10)
    key = models.CharField(max_length=300)
    n = _count()
    good = _count()
    total = _count()
    squares = _count()

    class Meta:
        abstract = True
        verbose_name_plural = "tallies"

    @property
    def values(self) -> list[int]:
        return [self.n, self.good, self.total, self.squares]


class Tally(Tallied):
    """In one cell."""

    cell = models.ForeignKey(FamilyMonth, on_delete=models.CASCADE, related_name="tallies")

    class Meta(Tallied.Meta):
        abstract = False
        constraints = [models.UniqueConstraint(fields=["cell", "what", "key"], name="one_tally_of_a_thing")]
        indexes = [models.Index(fields=["what", "cell"])]


class YearTally(Tallied):
    """In one family's year."""

    cell = models.ForeignKey(FamilyYear, on_delete=models.CASCADE, related_name="tallies")

    class Meta(Tallied.Meta):
        abstract = False
        constraints = [models.UniqueConstraint(fields=["cell", "what", "key"], name="one_tally_of_a_thing_a_year")]
        indexes = [models.Index(fields=["what", "cell"])]
