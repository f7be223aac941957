"""The owner's page of backups: the newest, the free space, one now, and downloads."""

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
from regrind.shop.posts.saving import save

from . import attempts, folder, lock
from .archive import BackupError


@needs("owner")
@never_cache
@require_http_methods(["GET", "POST"])
def backups(request: HttpRequest) -> HttpResponse:
    def show() -> HttpResponse:
        stored, problem = _stored()
        return render(
            request,
            "shop/backups.html",
            {
                "stored": stored,
                "newest": folder.newest(stored),
                "attempt": attempts.last_attempt(),
                "busy": lock.is_busy(),
                "warning": attempts.warning(),
                "problem": problem,
                "room": None if problem else _room(stored),
                "folder": settings.BACKUPS,
                "foreign_heads": folder.foreign_heads(stored),
                "rules": folder,
            },
        )

    return save(request, None, act=lambda: _start(request), show=show)


def _start(request: HttpRequest) -> str:
    if not lock.is_busy():
        attempts.start()
    messages.success(request, "A backup is being made. Reload this page in a moment.")
    return reverse("shop:backups")


def _stored() -> tuple[list[folder.StoredBackup], str]:
    """The stored backups, and why their folder cannot be read."""
    try:
        return folder.stored_in(folder.backup_folder()), ""
    except BackupError as error:
        return [], str(error)


def _room(stored: list[folder.StoredBackup]) -> dict[str, object]:
    """free: bytes. more: how many more backups of the newest one's size fit. same_disk: as the shop's data."""
    place, newest = Path(settings.BACKUPS), folder.newest(stored)
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
    """Download one backup."""
    backup = next((one for one in _stored()[0] if one.path.name == name), None)
    if backup is None:
        raise Http404
    return FileResponse(backup.path.open("rb"), as_attachment=True, filename=name, content_type="application/x-tar")
