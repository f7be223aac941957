"""Drill-down: the pieces behind any figure of a family, newest first, a page at a time by key."""
from collections.abc import Callable
from typing import Any

from django.db.models import Case, Exists, OuterRef, Q, QuerySet, Subquery, When
from django.http import QueryDict

from regrind.bench.models import Inspection
from regrind.bench.rows import standing
from regrind.record.models import Family, Piece

from .looking import Look

PAGE = 25
RESULTS = [("", "all"), ("good", "good"), ("ground", "ground"), ("as_it_came", "as it came"), ("scrap", "scrap"),
           ("missing", "missing"), ("complained", "came back"), ("again", "complaints"), ("open", "open")]


def _back() -> Exists:
    return Exists(Piece.objects.filter(complaint_of=OuterRef("pk")))


NARROWED: dict[str, Callable[[QuerySet[Piece]], QuerySet[Piece]]] = {
    "ground": lambda of: of.filter(result="ground"),
    "as_it_came": lambda of: of.filter(result="as_it_came"),
    "scrap": lambda of: of.filter(result="scrap"),
    "missing": lambda of: of.filter(result="missing"),
    "open": lambda of: of.filter(result=""),
    "good": lambda of: of.filter(~_back(), result="ground"),
    "complained": lambda of: of.filter(_back(), result="ground"),
    "again": lambda of: of.filter(complaint_of__isnull=False),
}


def pieces_behind(family: Family, look: Look, asked: QueryDict) -> QuerySet[Piece]:
    """The pieces that the address asks for; what it asks for and cannot be read narrows nothing."""
    of = Piece.objects.filter(look.pieces(), line__family=family)
    if narrow := NARROWED.get(asked.get("result", "")):
        of = narrow(of)
    if reason := asked.get("reason", "")[:300]:
        of = of.filter(Q(result__in=("as_it_came", "scrap"), reason=reason)) if _sound(reason) else of.none()
    if wrong := asked.get("complaint", "")[:300]:
        back = Piece.objects.filter(complaint_of=OuterRef("pk"), complaint=wrong)
        of = of.filter(Exists(back)) if _sound(wrong) else of.none()
    low, _, high = asked.get("wear", "").partition("-")
    if _whole(low) is not None and _whole(high) is not None:
        of = of.filter(result__in=("ground", "as_it_came", "scrap")).annotate(wear=Subquery(_wear())).filter(
            wear__gte=_whole(low), wear__lt=_whole(high))
    return of


def _wear() -> QuerySet[Any]:
    """How deep the damage was when it came: as the first inspection that stands read it on this very piece."""
    seen = standing(Inspection.objects.filter(piece=OuterRef("pk")), "looked_at").order_by("revision")
    depth = Case(When(damage="depth", then="damage_nm"), default=None)
    return seen.annotate(deep=depth).values("deep")[:1]


def page_of(of: QuerySet[Piece], before: str) -> tuple[list[Piece], int | None]:
    """At most PAGE pieces older than the key `before`, and the key that the next page is older than."""
    key = _whole(before)
    if key is not None:
        of = of.filter(pk__lt=key)
    shown = list(of.select_related("line__batch__customer", "batch", "tool").order_by("-pk")[:PAGE + 1])
    return shown[:PAGE], shown[PAGE - 1].pk if len(shown) > PAGE else None


def _whole(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 18 else None


def _sound(text: str) -> bool:
    """PostgreSQL keeps no NUL, so nothing holds one."""
    return "\0" not in text
