"""Pieces at a coater: sent from a line, counted back, and the list of all that is out."""

from dataclasses import dataclass
from datetime import date

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from regrind.record.find import line_or_404, pieces_of, recent_lines
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Line, Piece
from regrind.record.undo_bar import undo_bar
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from ..models import CoaterPiece, CoaterSlip
from . import actions
from .forms import BackForm, SendForm

HINTS = {"coater": "same as last time", "address": "", "coating": "as these tools had it"}


@dataclass
class SlipPieces:
    """Pieces of one slip and one line that are still at the coater."""

    slip: CoaterSlip
    line: Line
    pieces: list[Piece]

    @property
    def order(self) -> str:
        """The number of its order paper in an address: 417_K1."""
        return self.slip.order.replace("/", "_")

    @property
    def days_late(self) -> int:
        """Days since they were expected; 0 where they are not overdue, or no day is recorded."""
        return max(0, (timezone.localdate() - self.slip.expected).days) if self.slip.expected else 0

    @property
    def overdue_words(self) -> str:
        return f"overdue by {self.days_late} day{'s' if self.days_late != 1 else ''}"


@needs("bench", "front_desk")
@require_GET
def at_coater_list(request: HttpRequest) -> HttpResponse:
    """All that is at a coater, the most overdue first."""
    return render(request, "bench/at_coater_list.html", {"slips": list_slips()})


def list_slips(line: Line | None = None) -> list[SlipPieces]:
    """Every slip with pieces still at the coater, by line: one query. A piece is on the newest slip that names it."""
    related = ("slip__event__by", "slip__batch", "piece__batch", "piece__line__batch__customer", "piece__line__family")
    rows = CoaterPiece.objects.filter(piece__status="at_coater").order_by("pk").select_related(*related)
    if line is not None:
        rows = rows.filter(piece__line=line)
    newest = {row.piece_id: row for row in rows}
    grouped: dict[tuple[int, int], SlipPieces] = {}
    for row in newest.values():
        piece = row.piece
        grouped.setdefault((row.slip_id, piece.line_id), SlipPieces(row.slip, piece.line, [])).pieces.append(piece)
    return sorted(grouped.values(), key=lambda item: (item.slip.expected or date.max, item.slip.pk))


@needs("bench")
@require_http_methods(["GET", "POST"])
def at_coater(request: HttpRequest, number: str) -> HttpResponse:
    """A line's ground pieces out to a coater, and counted back."""
    line = line_or_404(number)
    every = list(pieces_of(line))
    out, gone = ([p for p in every if p.status == w] for w in ("ground", "at_coater"))
    posted = request.POST if request.method == "POST" else None
    coming = posted is not None and posted.get("do") == "back"
    initial = _last_coater(line)
    send = SendForm(
        None if coming else posted,
        line=line,
        pieces=out,
        expected={},
        initial=initial,
        ticked=request.GET.getlist("piece"),
    )
    back = BackForm(posted if coming else None, line=line, pieces=gone, expected={})
    form = back if coming else send

    def show() -> HttpResponse:
        return render(
            request,
            "bench/at_coater.html",
            {
                "line": line,
                "send": send,
                "back": back,
                "slips": list_slips(line),
                "hints": {name: HINTS[name] for name in initial},
                "undo": None if posted else undo_bar(person_of(request), every),
            },
            status=200 if posted is None else 422,
        )

    def act() -> str:
        _send_or_count(request, line, form)
        return reverse("bench:at_coater" if form is send else "bench:check", args=[str(line)])

    return save(request, form, act=act, show=show)


def _last_coater(line: Line) -> dict[str, str]:
    """The coater last sent to for this family, and the coating these tools are known to have had."""
    slips = CoaterSlip.objects.order_by("-pk")
    last = slips.filter(pieces__piece__line__in=recent_lines(line.family_id)).first() or slips.first()
    coating = tool_of(line, with_assumed=False).coating
    known = {"coater": last.coater, "address": last.address} if last else {}
    return known | ({"coating": coating} if coating else {})


def _send_or_count(request: HttpRequest, line: Line, form: SendForm | BackForm) -> None:
    chosen, data = form.chosen(), form.cleaned_data
    if isinstance(form, BackForm):
        actions.count_back(by=person_of(request), pieces=chosen, done_at=data["done_at"])
    else:
        actions.send_to_coater(
            by=person_of(request),
            batch=line.batch,
            pieces=chosen,
            number=data["number"],
            coater=data["coater"],
            coating=data["coating"],
            expected=data["expected"],
            address=data["address"],
            note=data["note"],
            price_minor=data["price"],
            sent_at=data["done_at"],
        )
