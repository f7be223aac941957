"""One path for one POST: every writing view answers what was sent with `save`."""

from collections.abc import Callable, Mapping, Sequence

from django.forms import Field
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render

from ..events import Conflict, Refusal
from ..fields.forms import ShopForm
from .idempotency import FIELD, posted_values, replay, run_once

NO_KEY = "This form has no once-only key, so it was not saved. Open the page again and send it from there."


def save(
    request: HttpRequest,
    form: ShopForm | None,
    *,
    act: Callable[[], str],
    show: Callable[[], HttpResponse] | None = None,
    page: str = "",
) -> HttpResponse:
    """The response of a writing view: its page, or the result of the form that was sent.

    form: the bound form, None where the page has only a button; a GET or an unbound form is shown. act: the action;
    returns the address to go to. show: the page, with the typed values and the errors beside them. page: the address
    of the current page, where this address takes only a POST.

    A form that was sent before redirects where the first one did, whatever has become of its pieces. Otherwise, in
    this order: a change by someone else while the page was open (409, both values), errors and refusals (422), the
    action. Only an action that succeeds spends the form's key.
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
        return render(request, "shop/refused.html", {"message": message, "page_address": page}, status=422)
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
            "page_address": page,
            "rows": side_by_side(conflict.theirs, posted),
        },
        status=409,
    )


def labelled_values(posted: Sequence[tuple[str, str]], fields: Mapping[str, Field]) -> list[tuple[str, str]]:
    """The typed values, with the label of a choice instead of its code."""
    return [(name, _label(fields[name], value) if name in fields else value) for name, value in posted]


def _label(field: Field, value: str) -> str:
    labels = ((code, label) for code, label in getattr(field, "choices", ()) if str(code) == value)
    return next((str(getattr(code, "instance", label)) for code, label in labels), value)


def side_by_side(theirs: Mapping[str, str], yours: Sequence[tuple[str, str]]) -> list[tuple[str, str, str]]:
    """(field, their saved value, your typed value): first the fields that both have, then the others."""
    typed: dict[str, list[str]] = {}
    for name, value in yours:
        typed.setdefault(name, []).append(value)
    names = sorted(dict.fromkeys([*theirs, *typed]), key=lambda name: name not in theirs or name not in typed)
    return [
        (
            name.replace("_", " "),
            theirs.get(name, ""),
            ", ".join("yes" if value == "on" else value for value in typed.get(name, [])),
        )
        for name in names
    ]
