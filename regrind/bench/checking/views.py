from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from regrind.record.find import line_or_404
from regrind.shop.access import needs
from regrind.shop.once import carry_out, person_of

from ..inspecting.hub import pieces_of
from ..models import FinalCheck, Plan, Reading
from ..rows import newest
from . import actions
from .forms import CheckForm


@needs("bench")
@require_http_methods(["GET", "POST"])
def check(request: HttpRequest, number: str) -> HttpResponse:
    """The final check of a line's ground pieces: the first in full, the diameter of every nth."""
    line = line_or_404(number)
    pieces = [p for p in pieces_of(line) if p.whereabouts == "ground"]
    seen = {pk: row.revision for pk, row in newest(FinalCheck, pieces).items()}
    plans = newest(Plan, pieces)
    form = CheckForm(request.POST or None, line=line, pieces=pieces, seen=seen, initial=_last_gauges(line.pk))

    def show(refusal: str = "") -> HttpResponse:
        if refusal:
            form.add_error(None, refusal)
        return render(request, "bench/check.html", {
            "line": line, "form": form, "pieces": pieces, "unit": line.batch.customer.unit,
            "plan": next(iter(plans.values()), None), "kind": line.family.kind_data},
            status=422 if form.is_bound else 200)

    if request.method == "POST" and form.is_valid():
        def act() -> str:
            actions.check(by=person_of(request), pieces=form.chosen(), seen=form.revisions(), **form.values())
            return reverse("bench:line", args=[str(line)])
        return carry_out(request, act, refused=show)
    return show()


def _last_gauges(line_pk: int) -> dict:
    """The gauges last named for this line's checks or inspections."""
    rows = Reading.objects.filter(gauge__isnull=False).order_by("-pk")
    mine = rows.filter(inspection__piece__line=line_pk)
    diameter, other = mine.filter(what="diameter").first(), mine.exclude(what="diameter").first()
    return {name: row.gauge_id for name, row in (("gauge", diameter), ("indicator", other)) if row}
