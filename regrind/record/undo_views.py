"""Undo: one address for every event."""

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods

from regrind.shop.events import Refusal
from regrind.shop.fields.forms import ShopForm
from regrind.shop.models import Event
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save
from regrind.shop.undo import right_to_undo, undo

from .models import Piece
from .undo_bar import counted, name_event


class UndoForm(ShopForm):
    why = forms.CharField(label="Reason", max_length=300, required=False, strip=True)
    next = forms.CharField(required=False, max_length=300, widget=forms.HiddenInput)


@needs("bench", "front_desk")
@require_http_methods(["GET", "POST"])
def undo_event(request: HttpRequest, pk: int) -> HttpResponse:
    """What was done, by whom and when; and the button that undoes it."""
    done = get_object_or_404(counted(Event.objects.select_related("undone_by__by")), pk=pk)
    form = UndoForm(request.POST or None, initial={"next": request.GET.get("next", "")})
    words, page = name_event(done), _next(request, done)

    blockers: list[Event | None] = []

    def show() -> HttpResponse:
        refusal = next(iter(form.non_field_errors()), "")
        return render(
            request,
            "record/undo.html",
            {
                "done": done,
                "words": words,
                "by_and_why": (f", by {done.who}" if done.by else f", {done.who}")
                + (f": {done.why}" if done.why else ""),
                "form": form,
                "back": page,
                "refusal": refusal,
                "pieces": Piece.objects.filter(last_event=done).select_related("batch"),
                "blocker": blockers[-1] if blockers else None,
                "right": right_to_undo(person_of(request), done),
                "undone": getattr(done, "undone_by", None),
            },
            status=422 if form.is_bound else 200,
        )

    def act() -> str:
        try:
            undo(by=person_of(request), done=done, why=form.cleaned_data["why"])
        except Refusal as refusal:
            blockers.append(refusal.event)
            raise
        messages.success(request, f"Undone: {words}.")
        return page

    return save(request, form, act=act, show=show, page=page)


def _next(request: HttpRequest, done: Event) -> str:
    """Where to go on: the page that the bar stood on, else the line of the event's pieces, else the start."""
    asked = request.POST.get("next") or request.GET.get("next") or ""
    if url_has_allowed_host_and_scheme(asked, allowed_hosts=None) and asked.startswith("/"):
        return asked
    piece = Piece.objects.filter(last_event=done).select_related("line__batch").first()
    return reverse("bench:line", args=[str(piece.line)]) if piece else reverse("today:page")
