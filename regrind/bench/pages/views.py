"""The bench's pages about what is on it, a line and a piece."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from regrind.record.find import line_or_404, piece_or_404
from regrind.record.models import AnswerPiece, Step
from regrind.record.models.pieces import STATUSES
from regrind.record.undo_bar import undo_bar
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of

from ..inspecting.serialization import describe_inspection, name_reading
from ..models import CoaterPiece, FinalCheck, Grind, Inspection, MeasuredRow, Plan, Reading
from ..readings import fetch_readings
from ..revisions import newest, newest_with_readings
from .hub import STEPS, open_hub
from .life import draw, list_visits
from .queue import open_stages

EVENT = ("event__by", "event__undone_by__by")  # the story tells what was undone, too


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
    plans = _alike(newest(Plan, hub.pieces), shorts)
    inspected = [piece for piece in hub.pieces if piece.status == "inspected"]
    return render(
        request,
        "bench/line.html",
        {
            "hub": hub,
            "line": hub.line,
            "plans": plans,
            "unit": hub.unit,
            "inspected": _alike(newest_with_readings(Inspection, inspected), shorts),
            "steps": [step for step in reversed(hub.steps) if person_of(request).may(step.role)],
            "undo": undo_bar(person_of(request), hub.pieces),
            "answers": hub.line.answers.select_related("event"),
        },
    )


def _alike(rows: Mapping[int, Any], shorts: Mapping[int, str]) -> list[tuple[Any, list[str]]]:
    """Rows that follow one another, once each: (the row that was read, the short numbers of its pieces)."""
    found: dict[int, tuple[Any, list[str]]] = {}
    for row in rows.values():
        found.setdefault(row.copied_from_id or row.pk, (row.copied_from or row, []))[1].append(shorts[row.piece_id])
    return list(found.values())


@needs("bench", "front_desk")
@require_GET
def piece(request: HttpRequest, number: str) -> HttpResponse:
    """The whole story of one piece; of a followed tool, its earlier visits too."""
    found = piece_or_404(number)
    of, unit = {"piece": found}, found.line.batch.customer.unit
    visits = list_visits(found)
    inspections = list(Inspection.every.filter(**of).select_related(*EVENT, "copied_from__piece__batch"))
    checks = list(FinalCheck.every.filter(**of).select_related(*EVENT, "copied_from__piece__batch"))
    fetch_readings([*inspections, *checks])
    return render(
        request,
        "bench/piece.html",
        {
            "piece": found,
            "line": found.line,
            "unit": unit,
            "words": dict(STATUSES),
            "step": STEPS.get(found.status),
            "steps": Step.every.filter(**of).select_related(*EVENT).order_by("number"),
            "inspections": [(row, describe_inspection(row, unit)) for row in inspections],
            "checks": checks,
            "plans": Plan.every.filter(**of).select_related(*EVENT, "copied_from__piece__batch"),
            "grinds": Grind.every.filter(**of).select_related(*EVENT, "wheel", "holding"),
            "readings": _named(inspections),
            "check_readings": _named(checks),
            "coatings": CoaterPiece.every.filter(**of).select_related(*EVENT, "slip"),
            "answers": AnswerPiece.every.filter(**of).select_related(*EVENT, "answer"),
            "visits": visits,
            "life": draw(visits, found, unit),
        },
    )


def _named(rows: Iterable[MeasuredRow]) -> list[tuple[str, Reading]]:
    """All that was read on these rows, with its name."""
    return [(name_reading(reading), reading) for row in rows for reading in row.readings.values()]
