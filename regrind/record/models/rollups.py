from django.db import models

from .customers import Customer
from .families import Family


def _count() -> models.BigIntegerField:
    return models.BigIntegerField(default=0)


class FamilyMonth(models.Model):
    """One cell of the review: a family's pieces that one customer's boxes brought in one month (UTC).

    Whole sums alone, so that any cells add up exactly and alike on both databases. Everything about a visit counts in
    the month its box came in. A cell is never typed: `record.rollups` counts it from the record, in the transaction
    of the event that touched it. A cell whose pieces have all gone elsewhere stays, with zeros.
    """

    family = models.ForeignKey(Family, on_delete=models.PROTECT, related_name="+")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="+")
    month = models.DateField("the first of the month its boxes came in")

    seen = _count()
    ground = _count()           # result ground
    good = _count()             # of those: no complaint points at it
    complained = _count()       # of those: one does
    again = _count()            # is itself a complaint about an earlier visit
    as_it_came = _count()
    scrap = _count()
    missing = _count()
    charged_n = _count()        # ground, no complaint, its line has a price
    charged_minor = _count()
    replaced_n = _count()       # good, and stands for a new tool: charged, or a complaint put right
    before_n = _count()         # regrinds before this visit, here and elsewhere, where known
    before_sum = _count()

    left_n = _count()           # regrinds left, by the newest plan, where it said so and was to grind
    left_sum = _count()
    released_first = _count()   # passed its final check and was never sent back by one
    sent_back = _count()        # was sent back by a final check at least once
    minutes_n = _count()        # pieces with minutes in a grind that stands
    minutes_hundredths = _count()
    earning_n = _count()        # of those: brought its price, or is known to bring none (a complaint, not ground)
    earning_hundredths = _count()   # their minutes,
    earning_minor = _count()    # their prices,
    earning_ground = _count()   # and how many of them took a wheel
    setups = _count()           # setups with minutes that stand, m pieces and T hundredths each:
    setup_pieces = _count()     # the sums of m,
    setup_pieces_sq = _count()  # of m * m,
    setup_hundredths = _count()     # of T,
    setup_cross = _count()      # and of m * T
    stock_n = _count()          # measured before and after: what the diameter lost, nm
    stock_sum_nm = _count()
    stock_sumsq = _count()
    plan_n = _count()           # of those with a planned diameter: real less foretold loss of diameter, nm
    plan_sum_nm = _count()
    plan_sumsq = _count()
    plan_above = _count()       # lost more than foretold
    plan_below = _count()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["family", "customer", "month"], name="one_cell_a_month")]
        indexes = [models.Index(fields=["customer", "month"]), models.Index(fields=["month"])]


class Tally(models.Model):
    """How often something was in one cell: for the review's pictures, which never scan readings.

    what: "why" (reason of scrap or as it came), "complaint" (what was wrong, in the cell of the visit complained of),
    "stock" and "foretold" (start of the step of diameter lost, nm), "wear" (start of the step of damage depth at
    arrival, nm, or `corners`, `nothing`: n decided, good of them), "wheel" (its primary key: real less foretold loss
    of diameter, with total and squares). `of` is text.
    """

    cell = models.ForeignKey(FamilyMonth, on_delete=models.CASCADE, related_name="tallies")
    what = models.CharField(max_length=10)
    of = models.CharField(max_length=300)
    n = _count()
    good = _count()
    total = _count()
    squares = _count()

    class Meta:
        verbose_name_plural = "tallies"
        constraints = [models.UniqueConstraint(fields=["cell", "what", "of"], name="one_tally_of_a_thing")]
        indexes = [models.Index(fields=["what", "cell"])]
