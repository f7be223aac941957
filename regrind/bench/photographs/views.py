"""The photos of a line and its pieces: added, shown, added again."""

from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseNotModified
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from regrind.record.find import line_or_404
from regrind.record.models import Line
from regrind.shop.files import photos as files
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from ..models import Photo
from . import actions
from .forms import PhotoForm
from .shown import just_removed, photos_of, shown

# A picture is nobody's page: nothing in it runs, whatever a browser may take it for.
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Content-Security-Policy": "default-src 'none'; sandbox",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "private, no-cache",
}


@needs("bench", "front_desk")
@require_http_methods(["GET", "POST"])
def photos(request: HttpRequest, number: str) -> HttpResponse:
    """The photos of a line, and the form that adds one."""
    line = line_or_404(number)
    form = (
        PhotoForm(request.POST, request.FILES, line=line)
        if request.method == "POST"
        else PhotoForm(line=line, initial=_asked(request))
    )

    def show() -> HttpResponse:
        return render(
            request,
            "bench/photos.html",
            {"line": line, "form": form, "photos": photos_of(line), "removed": just_removed(line)},
            status=422 if form.is_bound else 200,
        )

    return save(request, form, act=lambda: _add(request, line, dict(form.cleaned_data)), show=show)


def _asked(request: HttpRequest) -> dict[str, Any]:
    """What the page that led here was about."""
    about = request.GET.get("about", "")
    known = dict(Photo._meta.get_field("about").choices or ())
    return {"about": about if about in known else "received", "piece": request.GET.get("piece", "")[:24]}


def _add(request: HttpRequest, line: Line, values: dict[str, Any]) -> str:
    sha256 = files.store(values["photo"])  # on the disk before its row is: a row never names what is not there
    actions.add_photo(by=person_of(request), line=line, sha256=sha256, **values)
    back = {"about": values["about"], "piece": values["piece"].short if values["piece"] else ""}
    return f"{reverse('bench:photos', args=[str(line)])}?{urlencode(back)}"


@needs("bench", "front_desk")
@require_GET
def photo(request: HttpRequest, pk: int) -> HttpResponse:
    """The picture itself, to people who are signed in; not found once it was removed."""
    stored = get_object_or_404(shown(), pk=pk)
    tag = f'"{stored.sha256}"'
    if request.headers.get("If-None-Match") == tag:
        return HttpResponseNotModified(headers=HEADERS | {"ETag": tag})
    content = files.read(stored.sha256)
    if content is None:
        return HttpResponse(
            "The file of this photo is gone or was altered: restore it from the backup.",
            status=410,
            content_type="text/plain; charset=utf-8",
        )
    name = f"{stored.piece or stored.line}-photo-{stored.pk}.jpg"
    return HttpResponse(
        content,
        content_type="image/jpeg",
        headers=HEADERS | {"ETag": tag, "Content-Disposition": f'inline; filename="{name}"'},
    )


@needs("bench", "front_desk")
@require_POST
def add_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a photo again that was removed."""
    removed = get_object_or_404(Photo.every.select_related("line__batch"), pk=pk)
    page = reverse("bench:photos", args=[str(removed.line)])

    def act() -> str:
        actions.add_again(by=person_of(request), photo=removed)
        return page

    return save(request, None, act=act, page=page)
