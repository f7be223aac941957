"""Make a backup: copy, write, read back, and only then give it its name."""

import re
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.db import DatabaseError, connection
from django.utils import timezone

from regrind.shop.files.file_references import faulty_files, sha256_of, sync_folder
from regrind.shop.history.seal import broken_seals, seal_history
from regrind.shop.models import HistorySeal

from . import database
from .archive import FORMAT, MEMBER, BackupError, read_manifest, unpack, write_archive
from .lock import one_at_a_time
from .restoring import folders

SCRATCH = ".regrind-backup-"


def make_backup(target: Path) -> dict[str, Any]:
    """Write the whole shop into `target` (a new file), safe while others write, and prove it. Returns the manifest.

    Its "faults" say what was wrong with the shop itself: photos and papers gone or altered, a broken database or
    history. Such a backup is made all the same, and is as good as the shop was. BackupError where none could be made.
    """
    if not target.parent.is_dir():
        raise BackupError(f"The folder {target.parent} does not exist. Make it, or name another one.")
    if target.exists():
        raise BackupError(f"{target} exists already. Name a new file.")
    return make_named(target.parent, lambda manifest: target)[1]


def make_named(folder: Path, name: Callable[[dict[str, Any]], Path]) -> tuple[Path, dict[str, Any]]:
    """Make a backup within `folder` under the path that `name` gives it, known once it is made; as `make_backup`."""
    try:
        with one_at_a_time(), _scratch(folder) as scratch:
            manifest = _write(scratch)
            target = name(manifest)
            if target.exists():
                raise BackupError(f"{target} exists already. Name a new file.")
            (scratch / "backup.tar").replace(target)
            sync_folder(folder)
            return target, manifest
    except OSError as error:
        raise BackupError(f"The backup could not be written into {folder}: {error.strerror or error}.") from error


@contextmanager
def _scratch(folder: Path) -> Iterator[Path]:
    """A folder beside the backup to be; those that a killed one left are cleared away first."""
    for leftover in folder.glob(f"{SCRATCH}*"):
        shutil.rmtree(leftover, ignore_errors=True)
    with TemporaryDirectory(dir=folder, prefix=SCRATCH) as scratch:
        yield Path(scratch)


def _write(scratch: Path) -> dict[str, Any]:
    """Write and prove `backup.tar`. The database is copied first: photos and papers are only ever added, so every one
    that it names is then there."""
    _refuse_without_room(scratch)
    faults = _seal()
    rows, wrong = database.copy_to(scratch / "database")
    files = {"database": scratch / "database"} | stored_files()
    manifest = {
        "format": FORMAT,
        "vendor": connection.vendor,
        "made": timezone.now().isoformat(timespec="seconds"),
        "schema": database.schema(),
        "counts": rows,
        "head": head(),
        "faults": faults + wrong + faulty_files(),
        "files": {name: sha256_of(path) for name, path in files.items()},
    }
    write_archive(scratch / "backup.tar", manifest, files)
    (scratch / "database").unlink()
    prove(scratch / "backup.tar")
    return manifest


def prove(source: Path) -> dict[str, Any]:
    """Read a backup file from end to end against its manifest, which is returned; BackupError where it is not whole."""
    manifest = read_manifest(source)
    unpack(source, manifest)
    return manifest


def stored_files() -> dict[str, Path]:
    """Every photo and paper of the shop: name in a backup -> path. Halves that a killed writer left are none."""
    files = {
        f"{name}/{path.relative_to(folder).as_posix()}": path
        for name, folder in folders().items()
        if folder.is_dir()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }
    return {name: path for name, path in files.items() if MEMBER.fullmatch(name)}


def needed_room() -> int:
    """Bytes that a backup takes while it is made: the database twice, and every photo and paper."""
    return 2 * database.size() + sum(path.stat().st_size for path in stored_files().values())


def _refuse_without_room(folder: Path) -> None:
    free, needed = shutil.disk_usage(folder).free, needed_room()
    if free < needed:
        raise BackupError(
            f"The disk of the backups has {free / 1e6:.1f} MB free, and {needed / 1e6:.1f} MB are needed. "
            "Delete old backups there, or name another folder under Shop, Program."
        )


def _seal() -> list[str]:
    """Seal the history and check every seal; what is broken. A database of an older program is copied as it is."""
    if database.is_behind():
        return []
    seal_history()
    return broken_seals()


def head() -> str:
    """The first signs of the newest seal: whoever rewrites history and seals alike cannot rewrite where it stands."""
    try:
        last = HistorySeal.objects.order_by("last").last()
    except DatabaseError:  # a database from before there were seals
        return ""
    return re.sub(r"[^0-9a-f]", "", last.digest)[:12] if last else ""
