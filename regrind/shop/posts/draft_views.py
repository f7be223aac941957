"""What is typed and not saved yet, kept and given back."""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.http import require_http_methods

from ..fields.whole_numbers import read_whole
from ..people.access import needs
from . import drafts
from .idempotency import person_of


@needs("front_desk", "bench", "owner")
@require_http_methods(["GET", "POST"])
def draft(request: HttpRequest) -> HttpResponse:
    """Keep, give back or drop what this person has typed into a page and not saved."""
    person, told = person_of(request), request.POST if request.method == "POST" else request.GET
    form = told.get("form", "")
    if request.method == "GET":
        return JsonResponse({"content": drafts.find(person=person, form=form)})
    if "content" not in told:
        drafts.drop(person=person, form=form)
        return HttpResponse(status=204)
    sequence = read_whole(told.get("sequence"))
    good = sequence is not None and drafts.keep(
        person=person, form=form, sequence=sequence, content=told["content"], once=told.get("key", "")
    )
    return HttpResponse(status=204 if good else 422)
