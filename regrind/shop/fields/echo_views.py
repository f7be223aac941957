"""The echo of a length as it is typed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from regrind.geometry.length_echo import echo
from regrind.geometry.units import NeedsUnit, NotALength, parse, unit_named


@require_GET
def echo_length(request: HttpRequest) -> HttpResponse:
    """What a length was understood as, for the words beside the field; half a number shows nothing."""
    text = request.GET.get("text", "")[:64]
    unit = unit_named(request.GET.get("unit"), "in")
    try:
        said, choices = (echo(parse(text, unit=unit)) if text.strip() else ""), []
    except NeedsUnit as ask:
        said, choices = "", ask.choices
    except NotALength:
        said, choices = "", []
    return render(request, "shop/_echo.html", {"said": said, "choices": choices})
