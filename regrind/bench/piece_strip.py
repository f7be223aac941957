"""One by one through the tray: a strip of a line's pieces, the one that is open, and the one that comes next."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django import forms
from django.http import HttpRequest
from django.urls import reverse

from regrind.record.models import Line, Piece

TRAY = "tray"  # the hidden field that says: the next piece opens by itself


@dataclass(frozen=True)
class Place:
    """A piece on the strip, and where a tap on it leads."""

    piece: Piece
    address: str
    here: bool


def selected_piece(request: HttpRequest, pieces: Sequence[Piece]) -> Piece | None:
    """The one piece that is open by itself: the page's ?piece=, or the form's piece where it came from such a page."""
    keys = request.POST.getlist("pieces") if request.POST.get(TRAY) else request.GET.getlist("piece")
    return next((p for p in pieces if [str(p.pk)] == keys), None)


def build_strip(
    line: Line, everyone: Iterable[Piece], open_here: Sequence[Piece], here: Piece | None, page: str
) -> list[Place]:
    """The strip: pieces that this page can take open on it, the others on their own page.

    page: the URL's name.
    """
    open_ids = {p.pk for p in open_here}
    base = reverse(page, args=[str(line)])
    return [
        Place(
            p,
            f"{base}?piece={p.pk}" if p.pk in open_ids else reverse("bench:piece", args=[str(p)]),
            here is not None and p.pk == here.pk,
        )
        for p in everyone
    ]


def next_after(piece: Piece, pieces: Sequence[Piece], waits: str) -> Piece | None:
    """The next piece of the tray that still waits, round the tray and back to its beginning."""
    order = list(pieces)
    position = next((n for n, p in enumerate(order) if p.pk == piece.pk), -1)
    return next(
        (p for p in order[position + 1 :] + order[: position + 1] if p.pk != piece.pk and p.status == waits), None
    )


def next_url(line: Line, piece: Piece, pieces: Sequence[Piece], page: str, waits: str) -> str | None:
    """The address of this page for the next piece, None where the tray is done."""
    following = next_after(piece, pieces, waits)
    return f"{reverse(page, args=[str(line)])}?piece={following.pk}&next=1" if following else None


def autofocus(request: HttpRequest, form: forms.Form, name: str) -> None:
    """The piece that opened by itself is ready to be typed: the focus is in its first field."""
    if request.method == "GET" and request.GET.get("next") and name in form.fields:
        form.fields[name].widget.attrs["autofocus"] = True
