"""The result of the last backup, and the warning on Today until a backup succeeds again."""

import json
import logging
import os
import subprocess
import sys
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import DatabaseError
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from . import folder
from .archive import BackupError
from .lock import Busy

log = logging.getLogger("regrind.backup")
LONG_AGO = timedelta(hours=48)


@dataclass(frozen=True)
class Attempt:
    """at: when it ended. failed: whether no backup was made. message: what was made, or why it failed. name: the made
    backup's file, which the message was proven of."""

    at: datetime
    failed: bool
    message: str
    name: str = ""


def attempt(kind: str = folder.WHOLE) -> tuple[folder.StoredBackup, dict[str, Any]]:
    """Make a dated backup in the shop's own folder and note the result; BackupError where none could be made."""
    try:
        made, manifest = folder.make_dated(folder.backup_folder(), kind)
    except Busy:
        raise
    except BackupError as error:
        _note(failed=True, message=str(error))
        raise
    except DatabaseError as error:
        _note(failed=True, message=f"The database cannot be read: {error}.")
        raise
    _note(failed=False, message=summarize(manifest), name=made.path.name)
    return made, manifest


def summarize(manifest: dict[str, Any]) -> str:
    """What a backup holds, and the faults that were in the shop's data."""
    faults = manifest["faults"]
    damage = f" The shop's data are damaged: {'; '.join(faults[:5])}." if faults else ""
    if len(faults) > 5:
        damage = f"{damage[:-1]}; and {len(faults) - 5} more."
    return (
        f"{sum(manifest['counts'].values())} rows, {len(manifest['files']) - 1} photos and papers, "
        f"read back and complete.{damage}"
    )


def start() -> None:
    """Start a backup in a process of its own, which outlives this one; `last_attempt` returns its result."""
    command = [sys.executable, str(Path(settings.BASE_DIR) / "manage.py"), "backup"]
    subprocess.Popen(
        command,
        env=os.environ | {"REGRIND_LOG_FILE": ""},  # the server alone writes its log
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        umask=0o077,
        start_new_session=True,
    )


def _file() -> Path:
    return Path(settings.DATA) / "last-backup.json"


def _note(*, failed: bool, message: str, name: str = "") -> None:
    """Note the result where the page finds it, and in the log, which the nightly one's process has for itself."""
    log.info("%s: %s", name or "no backup was made", message)
    part = _file().with_suffix(".part")
    with open(part, "w", encoding="utf-8", opener=lambda path, flags: os.open(path, flags, 0o600)) as file:
        json.dump({"at": timezone.now().isoformat(), "failed": failed, "message": message[:2_000], "name": name}, file)
    part.replace(_file())


def last_attempt() -> Attempt | None:
    try:
        noted = json.loads(_file().read_text(encoding="utf-8"))
        return Attempt(
            datetime.fromisoformat(noted["at"]),
            bool(noted["failed"]),
            str(noted["message"]),
            str(noted.get("name", "")),
        )
    except (OSError, ValueError, KeyError, TypeError):
        return None


def warning() -> str:
    """The warning on Today: no backup for 48 hours, or damaged data; "" where all is well."""
    if settings.DEMO:
        return ""
    stored, last = folder.stored_in(Path(settings.BACKUPS)), last_attempt()
    reason = f" The last attempt failed: {last.message}" if last and last.failed else ""
    good, any_kind = folder.newest(stored, folder.WHOLE, folder.BEFORE_UPDATE), folder.newest(stored)
    since = good.at if good else _created_at()
    if any_kind and any_kind.kind == folder.DAMAGED:
        return f"The last backup contains damaged data. {last.message if last else ''}".strip()
    if since is None or timezone.now() - since <= LONG_AGO:
        return ""
    hours = int((timezone.now() - since).total_seconds()) // 3600
    return (f"No backup for {hours} hours." if good else "There is no backup yet.") + reason


def proven() -> bool:
    """Whether a backup stands that was read back whole."""
    return bool(folder.newest(folder.stored_in(Path(settings.BACKUPS)), folder.WHOLE, folder.BEFORE_UPDATE))


def _created_at() -> datetime | None:
    """When this database was made."""
    return MigrationRecorder.Migration.objects.order_by("applied").values_list("applied", flat=True).first()
