"""The owner's page of backups: the last one and its proof, the room left, one now, and each to take along."""

import shutil
from pathlib import Path

from django.conf import settings
from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from . import attempts, folder, lock
from .archive import BackupError


@needs("owner")
@never_cache
@require_http_methods(["GET", "POST"])
def backups(request: HttpRequest) -> HttpResponse:
    def show() -> HttpResponse:
        kept, trouble = _kept()
        return render(
            request,
            "shop/backups.html",
            {
                "kept": kept,
                "newest": folder.newest(kept),
                "attempt": attempts.last_attempt(),
                "busy": lock.is_busy(),
                "warning": attempts.warning(),
                "trouble": trouble,
                "room": None if trouble else _room(kept),
                "folder": settings.BACKUPS,
                "rules": folder,
            },
        )

    return save(request, None, act=lambda: _begin(request), show=show)


def _begin(request: HttpRequest) -> str:
    if not lock.is_busy():
        attempts.start()
    messages.success(request, f"A backup is being made for {person_of(request)}: open this page again in a moment.")
    return reverse("shop:backups")


def _kept() -> tuple[list[folder.Kept], str]:
    """The backups in their place, and why it cannot be looked into."""
    try:
        return folder.kept_in(folder.place()), ""
    except BackupError as error:
        return [], str(error)


def _room(kept: list[folder.Kept]) -> dict[str, object]:
    """free: bytes. more: how many more backups of the newest one's size fit. same_disk: as the shop's data."""
    place, newest = Path(settings.BACKUPS), folder.newest(kept)
    free = shutil.disk_usage(place).free
    return {
        "free": free,
        "more": free // newest.size if newest and newest.size else None,
        "same_disk": place.stat().st_dev == Path(settings.DATA).stat().st_dev,
    }


@needs("owner")
@never_cache
@require_GET
def backup_file(request: HttpRequest, name: str) -> FileResponse:
    """One backup, to keep elsewhere."""
    backup = next((kept for kept in _kept()[0] if kept.path.name == name), None)
    if backup is None:
        raise Http404
    return FileResponse(backup.path.open("rb"), as_attachment=True, filename=name, content_type="application/x-tar")
