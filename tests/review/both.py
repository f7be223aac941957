"""The same figures by both ways: as the review tells them, and as plain Python counts them from the raw rows."""

from regrind.record.models import Family
from regrind.review.families import all_rows, with_reasons
from regrind.review.filters import ReviewFilter, month_of

from .plain import Record, figures, saved

COUNTED = ("received", "decided", "ground", "good", "complained", "stock_n", "earning_n")
FIGURED = (
    "good_share",
    "minutes_hundredths",
    "price_minor",
    "earns_minor",
    "saves_minor",
    "wheel_each_minor",
    "stock_nm",
    "regrinds_before",
    "regrinds_left",
)


def told_by_the_review(look: ReviewFilter) -> dict[int, dict]:
    told = {}
    for row in with_reasons(all_rows(look), look):
        told[row.key] = (
            {name: getattr(row.sums, name) for name in COUNTED}
            | {name: getattr(row, name) for name in FIGURED}
            | {
                "off_plan_nm": row.sums.off_plan.mean,
                "reasons": {line.key: line.n for line in row.reasons},
                "saved": (row.sums.saved_minor, row.sums.saved_n),
            }
        )
    return told


def counted_plainly(look: ReviewFilter) -> dict[int, dict]:
    record, families = Record(), {family.pk: family for family in Family.objects.all()}
    wanted = {
        "customer": look.customer.pk if look.customer else None,
        "since": month_of(look.since) if look.since else None,
        "until": month_of(look.until) if look.until else None,
    }
    found = {}
    for family in families.values():
        told = figures(record, family, **wanted)
        if told["received"]:
            found[family.pk] = told | {"saved": saved(record, families, family=family.pk, **wanted)}
    return found
