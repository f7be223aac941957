"""Drafts: what a person has typed into a page and not saved yet."""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.http import require_http_methods

from ..fields.whole_numbers import read_whole
from ..people.access import needs
from . import drafts
from .idempotency import person_of


@needs("front_desk", "bench", "owner")
@require_http_methods(["GET", "POST"])
def draft(request: HttpRequest) -> HttpResponse:
    """Save, return or discard this person's draft of a page."""
    person, sent = person_of(request), request.POST if request.method == "POST" else request.GET
    form = sent.get("form", "")
    if request.method == "GET":
        return JsonResponse({"content": drafts.find(person=person, form=form)})
    if "content" not in sent:
        drafts.drop(person=person, form=form)
        return HttpResponse(status=204)
    sequence = read_whole(sent.get("sequence"))
    saved = sequence is not None and drafts.save(
        person=person, form=form, sequence=sequence, content=sent["content"], once=sent.get("key", "")
    )
    return HttpResponse(status=204 if saved else 422)
