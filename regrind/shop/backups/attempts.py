"""How the last backup went, and what Today warns of. A fault of the shop or of the disk is told until it is mended."""

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from . import folder
from .archive import BackupError
from .lock import Busy

LONG_AGO = timedelta(hours=48)


@dataclass(frozen=True)
class Attempt:
    """at: when it ended. failed: no backup came of it. words: what came of it, or why none did."""

    at: datetime
    failed: bool
    words: str


def attempt(kind: str = folder.WHOLE) -> tuple[folder.Kept, dict[str, Any]]:
    """Make a dated backup in the shop's own folder and note how it went; BackupError where none could be made."""
    try:
        made, manifest = folder.make_dated(folder.place(), kind)
    except Busy:
        raise
    except BackupError as error:
        _note(failed=True, words=str(error))
        raise
    _note(failed=False, words=in_words(manifest))
    return made, manifest


def in_words(manifest: dict[str, Any]) -> str:
    """What a backup holds and how it proved."""
    faults = manifest["faults"]
    damage = f" But the shop itself is damaged: {'; '.join(faults[:5])}." if faults else ""
    if len(faults) > 5:
        damage = f"{damage[:-1]}; and {len(faults) - 5} more."
    return (
        f"{sum(manifest['counts'].values())} rows, {len(manifest['files']) - 1} photos and papers, "
        f"read back and proved whole.{damage}"
    )


def start() -> None:
    """Begin a backup in a process of its own, which outlives this one; how it went, `last_attempt` says."""
    command = [sys.executable, str(Path(settings.BASE_DIR) / "manage.py"), "backup"]
    subprocess.Popen(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        umask=0o077,
        start_new_session=True,
    )


def _file() -> Path:
    return Path(settings.DATA) / "last-backup.json"


def _note(*, failed: bool, words: str) -> None:
    part = _file().with_suffix(".part")
    with open(part, "w", encoding="utf-8", opener=lambda path, flags: os.open(path, flags, 0o600)) as file:
        json.dump({"at": timezone.now().isoformat(), "failed": failed, "words": words[:2_000]}, file)
    part.replace(_file())


def last_attempt() -> Attempt | None:
    try:
        noted = json.loads(_file().read_text(encoding="utf-8"))
        return Attempt(datetime.fromisoformat(noted["at"]), bool(noted["failed"]), str(noted["words"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None


def warning() -> str:
    """What Today says of the backups, "" where all is well: none for 48 hours, or the shop's own files are damaged."""
    if settings.DEMO:
        return ""
    kept, last = folder.kept_in(Path(settings.BACKUPS)), last_attempt()
    why = f" The last try failed: {last.words}" if last and last.failed else ""
    good, any_kind = folder.newest(kept, folder.WHOLE, folder.BEFORE_UPDATE), folder.newest(kept)
    since = good.at if good else _begun()
    if any_kind and any_kind.kind == folder.DAMAGED:
        return f"The last backup found the shop itself damaged. {last.words if last else ''}".strip()
    if since is None or timezone.now() - since <= LONG_AGO:
        return ""
    hours = int((timezone.now() - since).total_seconds()) // 3600
    return (f"No backup for {hours} hours." if good else "There is no backup yet.") + why


def _begun() -> datetime | None:
    """When this database was made."""
    return MigrationRecorder.Migration.objects.order_by("applied").values_list("applied", flat=True).first()
