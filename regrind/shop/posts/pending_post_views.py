"""The page that offers a form again which was sent after its session had ended."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from ..people.access import needs
from . import pending_post
from .idempotency import NOT_TYPED


@needs("front_desk", "bench", "owner")
@never_cache
@require_http_methods(["GET", "POST"])
def unsaved(request: HttpRequest) -> HttpResponse:
    """The typed values, and a button that sends them again as they were. A POST discards them."""
    pending = pending_post.find(request)
    if request.method == "POST":
        pending_post.drop(request)
        return redirect(pending["page"] if pending else "today:page")
    if pending is None:
        return redirect("today:page")
    typed = [(name.replace("_", " "), value) for name, value in pending["pairs"] if value and name not in NOT_TYPED]
    return render(request, "shop/pending_post.html", {"pending": pending, "typed": typed})
