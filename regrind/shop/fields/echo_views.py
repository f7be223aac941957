"""How a length is read while it is typed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from regrind.geometry.length_echo import echo
from regrind.geometry.units import NeedsUnit, NotALength, parse, unit_named


@require_GET
def echo_length(request: HttpRequest) -> HttpResponse:
    """The length as it was read, to be shown beside its field; half a number shows nothing."""
    text = request.GET.get("text", "")[:64]
    unit = unit_named(request.GET.get("unit"), "in")
    shown: str = ""
    choices: list[str] = []
    try:
        shown = echo(parse(text, unit=unit)) if text.strip() else ""
    except NeedsUnit as error:
        choices = list(error.choices)
    except NotALength:
        pass
    return render(request, "shop/echo.html", {"echo": shown, "choices": choices})
