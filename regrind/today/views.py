from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from regrind.office.mail_models import mails_for_somebody
from regrind.record.complaints import open_complaints
from regrind.shop.backups import attempts
from regrind.shop.owner.actions import hide_first_steps
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from . import first_steps as setting_up
from . import search as searching
from . import work

MOST_COMPLAINTS = 10  # the oldest; the others have a page of their own


@needs("front_desk", "bench", "owner")
@require_GET
def page(request: HttpRequest) -> HttpResponse:
    """What needs doing now."""
    jobs, person = work.open_jobs(), person_of(request)
    complaints, more_complaints = open_complaints(MOST_COMPLAINTS)
    return render(
        request,
        "today/page.html",
        {
            "stages": work.stages(jobs, person),
            "to_return": work.to_return(jobs),
            "urgent": work.urgent(jobs),
            "complaints": complaints,
            "more_complaints": more_complaints,
            "mails": mails_for_somebody() if person.may("front_desk") else [],
            "may_end": person.may("front_desk"),
            "nothing": not jobs,
            "may_receive": person.may("front_desk"),
            "first_steps": _steps_left() if person.owner else None,
            "backup_warning": attempts.warning(),
        },
    )


def _steps_left() -> str:
    """`3 of 9 done`; nothing where all are done or the owner hid them, which asks no more than the settings."""
    shop = shop_settings()
    if shop.first_steps_hidden:
        return ""
    steps = setting_up.first_steps()
    return f"{sum(step.done for step in steps)} of {len(steps)} done" if setting_up.waiting(steps, shop) else ""


@needs("owner")
@require_http_methods(["GET", "POST"])
def first_steps(request: HttpRequest) -> HttpResponse:
    """What a new shop sets up; sent, it hides the panel on Today."""

    def show() -> HttpResponse:
        context = {"steps": setting_up.first_steps(), "hidden": shop_settings().first_steps_hidden}
        return render(request, "today/first_steps.html", context)

    def act() -> str:
        hide_first_steps(by=person_of(request))
        return reverse("today:page")

    return save(request, None, act=act, show=show)


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
