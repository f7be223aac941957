"""Drill-down: the pieces behind any figure of a family, newest first, a page at a time by key."""

import re
from collections.abc import Callable
from typing import Any

from django.db.models import Case, Exists, OuterRef, Q, QuerySet, Subquery, When
from django.http import QueryDict

from regrind.bench.models import FinalCheck, Grind, Inspection, Plan
from regrind.bench.readings import diameter_loss, length_reading
from regrind.bench.revisions import grind_of_sides
from regrind.bench.rollup_counters import DECIDED, MOST_STOCK_NM
from regrind.record.models import Family, Line, Piece
from regrind.shop.fields.whole_numbers import read_whole

from .filters import ReviewFilter

PAGE = 25
RESULTS = [
    ("", "all"),
    ("good", "good"),
    ("ground", "ground"),
    ("returned_unground", "as it came"),
    ("scrap", "scrap"),
    ("missing", "missing"),
    ("complained", "came back"),
    ("again", "complaints"),
    ("open", "open"),
]
# What a mean is the mean of, in words.
MEANS = {
    "stock": "those measured before and after their sides were ground",
    "timed": "those with minutes on record",
    "charged": "those that were charged",
    "earning": "those with minutes on record that were charged, or that bring nothing: not ground, or ground "
    "again on a complaint",
    "replaced": "the good ones that were charged, or made good a complaint",
    "counted": "those whose earlier regrinds are known",
    "left": "those whose plan predicted the regrinds left",
}


def _back() -> Exists:
    return Exists(Piece.objects.filter(complaint_of=OuterRef("pk")))


def _taken() -> QuerySet[Any]:
    """What a piece's diameter lost, by its last check that stands: the review's own rule (`bench.counts`)."""
    last = FinalCheck.objects.filter(piece=OuterRef("pk"), passed=True).order_by("-revision")
    lost = Case(When(Exists(grind_of_sides()), then=diameter_loss()), default=None)
    lines: QuerySet[Any] = last.annotate(lost=lost).values("lost")[:1]
    return lines


def _left() -> QuerySet[Any]:
    """Regrinds left by the newest plan, where it was to be ground."""
    last = Plan.objects.filter(piece=OuterRef("pk")).order_by("-revision")
    return last.annotate(left=Case(When(decision="grind", then="regrinds_left"), default=None)).values("left")[:1]


def _timed() -> Exists:
    return Exists(Grind.objects.filter(piece=OuterRef("pk"), minutes_hundredths__gt=0))


NARROWED: dict[str, Callable[[QuerySet[Piece]], QuerySet[Piece]]] = {
    "ground": lambda of: of.filter(result="ground"),
    "returned_unground": lambda of: of.filter(result="returned_unground"),
    "scrap": lambda of: of.filter(result="scrap"),
    "missing": lambda of: of.filter(result="missing"),
    "open": lambda of: of.filter(result=""),
    "good": lambda of: of.filter(~_back(), result="ground"),
    "complained": lambda of: of.filter(_back(), result="ground"),
    "again": lambda of: of.filter(complaint_of__isnull=False),
    "stock": lambda of: of.annotate(lost=Subquery(_taken())).filter(lost__range=(-MOST_STOCK_NM, MOST_STOCK_NM)),
    "timed": lambda of: of.filter(_timed()),
    "charged": lambda of: of.filter(result="ground", complaint_of=None, line__unit_price_minor__isnull=False),
    "earning": lambda of: of.filter(_timed(), result__in=DECIDED).exclude(
        result="ground", complaint_of=None, line__unit_price_minor=None
    ),
    "replaced": lambda of: of.filter(~_back(), result="ground").exclude(complaint_of=None, line__unit_price_minor=None),
    "counted": lambda of: of.filter(before_here__isnull=False, before_elsewhere__isnull=False),
    "left": lambda of: of.annotate(left=Subquery(_left())).filter(left__isnull=False),
}


def pieces_of(family: Family, look: ReviewFilter) -> QuerySet[Piece]:
    """All pieces of a family in the part that is looked at, the newest lines first.

    Lines by their keys and in the order of their keys: both databases then walk an index and stop when they have
    enough, where an order of the pieces alone would sort all that ever came of the family.
    """
    lines = Line.objects.filter(look.lines(), family=family).order_by()
    return Piece.objects.filter(line__in=lines.values("pk")).order_by("-line_id", "-pk")


def pieces_behind(family: Family, look: ReviewFilter, asked: QueryDict) -> QuerySet[Piece]:
    """The pieces that the address asks for; what it asks for and cannot be read narrows nothing."""
    of = pieces_of(family, look)
    if narrow := NARROWED.get(asked.get("result", "")):
        of = narrow(of)
    if reason := asked.get("reason", "")[:300]:
        of = of.filter(Q(result__in=("returned_unground", "scrap"), reason=reason)) if _sound(reason) else of.none()
    if wrong := asked.get("complaint", "")[:300]:
        back = Piece.objects.filter(complaint_of=OuterRef("pk"), complaint=wrong)
        of = of.filter(Exists(back)) if _sound(wrong) else of.none()
    return _took(_worn(of, asked.get("wear", "")), asked.get("took", ""))


def _worn(of: QuerySet[Piece], asked: str) -> QuerySet[Piece]:
    """Those decided on with damage of that depth, `50000-100000` in nm, or of that word, `corners`, when they came:
    as the first inspection that stands read it on this very piece."""
    seen = Inspection.objects.filter(piece=OuterRef("pk")).order_by("revision")
    decided = of.filter(result__in=DECIDED)
    if asked in ("nothing", "corners"):
        return decided.annotate(wear=Subquery(seen.values("damage")[:1])).filter(wear=asked)
    least, most = (read_whole(end) for end in asked.partition("-")[::2])
    if least is None or most is None:
        return of
    deep = Case(When(damage="depth", then=length_reading("damage_depth", inspection="pk")), default=None)
    depth = seen.annotate(deep=deep).values("deep")[:1]
    return decided.annotate(wear=Subquery(depth)).filter(wear__range=(least, most - 1))


def _took(of: QuerySet[Piece], asked: str) -> QuerySet[Piece]:
    """Those whose diameter lost so much, `20000..30000` in nm; what grew lost less than nothing."""
    found = re.fullmatch(r"(-?[0-9]{1,9})\.\.(-?[0-9]{1,9})", asked)
    if not found:
        return of
    least, most = int(found[1]), int(found[2]) - 1
    return of.annotate(lost=Subquery(_taken())).filter(
        lost__range=(max(least, -MOST_STOCK_NM), min(most, MOST_STOCK_NM))
    )


def page_of(of: QuerySet[Piece], before: str) -> tuple[list[Piece], int | None]:
    """At most PAGE pieces that follow the one with the key `before`, and the key that the next page follows."""
    key = read_whole(before)
    line = None if key is None else Piece.objects.filter(pk=key).values_list("line", flat=True).first()
    if key is not None and line is not None:
        of = of.filter(Q(line__lt=line) | Q(pk__lt=key), line__lte=line)
    keys = list(of.values_list("pk", flat=True)[: PAGE + 1])
    pieces = Piece.objects.select_related("line__batch__customer", "batch", "tool").in_bulk(keys[:PAGE])
    return [pieces[pk] for pk in keys[:PAGE]], keys[PAGE - 1] if len(keys) > PAGE else None


def _sound(text: str) -> bool:
    """PostgreSQL keeps no NUL, so nothing holds one."""
    return "\0" not in text
