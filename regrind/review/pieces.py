"""Drill-down: the pieces behind any figure of a family, newest first, a page at a time by key."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
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
    ("returned_unground", "returned unground"),
    ("scrap", "scrap"),
    ("missing", "missing"),
    ("complained", "returned as a complaint"),
    ("again", "reground on complaint"),
    ("open", "open"),
]
# The pieces that a mean is of, in words.
MEANS = {
    "stock": "those measured before and after their sides were ground",
    "timed": "those with recorded minutes",
    "charged": "those that were charged",
    "earning": "those with recorded minutes that were charged, or that earn nothing: not ground, or ground "
    "again on a complaint",
    "replaced": "the good ones that were charged, or were reground on a complaint",
    "counted": "those whose earlier regrinds are known",
    "left": "those whose plan predicted the regrinds left",
}


ASKED_WEAR = {
    "nothing": "finished ones that were received without damage",
    "corners": "finished ones that were received with damaged corners",
    "unmeasurable": "finished ones that were received damaged past measuring",
}


@dataclass(frozen=True)
class Chip:
    """A link that narrows the list of pieces to one result."""

    words: str
    address: str
    current: bool


def result_chips(asked: Mapping[str, str], link: Callable[..., str]) -> list[Chip]:
    """One chip for each result. asked: what the address narrows the list to. link: the address with changes."""
    other = any(asked[name] for name in ("reason", "complaint", "wear", "took"))
    return [Chip(words, link(result=code), code == asked["result"] and not other) for code, words in RESULTS]


def say_asked(asked: Mapping[str, str]) -> str:
    """What the address narrows the list of pieces to, in words; empty for all, and where a chip says it."""
    if mean := MEANS.get(asked["result"], ""):
        return mean
    if asked["reason"]:
        return f"those not ground because: {asked['reason']}"
    if asked["complaint"]:
        return f"those returned as a complaint: {asked['complaint']}"
    if asked["took"]:
        return "those that lost this much diameter"
    return ASKED_WEAR.get(asked["wear"], "finished ones with this depth of damage") if asked["wear"] else ""


def say_no_pieces(family: Family, *, narrowed: bool) -> str:
    """The words of an empty list."""
    if family.merged_into:
        return "No pieces: this family was merged."
    return "No pieces match." if narrowed else "No pieces yet. They are listed once a box with this family is received."


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
    "ground": lambda pieces: pieces.filter(result="ground"),
    "returned_unground": lambda pieces: pieces.filter(result="returned_unground"),
    "scrap": lambda pieces: pieces.filter(result="scrap"),
    "missing": lambda pieces: pieces.filter(result="missing"),
    "open": lambda pieces: pieces.filter(result=""),
    "good": lambda pieces: pieces.filter(~_back(), result="ground"),
    "complained": lambda pieces: pieces.filter(_back(), result="ground"),
    "again": lambda pieces: pieces.filter(complaint_of__isnull=False),
    "stock": lambda pieces: pieces.annotate(lost=Subquery(_taken())).filter(
        lost__range=(-MOST_STOCK_NM, MOST_STOCK_NM)
    ),
    "timed": lambda pieces: pieces.filter(_timed()),
    "charged": lambda pieces: pieces.filter(result="ground", complaint_of=None, line__unit_price_minor__isnull=False),
    "earning": lambda pieces: pieces.filter(_timed(), result__in=DECIDED).exclude(
        result="ground", complaint_of=None, line__unit_price_minor=None
    ),
    "replaced": lambda pieces: pieces.filter(~_back(), result="ground").exclude(
        complaint_of=None, line__unit_price_minor=None
    ),
    "counted": lambda pieces: pieces.filter(before_here__isnull=False, before_elsewhere__isnull=False),
    "left": lambda pieces: pieces.annotate(left=Subquery(_left())).filter(left__isnull=False),
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
    pieces = pieces_of(family, look)
    if narrow := NARROWED.get(asked.get("result", "")):
        pieces = narrow(pieces)
    if reason := asked.get("reason", "")[:300]:
        pieces = (
            pieces.filter(Q(result__in=("returned_unground", "scrap"), reason=reason))
            if _sound(reason)
            else pieces.none()
        )
    if wrong := asked.get("complaint", "")[:300]:
        back = Piece.objects.filter(complaint_of=OuterRef("pk"), complaint=wrong)
        pieces = pieces.filter(Exists(back)) if _sound(wrong) else pieces.none()
    return _took(_worn(pieces, asked.get("wear", "")), asked.get("took", ""))


def _worn(pieces: QuerySet[Piece], asked: str) -> QuerySet[Piece]:
    """Those decided on with damage of that depth, `50000-100000` in nm, or of that word, `corners`, when they came:
    as the first inspection that stands read it on this very piece."""
    inspections = Inspection.objects.filter(piece=OuterRef("pk")).order_by("revision")
    decided = pieces.filter(result__in=DECIDED)
    if asked in ASKED_WEAR:
        return decided.annotate(wear=Subquery(inspections.values("damage")[:1])).filter(wear=asked)
    least, most = (read_whole(end) for end in asked.partition("-")[::2])
    if least is None or most is None:
        return pieces
    deep = Case(When(damage="depth", then=length_reading("damage_depth", inspection="pk")), default=None)
    depth = inspections.annotate(deep=deep).values("deep")[:1]
    return decided.annotate(wear=Subquery(depth)).filter(wear__range=(least, most - 1))


def _took(pieces: QuerySet[Piece], asked: str) -> QuerySet[Piece]:
    """Those whose diameter lost so much, `20000..30000` in nm; what grew lost less than nothing."""
    match = re.fullmatch(r"(-?[0-9]{1,9})\.\.(-?[0-9]{1,9})", asked)
    if not match:
        return pieces
    least, most = int(match[1]), int(match[2]) - 1
    return pieces.annotate(lost=Subquery(_taken())).filter(
        lost__range=(max(least, -MOST_STOCK_NM), min(most, MOST_STOCK_NM))
    )


def page_of(pieces: QuerySet[Piece], before: str) -> tuple[list[Piece], int | None]:
    """At most PAGE pieces that follow the one with the key `before`, and the key that the next page follows."""
    key = read_whole(before)
    line = None if key is None else Piece.objects.filter(pk=key).values_list("line", flat=True).first()
    if key is not None and line is not None:
        pieces = pieces.filter(Q(line__lt=line) | Q(pk__lt=key), line__lte=line)
    keys = list(pieces.values_list("pk", flat=True)[: PAGE + 1])
    by_key = Piece.objects.select_related("line__batch__customer", "batch", "tool").in_bulk(keys[:PAGE])
    return [by_key[pk] for pk in keys[:PAGE]], keys[PAGE - 1] if len(keys) > PAGE else None


def _sound(text: str) -> bool:
    """PostgreSQL keeps no NUL, so nothing holds one."""
    return "\0" not in text
