"""How a length is read while it is typed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from regrind.geometry.length_echo import echo
from regrind.geometry.units import NeedsUnit, NotALength, Unit, parse, show_with_unit, unit_named

from .forms import read_long
from .whole_numbers import read_whole


@require_GET
def echo_length(request: HttpRequest) -> HttpResponse:
    """The length as it was read, to be shown beside its field; half a number shows nothing."""
    text = request.GET.get("text", "")[:64]
    unit = unit_named(request.GET.get("unit"), "in")
    shown, outside = "", ""
    choices: list[str] = []
    try:
        if text.strip():
            length = read_long(text, unit, read_whole(request.GET.get("longest"), 12)) or parse(text, unit=unit)
            shown, outside = echo(length), _say_outside(request, length.nm, unit)
    except NeedsUnit as error:
        choices = list(error.choices)
    except NotALength:
        pass
    return render(request, "shop/echo.html", {"echo": shown, "choices": choices, "outside": outside})


def _say_outside(request: HttpRequest, nm: int, unit: Unit) -> str:
    """`over .2413 in`, `under .2403 in`, where the field has a least or a most in nm and the length is past it."""
    least, most = (read_whole(request.GET.get(name), 9) for name in ("least", "most"))
    if least is not None and nm < least:
        return f"under {show_with_unit(least, unit)}"
    return f"over {show_with_unit(most, unit)}" if most is not None and nm > most else ""
