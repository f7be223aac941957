"""The bench's pages about what is on it, a line and a piece."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.db.models import Model, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from regrind.record.complaints import complaints_about
from regrind.record.find import line_or_404, piece_or_404
from regrind.record.models import AnswerPiece, Piece, Step
from regrind.record.models.pieces import STATUSES
from regrind.record.owner_changes import mark_made_under
from regrind.record.undo_bar import undo_bar
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of

from ..grinding.prefill import name_end
from ..grinding.wish import say_plan_against_wish
from ..inspecting.serialization import describe_inspection, name_reading
from ..models import CoaterPiece, FinalCheck, Grind, Inspection, MeasuredRow, Plan, Reading
from ..readings import fetch_readings
from ..revisions import newest, newest_with_readings
from .hub import WITH_LABEL, Hub, next_step_of, open_hub
from .life import draw_life_chart, list_visits
from .queue import open_stages

EVENT = ("event__by", "event__undone_by__by")  # the history shows what was undone, too


@needs("bench", "front_desk")
@require_GET
def page(request: HttpRequest) -> HttpResponse:
    """What is on the bench, by what it waits for."""
    return render(request, "bench/page.html", {"stages": open_stages()})


@needs("bench", "front_desk")
@require_GET
def line(request: HttpRequest, number: str) -> HttpResponse:
    """One line: its pieces, its state and why, and the one thing to do next."""
    hub = open_hub(line_or_404(number))
    shorts = {piece.pk: piece.short for piece in hub.pieces}
    inspected = [piece for piece in hub.pieces if piece.status == "inspected"]
    context = {
        "hub": hub,
        "line": hub.line,
        "plans": _plans(hub, shorts),
        "unit": hub.unit,
        "inspected": _alike(newest_with_readings(Inspection, inspected), shorts),
        "steps": [step for step in reversed(hub.steps) if person_of(request).may(step.role)],
        "undo": undo_bar(person_of(request), hub.pieces),
        "answers": hub.line.answers.select_related("event"),
    }
    return render(request, "bench/line.html", context)


def _plans(hub: Hub, shorts: Mapping[int, str]) -> list[tuple[Any, list[str]]]:
    """The newest plans, each told where it was made under another customer's limits or is against this one's wish."""
    plans = _alike(newest(Plan, hub.pieces), shorts)
    mark_made_under(hub.line, [plan for plan, _ in plans])
    for plan, _ in plans:
        plan.against_wish = say_plan_against_wish(plan, hub.line.batch.customer)
        plan.off_words = f"Off the {name_end(plan.grinds.split())}"
    return plans


def _alike(rows: Mapping[int, Any], shorts: Mapping[int, str]) -> list[tuple[Any, list[str]]]:
    """Rows that follow one another, once each: (the row with readings, the short numbers of its pieces), as the pieces
    follow one another in `shorts`."""
    groups: dict[int, tuple[Any, list[str]]] = {}
    for pk, short in shorts.items():
        if pk in rows:
            original = rows[pk].copied_from or rows[pk]
            groups.setdefault(original.pk, (original, []))[1].append(short)
    return list(groups.values())


@needs("bench", "front_desk")
@require_GET
def piece(request: HttpRequest, number: str) -> HttpResponse:
    """The whole story of one piece; of a followed tool, its earlier visits too."""
    piece = piece_or_404(number)
    unit, visits = piece.line.batch.customer.unit, list_visits(piece)
    context = _history(piece) | {
        "piece": piece,
        "line": piece.line,
        "unit": unit,
        "statuses": dict(STATUSES),
        "next_step": next_step_of(piece, person_of(request)),
        "has_label": piece.status in WITH_LABEL,
        "may_code": piece.tool is not None and person_of(request).may("front_desk"),
        "visits": visits,
        "complaints": complaints_about([piece]),
        "life": draw_life_chart(visits, piece, unit),
    }
    return render(request, "bench/piece.html", context)


def _history(piece: Piece) -> dict[str, Any]:
    """Every row about a piece, the undone among them, by the name that the page has for it."""
    unit = piece.line.batch.customer.unit

    def rows(model: type[Model], *more: str) -> QuerySet[Any]:
        every: QuerySet[Any] = model.every.filter(piece=piece)  # type: ignore[attr-defined]  # of EventRow
        return every.select_related(*EVENT, *more)

    inspections = list(rows(Inspection, "copied_from__piece__batch"))
    checks = list(rows(FinalCheck, "copied_from__piece__batch"))
    fetch_readings([*inspections, *checks])
    plans = list(rows(Plan, "copied_from__piece__batch"))
    mark_made_under(piece.line, plans)
    return {
        "steps": rows(Step).order_by("number"),
        "inspections": [(row, describe_inspection(row, unit)) for row in inspections],
        "checks": checks,
        "plans": plans,
        "grinds": rows(Grind, "wheel", "holding"),
        "readings": _named(inspections),
        "check_readings": _named(checks),
        "coatings": rows(CoaterPiece, "slip"),
        "answers": rows(AnswerPiece, "answer"),
    }


def _named(rows: Iterable[MeasuredRow]) -> list[tuple[str, Reading]]:
    """All readings of these rows, each with its name."""
    return [(name_reading(reading), reading) for row in rows for reading in row.readings.values()]
