from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from regrind.shop.backups import attempts
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of

from . import search as searching
from . import work


@needs("front_desk", "bench", "owner")
@require_GET
def page(request: HttpRequest) -> HttpResponse:
    """What needs doing now."""
    jobs = work.open_jobs()
    return render(
        request,
        "today/page.html",
        {
            "stages": work.stages(jobs),
            "to_return": work.to_return(jobs),
            "urgent": work.urgent(jobs),
            "nothing": not jobs,
            "may_receive": person_of(request).may("front_desk"),
            "backup_warning": attempts.warning(),
        },
    )


@needs("front_desk", "bench", "owner")
@require_GET
def search(request: HttpRequest) -> HttpResponse:
    """The one search box: straight to what a number names, else a list of what it may mean."""
    text = request.GET.get("q", "").strip()[:60]
    address = searching.exact(text) if text else None
    if address:
        return redirect(address)
    results = searching.find(text, shop_settings().unit) if text else None
    return render(request, "today/search.html", {"q": text, "title": f"Found for “{text}”", "results": results})


@needs("front_desk", "bench", "owner")
@require_GET
def open_code(request: HttpRequest) -> JsonResponse:
    """Where a scanned code leads, for the page it was scanned on: "" where it names nothing of ours."""
    return JsonResponse({"to": searching.exact(request.GET.get("code", "")[:60]) or ""})
