"""The page that offers a form again which came when nobody was signed in any more."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from ..people.access import needs
from . import pending_post as holding
from .idempotency import NOT_TYPED


@needs("front_desk", "bench", "owner")
@never_cache
@require_http_methods(["GET", "POST"])
def unsaved(request: HttpRequest) -> HttpResponse:
    """What was typed, and a button that sends it as it was sent. A POST drops it."""
    kept = holding.find(request)
    if request.method == "POST":
        holding.drop(request)
        return redirect(kept["path"] if kept else "today:page")
    if kept is None:
        return redirect("today:page")
    told = [(name.replace("_", " "), value) for name, value in kept["pairs"] if value and name not in NOT_TYPED]
    return render(request, "shop/pending_post.html", {"kept": kept, "typed": told})
