"""One path for one POST: every writing view answers what was sent with `save`."""

from collections.abc import Callable, Mapping, Sequence

from django.forms import Field
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render

from ..events import Conflict, Refusal
from ..fields.forms import ShopForm
from .idempotency import FIELD, posted_values, replay, run_once

NO_KEY = "This form has no once-only key: open it again."


def save(
    request: HttpRequest,
    form: ShopForm | None,
    *,
    act: Callable[[], str],
    show: Callable[[], HttpResponse] | None = None,
    page: str = "",
) -> HttpResponse:
    """The answer of a writing view: its page, or what became of the form that was sent.

    form: as it was sent, None where the page has a button alone; a GET or a form that was not sent is shown. act: the
    action; returns the address to go to. show: the page, with what was typed and what is wrong beside it. page: the
    address that shows how it stands now, where this one takes only a POST.

    A form that was sent before leads where the first one led, whatever has become of its pieces. Else, in this order:
    what changed while its page was open (409, both values), errors and refusals (422), the action. Only a form that
    was carried out spends its key.
    """
    if show and (request.method != "POST" or (form is not None and not form.is_bound)):
        return show()
    if not request.POST.get(FIELD):
        return render(request, "shop/refused.html", {"message": NO_KEY}, status=400)
    valid = form is None or form.is_valid()  # before the transaction: it may take long over a picture

    def checked() -> str:
        if form is not None:
            form.check_stale()
        if not valid:
            raise Refusal
        return act()

    try:
        redirect_to = run_once(request, checked)
    except Conflict as conflict:
        return _show_conflict(request, conflict, form, page)
    except Refusal as refusal:
        return _show_refusal(request, str(refusal), form, show, page)
    return replay(request) if redirect_to is None else HttpResponseRedirect(redirect_to)


def _show_refusal(
    request: HttpRequest, message: str, form: ShopForm | None, show: Callable[[], HttpResponse] | None, page: str
) -> HttpResponse:
    """Beside what was typed, or on a page of its own where nothing was."""
    if form is None or show is None:
        return render(request, "shop/refused.html", {"message": message, "stands_at": page}, status=422)
    if message:
        form.refuse(message)
    return show()


def _show_conflict(request: HttpRequest, conflict: Conflict, form: ShopForm | None, page: str) -> HttpResponse:
    posted = labelled_values(posted_values(request), form.fields if form else {})
    return render(
        request,
        "shop/conflict.html",
        {
            "message": str(conflict),
            "whose": conflict.whose,
            "stands_at": page,
            "rows": side_by_side(conflict.theirs, posted),
        },
        status=409,
    )


def labelled_values(posted: Sequence[tuple[str, str]], fields: Mapping[str, Field]) -> list[tuple[str, str]]:
    """What was typed, with the words of a choice instead of its code."""
    return [(name, _label(fields[name], value) if name in fields else value) for name, value in posted]


def _label(field: Field, value: str) -> str:
    labels = ((code, label) for code, label in getattr(field, "choices", ()) if str(code) == value)
    return next((str(getattr(code, "instance", label)) for code, label in labels), value)


def side_by_side(theirs: Mapping[str, str], mine: Sequence[tuple[str, str]]) -> list[tuple[str, str, str]]:
    """(field, what they stored, what was typed here): the fields both have first, then what only one side has."""
    typed_here: dict[str, list[str]] = {}
    for name, value in mine:
        typed_here.setdefault(name, []).append(value)
    names = sorted(dict.fromkeys([*theirs, *typed_here]), key=lambda name: name not in theirs or name not in typed_here)
    return [
        (
            name.replace("_", " "),
            theirs.get(name, ""),
            ", ".join("yes" if value == "on" else value for value in typed_here.get(name, [])),
        )
        for name in names
    ]
