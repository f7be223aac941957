"""The owner's pages: which tool families are worth regrinding."""
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from regrind.record.models import Family, Piece
from regrind.shop.access import needs

from .figures import SORTS, all_figures

PAGE = 50
COLUMNS = [("family", "Family"), ("seen", "Seen"), ("ground", "Reground"), ("stock", "Stock a regrind"),
           ("before", "Regrinds so far"), ("left", "Left"), ("minutes", "Minutes"), ("price", "Price"),
           ("earns", "Earns a minute"), ("complaints", "Complaints")]
RESULTS = [("", "all"), ("ground", "ground"), ("as_it_came", "as it came"), ("scrap", "scrap"), ("missing", "missing")]


@needs("owner")
@require_GET
def families(request: HttpRequest) -> HttpResponse:
    sort = request.GET.get("sort", "seen")
    if sort not in SORTS:
        raise Http404(sort)
    return render(request, "review/families.html", {"rows": all_figures(sort), "sort": sort, "columns": COLUMNS})


@needs("owner")
@require_GET
def family(request: HttpRequest, pk: int) -> HttpResponse:
    """One family's figures and its pieces, newest first; `before` is the key of the last piece shown."""
    found = Family.objects.filter(pk=pk).first()
    if found is None:
        raise Http404(str(pk))
    of = Piece.objects.filter(line__family=found)
    figures = all_figures(pieces=of)
    shown = _page(of, request.GET.get("result", ""), request.GET.get("before", ""))
    more = shown[PAGE - 1].pk if len(shown) > PAGE else None
    return render(request, "review/family.html", {
        "family": found, "figures": figures[0] if figures else None, "pieces": shown[:PAGE], "more": more,
        "result": request.GET.get("result", ""), "results": RESULTS})


def _page(of, result: str, before: str) -> list[Piece]:
    if result in ("ground", "as_it_came", "scrap", "missing"):
        of = of.filter(result=result)
    if before.isascii() and before.isdigit() and len(before) < 18:
        of = of.filter(pk__lt=int(before))
    return list(of.select_related("line__batch__customer", "batch", "tool").order_by("-pk")[:PAGE + 1])
