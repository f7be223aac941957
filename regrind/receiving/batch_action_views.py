"""Mistakes about a whole box, mended: one page for each."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from regrind.record.find import batch_or_404
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from .batch_action_forms import FORMS


@needs("front_desk", "bench")
@require_http_methods(["GET", "POST"])
def batch_action(request: HttpRequest, number: str, action: str) -> HttpResponse:
    """One action on a box: its form, then the action itself."""
    batch = batch_or_404(number)
    if action not in FORMS:
        raise Http404(action)
    form = FORMS[action](request.POST or None, batch=batch)

    def show() -> HttpResponse:
        context = {"batch": batch, "form": form, "action": action}
        return render(request, "receiving/batch_action.html", context, status=422 if form.is_bound else 200)

    def act() -> str:
        form.act(person_of(request))
        return reverse("receiving:batch", args=[batch.number])

    return save(request, form, act=act, show=show)
