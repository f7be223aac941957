"""Dated backups in one folder: their names, which of them stay, and when the next one is due."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils import timezone

from regrind.shop.files.file_references import private_folder
from regrind.shop.models import HistorySeal

from .archive import BackupError
from .making import make_named, stored_files

UNSEALED = "unsealed"
WHOLE, BEFORE_UPDATE, DAMAGED = "", "before-update", "damaged"
NAME = re.compile(r"regrind-([0-9]{8}T[0-9]{6}Z)-([0-9a-f]{12}|unsealed)(?:-(before-update|damaged))?(?:-[0-9]+)?\.tar")
DAILY, WEEKLY, MONTHLY = 7, 5, 12  # of undamaged backups: the newest, and the newest of so many days, weeks, months
SPARE = 3  # of backups before an update, and of damaged data; they never replace others
NIGHT = time(2)  # by the shop's clock
AHEAD = timedelta(hours=1)  # a backup from later than this was named while the clock was wrong


@dataclass(frozen=True)
class StoredBackup:
    """A dated backup. at: when it was made (UTC). kind: WHOLE, BEFORE_UPDATE or DAMAGED. head: of the history."""

    path: Path
    at: datetime
    head: str
    kind: str

    @property
    def size(self) -> int:
        return self.path.stat().st_size if self.path.is_file() else 0


def backup_folder() -> Path:
    """The folder of the dated backups. A folder from REGRIND_BACKUPS is never made: its disk may be unplugged."""
    folder = Path(settings.BACKUPS)
    try:
        if folder == Path(settings.DATA) / "backups":
            private_folder(folder)
        if folder.is_dir():
            return folder
    except OSError as error:
        reason = error.strerror or error
        raise BackupError(f"The folder for backups, {folder}, cannot be used: {reason}. Check its disk.") from error
    raise BackupError(f"The folder for backups, {folder}, is missing. Plug in its disk, or make the folder.")


def refuse_lost_database() -> None:
    """BackupError where photos, papers or backups of a shop lie here and its database does not: the empty one in its
    place would be taken for the shop, and its backups would drive out the good ones."""
    if stored_files() or stored_in(Path(settings.BACKUPS)):
        raise BackupError(
            "The database is empty or missing, but photos, papers or backups of a shop are here. Restore the newest "
            "backup into an empty folder, as docs/deploy.md says. For a new shop, name other folders for its data and "
            "its backups."
        )


def stored_in(folder: Path) -> list[StoredBackup]:
    """The dated backups of a folder, the newest first; none where it cannot be read."""
    try:
        names = [(path, NAME.fullmatch(path.name)) for path in folder.iterdir()]
    except OSError:
        return []
    return sorted(
        (StoredBackup(path, _moment(name[1]), name[2], name[3] or WHOLE) for path, name in names if name),
        key=lambda backup: (backup.at, backup.path.name),
        reverse=True,
    )


def _moment(stamp: str) -> datetime:
    try:
        return datetime.strptime(stamp, "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
    except ValueError:  # digits that are no date
        return datetime.min.replace(tzinfo=UTC)


def newest(backups: Iterable[StoredBackup], *kinds: str) -> StoredBackup | None:
    """The newest backup that is not from the future, of these kinds or of any."""
    now = timezone.now()
    return next((one for one in backups if one.at <= now + AHEAD and (not kinds or one.kind in kinds)), None)


def make_dated(folder: Path, kind: str = WHOLE) -> tuple[StoredBackup, dict[str, Any]]:
    """Make a backup under a dated name and delete expired ones. Returns it and its manifest."""
    path, manifest = make_named(folder, lambda manifest: _free_name(folder, manifest, kind))
    made = next(backup for backup in stored_in(folder) if backup.path == path)
    for old in expired(stored_in(folder)):
        if old.path != path:
            old.path.unlink(missing_ok=True)
    return made, manifest


def _free_name(folder: Path, manifest: dict[str, Any], kind: str) -> Path:
    kind = DAMAGED if manifest["faults"] else kind
    stamp = f"regrind-{timezone.now().astimezone(UTC):%Y%m%dT%H%M%SZ}-{manifest['head'] or UNSEALED}"
    plain = f"{stamp}-{kind}" if kind else stamp
    names = [f"{plain}.tar", *(f"{plain}-{n}.tar" for n in range(2, 100))]
    return next(folder / name for name in names if not (folder / name).exists())


def foreign_heads(backups: Iterable[StoredBackup]) -> set[str]:
    """The seals in the names of these backups that the history does not have: it was rewritten since, seals and all,
    or they are of another history, as those made after the backup that this shop was restored from."""
    heads = {one.head for one in backups if one.head != UNSEALED}
    return {head for head in heads if not HistorySeal.objects.filter(digest__startswith=head).exists()}


def expired(backups: list[StoredBackup]) -> list[StoredBackup]:
    """The backups to delete, of a folder's backups, newest first. Only newer undamaged backups replace an undamaged
    one, so that good copies stay however long the data are damaged."""
    whole = [one for one in backups if one.kind == WHOLE]
    stay = [
        *(one for kind in (BEFORE_UPDATE, DAMAGED) for one in [one for one in backups if one.kind == kind][:SPARE]),
        *whole[:DAILY],
        *_newest_of(whole, lambda day: day.date(), DAILY),
        *_newest_of(whole, lambda day: day.isocalendar()[:2], WEEKLY),
        *_newest_of(whole, lambda day: (day.year, day.month), MONTHLY),
    ]
    return [one for one in backups if one not in stay]


def _newest_of(backups: list[StoredBackup], span: Callable[[datetime], object], most: int) -> list[StoredBackup]:
    """The newest of each day, week or month that has any, by the shop's calendar; of `most` of them."""
    first: dict[object, StoredBackup] = {}
    for one in backups:
        first.setdefault(span(timezone.localtime(one.at)), one)
    return list(first.values())[:most]


def last_night(now: datetime) -> datetime:
    """The last two o'clock at night by the shop's clock, before or at `now`."""
    here = timezone.localtime(now)
    tonight = datetime.combine(here.date(), NIGHT, tzinfo=here.tzinfo)
    return tonight if tonight <= here else datetime.combine(here.date() - timedelta(days=1), NIGHT, here.tzinfo)


def is_due(folder: Path, now: datetime | None = None) -> bool:
    """Whether no backup was made since last night's hour. One before an update does not count. One of damaged data
    does: the next would be no better."""
    now = now or timezone.now()
    return not any(last_night(now) <= one.at <= now + AHEAD for one in stored_in(folder) if one.kind != BEFORE_UPDATE)
