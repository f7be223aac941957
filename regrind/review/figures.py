"""The figures of each tool family, in a fixed number of grouped queries whatever the history holds."""
from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Avg, Count, Exists, ExpressionWrapper, F, FloatField, OuterRef, Q, QuerySet, Sum

from regrind.bench.models import FinalCheck, Grind, Plan
from regrind.record.models import Family, Piece, Step

DONE = ("ground", "as_it_came", "scrap")


@dataclass
class FamilyFigures:
    """What the record says of one family. Shares are of the pieces whose result is known; None where nothing is."""

    family: Family
    seen: int = 0
    results: dict[str, int] = field(default_factory=dict)
    reasons: list[tuple[str, int]] = field(default_factory=list)
    complaints: int = 0
    stock_radial_nm: int | None = None          # mean of what a regrind took off the radius, measured before and after
    stock_cases: int = 0
    minutes_hundredths: int | None = None       # bench minutes a ground piece
    price_minor: int | None = None              # mean price of a ground piece
    before: float | None = None                 # mean regrinds a piece had when it came, where known
    left: float | None = None                   # mean regrinds left by the newest plans

    @property
    def decided(self) -> int:
        return sum(self.results.get(result, 0) for result in DONE)

    @property
    def ground_percent(self) -> float | None:
        return 100 * self.results.get("ground", 0) / self.decided if self.decided else None

    @property
    def minor_a_minute(self) -> float | None:
        """Price over minutes: what a bench minute on this family earns, in minor units."""
        if self.price_minor is None or not self.minutes_hundredths:
            return None
        return self.price_minor * 100 / self.minutes_hundredths


SORTS = {
    "family": lambda row: str(row.family),
    "seen": lambda row: -row.seen,
    "ground": lambda row: -(row.ground_percent if row.ground_percent is not None else -1),
    "stock": lambda row: -(row.stock_radial_nm or 0),
    "before": lambda row: -(row.before or 0),
    "left": lambda row: -(row.left if row.left is not None else -1),
    "minutes": lambda row: -(row.minutes_hundredths or 0),
    "price": lambda row: -(row.price_minor or 0),
    "earns": lambda row: -(row.minor_a_minute or 0),
    "complaints": lambda row: -row.complaints,
}


def all_figures(sort: str = "seen", pieces: QuerySet[Piece] | None = None) -> list[FamilyFigures]:
    """Every family that has pieces, sorted by one of SORTS; `pieces` narrows what is counted."""
    of = Piece.objects.all() if pieces is None else pieces
    rows: dict[int, FamilyFigures] = {}
    _count_results(of, rows)
    _count_reasons(of, rows)
    _price(of, rows)
    _stock(of, rows)
    _minutes(of, rows)
    _left(of, rows)
    return sorted(sorted(rows.values(), key=SORTS["family"]), key=SORTS[sort])


def _count_results(of: QuerySet[Piece], rows: dict[int, FamilyFigures]) -> None:
    known_before = Q(before_here__isnull=False, before_elsewhere__isnull=False)
    counted = list(of.values("line__family", "result").order_by().annotate(
        n=Count("id"), wrong=Count("id", filter=Q(complaint_of__isnull=False)), known=Count("id", filter=known_before),
        before=Sum(F("before_here") + F("before_elsewhere"), filter=known_before)))
    families = Family.objects.in_bulk({row["line__family"] for row in counted})
    known: dict[int, list[int]] = defaultdict(lambda: [0, 0])
    for row in counted:
        figures = rows.setdefault(row["line__family"], FamilyFigures(families[row["line__family"]]))
        figures.seen += row["n"]
        figures.results[row["result"]] = row["n"]
        figures.complaints += row["wrong"]
        known[row["line__family"]][0] += row["known"]
        known[row["line__family"]][1] += row["before"] or 0
    for family, (n, total) in known.items():
        rows[family].before = total / n if n else None


def _count_reasons(of: QuerySet[Piece], rows: dict[int, FamilyFigures]) -> None:
    told = (of.filter(result__in=("as_it_came", "scrap")).exclude(reason="").values_list("line__family", "reason")
            .annotate(n=Count("id")).order_by("-n", "reason"))
    for family, reason, n in told:
        rows[family].reasons.append((reason, n))


def _price(of: QuerySet[Piece], rows: dict[int, FamilyFigures]) -> None:
    paid = (of.filter(result="ground", complaint_of=None, line__unit_price_minor__isnull=False)
            .values_list("line__family").annotate(mean=Avg("line__unit_price_minor")).order_by())
    for family, mean in paid:
        rows[family].price_minor = round(mean)


def _stock(of: QuerySet[Piece], rows: dict[int, FamilyFigures]) -> None:
    """Only pieces that were themselves measured before and after count: 'as first piece' is no measurement."""
    taken = ExpressionWrapper((F("grind__plan__inspection__diameter_nm") - F("diameter_nm")) / 2.0,
                              output_field=FloatField())
    whole = FinalCheck.objects.filter(passed=True, piece__in=of, diameter_nm__isnull=False,
                                      grind__grinds__contains="sides", grind__plan__inspection__diameter_how="measured",
                                      grind__plan__inspection__diameter_nm__isnull=False)
    measured = (_stands(whole, "released").values_list("piece__line__family")
                .annotate(mean=Avg(taken), n=Count("id")).order_by())
    for family, mean, n in measured:
        rows[family].stock_radial_nm, rows[family].stock_cases = round(mean), n


def _stands(rows: QuerySet[Any], place: str) -> QuerySet[Any]:
    """Without the rows whose step was taken back: the row stays as it was written, but it did not happen."""
    undone = Step.objects.filter(piece=OuterRef("piece"), done_at=OuterRef("done_at"), undone_by__isnull=False,
                                 pair__pair__endswith=f">{place}")
    return rows.exclude(Exists(undone))


def _minutes(of: QuerySet[Piece], rows: dict[int, FamilyFigures]) -> None:
    spent = (_stands(Grind.objects.filter(piece__in=of), "ground").values_list("piece__line__family")
             .annotate(total=Sum("minutes_hundredths"), n=Count("piece", distinct=True)).order_by())
    for family, total, n in spent:
        rows[family].minutes_hundredths = round(total / n)


def _left(of: QuerySet[Piece], rows: dict[int, FamilyFigures]) -> None:
    left = (Plan.objects.filter(piece__in=of, decision="grind", regrinds_left__isnull=False)
            .values_list("piece__line__family").annotate(mean=Avg("regrinds_left")).order_by())
    for family, mean in left:
        rows[family].left = mean
