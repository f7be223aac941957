from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from regrind.geometry.units import show_with_unit
from regrind.geometry.wheels import warn_of_abrasive
from regrind.record.find import line_or_404
from regrind.record.models import Line, Piece
from regrind.shop.access import needs
from regrind.shop.once import carry_out, person_of

from ..inspecting.hub import pieces_of
from ..models import CoaterPiece, Grind, Plan
from ..rows import newest
from . import actions
from .forms import AwayForm, BackForm, GrindForm


@needs("bench")
@require_http_methods(["GET", "POST"])
def grind(request: HttpRequest, number: str) -> HttpResponse:
    """What was ground on a line's pieces, one setup at a time."""
    line = line_or_404(number)
    pieces = [p for p in pieces_of(line) if p.whereabouts == "to_grind"]
    plans, seen = newest(Plan, pieces), {pk: row.revision for pk, row in newest(Grind, pieces).items()}
    form = GrindForm(request.POST or None, line=line, pieces=pieces, seen=seen, initial=_usual(line, plans))

    def show(refusal: str = "") -> HttpResponse:
        if refusal:
            form.add_error(None, refusal)
        wheel = form.cleaned_data.get("wheel") if form.is_bound and hasattr(form, "cleaned_data") else None
        return render(request, "bench/grind.html", {
            "line": line, "form": form, "pieces": pieces, "unit": line.batch.customer.unit, "plans": plans,
            "rows": [(piece, plans.get(piece.pk)) for piece in pieces], "wheel": wheel,
            "warning": wheel and warn_of_abrasive(wheel.abrasive, line.family.material or "carbide")},
            status=422 if form.is_bound else 200)

    if request.method == "POST" and form.is_valid():
        def act() -> str:
            actions.grind(by=person_of(request), pieces=form.chosen(), seen=form.revisions(), **form.values())
            return reverse("bench:check", args=[str(line)])
        return carry_out(request, act, refused=show)
    return show()


def _usual(line: Line, plans: dict[int, Plan]) -> dict:
    """First values: what the plan says, and wheel and work holding as last used for this family."""
    unit = line.batch.customer.unit
    plan = next(iter(plans.values()), None)
    last = (Grind.objects.filter(piece__line__family=line.family_id).order_by("-pk").first()
            or Grind.objects.order_by("-pk").first())
    told: dict = {"grinds": (plan.grinds.split() if plan and plan.grinds else list(line.family.kind_data.grinds)[:1])}
    if last:
        told |= {"wheel": last.wheel_id, "holding": last.holding_id}
    if plan and plan.cut_back_nm:
        told["end_taken"] = show_with_unit(plan.cut_back_nm, unit)      # type: ignore[arg-type]
    if plan and plan.inspection and plan.inspection.diameter_nm and plan.diameter_nm:
        off = (plan.inspection.diameter_nm - plan.diameter_nm) // 2
        told["infeed"] = show_with_unit(max(0, off), unit)      # type: ignore[arg-type]
    return told


@needs("bench")
@require_http_methods(["GET", "POST"])
def away(request: HttpRequest, number: str) -> HttpResponse:
    """Ground pieces out to a coater, and counted back."""
    line = line_or_404(number)
    every = list(pieces_of(line))
    out, gone = ([p for p in every if p.whereabouts == w] for w in ("ground", "away"))
    coming = request.POST.get("do") == "back"
    send = AwayForm(None if coming else request.POST or None, line=line, pieces=out, seen={})
    back = BackForm(request.POST if coming else None, line=line, pieces=gone, seen={})

    def show(refusal: str = "") -> HttpResponse:
        if refusal:
            (back if coming else send).add_error(None, refusal)
        slips = CoaterPiece.objects.filter(piece__in=gone).select_related("slip__by", "piece__batch")
        return render(request, "bench/away.html", {"line": line, "send": send, "back": back, "out": out, "gone": gone,
                                                   "slips": slips}, status=422 if request.method == "POST" else 200)

    form = back if coming else send
    if request.method == "POST" and form.is_valid():
        def act() -> str:
            _send_or_count(request, line, form)
            return reverse("bench:line", args=[str(line)])
        return carry_out(request, act, refused=show)
    return show()


def _send_or_count(request: HttpRequest, line: Line, form: AwayForm | BackForm) -> None:
    chosen: list[Piece] = form.chosen()
    data = form.cleaned_data
    if isinstance(form, BackForm):
        actions.count_back(by=person_of(request), pieces=chosen, done_at=data["done_at"])
    else:
        actions.send_to_coater(by=person_of(request), batch=line.batch, pieces=chosen, number=data["number"],
                               coater=data["coater"], coating=data["coating"], expected=data["expected"])
