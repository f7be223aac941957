"""Restore a backup into an empty shop, and check that it is complete."""

import shutil
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.db import connection

from regrind.shop.files.file_references import faulty_files, private_folder
from regrind.shop.history.database import known_migrations, refuse_unsafe
from regrind.shop.history.seal import broken_seals

from . import database
from .archive import BackupError, read_manifest, unpack


def folders() -> dict[str, Path]:
    return {"photos": Path(settings.MEDIA_ROOT), "papers": Path(settings.PAPERS)}


def restore_backup(source: Path) -> dict[str, Any]:
    """Restore a backup into an empty shop and prove it whole. Returns its manifest.

    Raises BackupError, naming each fault, where the place is not empty or the file is truncated, altered, lacks a
    photo or rows, or is of a newer program. One of an older program is whole, and `database.is_behind` after it.
    """
    manifest = read_manifest(source)
    _refuse_foreign(manifest)
    _refuse_full_place()
    try:
        home = _home(source.stat().st_size)
        with TemporaryDirectory(dir=home, prefix=".restore-") as scratch:
            unpack(source, manifest, Path(scratch))
            _put_in_place(Path(scratch), manifest)
    except OSError as error:
        file = f" ({error.filename})" if error.filename else ""
        raise BackupError(f"The backup cannot be restored here: {error.strerror or error}{file}.") from error
    connection.close()
    faults = faults_after(manifest)
    if faults:
        raise BackupError("Restored, but not complete: " + "; ".join(faults[:20]))
    return manifest


def _home(needed: int) -> Path:
    """The data folder, for its owner's eyes alone, with room for what comes."""
    home = private_folder(Path(settings.DATA))
    home.chmod(0o700)
    free = shutil.disk_usage(home).free
    if free < needed:
        raise BackupError(f"The disk has {free / 1e6:.1f} MB free, the backup needs {needed / 1e6:.1f} MB.")
    return home


def _put_in_place(scratch: Path, manifest: dict[str, Any]) -> None:
    database.load(scratch / "database", manifest["vendor"])
    for name, folder in folders().items():
        if (scratch / name).is_dir():
            if folder.is_dir():
                folder.rmdir()  # it is empty
            shutil.move(scratch / name, folder)


def _refuse_full_place() -> None:
    if connection.vendor == "sqlite":
        connection.close()
        if database.sqlite_file().exists() and database.sqlite_file().stat().st_size:
            raise BackupError(
                f"{database.sqlite_file().name} exists already. Restore into an empty folder: set REGRIND_DATA."
            )
    elif not database.is_empty():
        raise BackupError("The database has tables already. Restore into an empty database.")
    for name, folder in folders().items():
        if folder.is_dir() and any(folder.iterdir()):
            raise BackupError(f"The folder {name} is not empty. Restore into an empty folder: set REGRIND_DATA.")


def _refuse_foreign(manifest: dict[str, Any]) -> None:
    known = known_migrations()
    unknown = [name for name in manifest["schema"] if name not in known]
    if unknown:
        raise BackupError(f"The backup was made by a newer program: it has {unknown[0]}. Update this program first.")
    if manifest["vendor"] != connection.vendor:
        raise BackupError(f"The backup is for {manifest['vendor']}, this shop uses {connection.vendor}.")


def faults_after(manifest: dict[str, Any]) -> list[str]:
    """What a restored shop lacks: integrity, schema, rows, history chain, files. Empty where it is whole."""
    faults = database.faults()
    if faults:
        return faults
    missing = sorted(set(manifest["schema"]) ^ set(database.schema()))
    if missing:
        return [f"the schema differs from its manifest ({missing[0]})"]
    present = database.counts()
    faults += [
        f"{table}: {present.get(table, 0)} rows of {n}"
        for table, n in manifest["counts"].items()
        if present.get(table) != n
    ]
    return faults + ([] if database.is_behind() else _unsafe() + broken_seals()) + faulty_files()


def _unsafe() -> list[str]:
    try:
        refuse_unsafe()
    except ImproperlyConfigured as error:
        return [str(error)]
    return []
