"""One file holds the shop: the database, photos and papers, with a manifest that lets a restore prove it is whole."""
import hashlib
import io
import json
import os
import shutil
import sqlite3
import subprocess
import tarfile
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

from django.apps import apps
from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.db import connection, transaction
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.db.models import Model

from .database import refuse_unsafe
from .kept_files import missing_files
from .seal import broken_seals, seal_history

FORMAT = "regrind backup 1"


class BackupError(Exception):
    """The backup cannot be made, or does not prove to be whole. The message names each fault."""


def folders() -> dict[str, Path]:
    return {"photos": Path(settings.MEDIA_ROOT), "papers": Path(settings.PAPERS)}


def sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def counts() -> dict[str, int]:
    """Rows of every table of the project."""
    return {model._meta.label: model._default_manager.count() for model in _models()}


def _models() -> list[type[Model]]:
    return [model for model in apps.get_models() if model.__module__.startswith("regrind.")]


def schema() -> list[str]:
    """Every applied migration, as `room.name`."""
    return sorted(f"{app}.{name}" for app, name in MigrationRecorder(connection).applied_migrations())


def make_backup(target: Path) -> dict:
    """Write the whole shop into `target` (a new file), safe while others write. Returns the manifest;
    its "missing" lists the photos and papers that rows name and that are gone already.

    The database is copied first: photos and papers are only ever added, so every one it names is then there.
    """
    if target.exists():
        raise BackupError(f"{target} is there already: name a new file.")
    seal_history()
    part = target.with_name(target.name + ".part")
    with TemporaryDirectory(dir=target.parent) as scratch:
        database = Path(scratch) / "database"
        rows = _dump(database)
        files = {"database": database} | _files()
        manifest = {"format": FORMAT, "vendor": connection.vendor, "schema": schema(), "counts": rows,
                    "missing": missing_files(), "files": {name: sha256(path) for name, path in files.items()}}
        _write(part, manifest, files)
    part.replace(target)
    return manifest


def _files() -> dict[str, Path]:
    return {f"{name}/{path.relative_to(folder).as_posix()}": path for name, folder in folders().items()
            if folder.is_dir() for path in sorted(folder.rglob("*")) if path.is_file()}


def _write(target: Path, manifest: dict, files: dict[str, Path]) -> None:
    text = json.dumps(manifest, indent=1, sort_keys=True).encode()
    with tarfile.open(target, "w") as tar:
        info = tarfile.TarInfo("manifest.json")
        info.size = len(text)
        tar.addfile(info, io.BytesIO(text))
        for name, path in files.items():
            tar.add(path, arcname=name, recursive=False)


def _dump(target: Path) -> dict[str, int]:
    """Copy the database as it is at one moment, and count the rows of that same moment."""
    return _dump_sqlite(target) if connection.vendor == "sqlite" else _dump_postgres(target)


def _dump_sqlite(target: Path) -> dict[str, int]:
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [str(target)])
    with closing(sqlite3.connect(target)) as copy:
        return {model._meta.label: copy.execute(f'SELECT count(*) FROM "{model._meta.db_table}"').fetchone()[0]
                for model in _models()}


def _dump_postgres(target: Path) -> dict[str, int]:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        cursor.execute("SELECT pg_export_snapshot()")
        _postgres("pg_dump", "--format=custom", "--no-owner", "--no-privileges", f"--snapshot={cursor.fetchone()[0]}",
                  f"--file={target}")
        return counts()


def _postgres(program: str, *args: str) -> None:
    found = shutil.which(program)
    if found is None:
        raise BackupError(f"{program} is not installed: install the PostgreSQL client programs.")
    where = connection.get_connection_params()
    env = {variable: str(where[key]) for variable, key in
           (("PGHOST", "host"), ("PGPORT", "port"), ("PGUSER", "user"), ("PGPASSWORD", "password")) if where.get(key)}
    done = subprocess.run([found, *args, f"--dbname={where['dbname']}"], env=os.environ | env, capture_output=True,
                          text=True, check=False)
    if done.returncode:
        raise BackupError(f"{program} failed: {done.stderr.strip()[-500:]}")


def read_manifest(source: Path) -> dict:
    """The manifest of a backup file; BackupError where it is no such file."""
    try:
        with tarfile.open(source, "r") as tar:
            member = tar.extractfile("manifest.json")
            manifest = json.load(member) if member else {}
    except (OSError, tarfile.TarError, KeyError, ValueError) as error:
        raise BackupError(f"{source.name} is no readable backup (truncated or damaged): {error}") from error
    if manifest.get("format") != FORMAT:
        raise BackupError(f"{source.name} is no backup of this program ({FORMAT!r} is not in it).")
    return manifest


def restore_backup(source: Path) -> dict:
    """Restore a backup into an empty shop and prove it whole. Returns its manifest.

    Raises BackupError, naming each fault, where the place is not empty or the file is truncated, altered, lacks a
    photo or rows, or is of a newer program. An older schema is told: migrate brings it up to date.
    """
    manifest = read_manifest(source)
    _refuse_full_place()
    with TemporaryDirectory(dir=_home()) as scratch:
        _unpack(source, Path(scratch), manifest)
        _newer(manifest)
        _load(Path(scratch) / "database", manifest)
        for name, folder in folders().items():
            if (Path(scratch) / name).is_dir():
                shutil.copytree(Path(scratch) / name, folder, dirs_exist_ok=True)
    connection.close()
    faults = faults_after(manifest)
    if faults:
        raise BackupError("Restored, but not whole: " + "; ".join(faults))
    return manifest


def _home() -> Path:
    Path(settings.DATA).mkdir(parents=True, exist_ok=True)
    return Path(settings.DATA)


def _refuse_full_place() -> None:
    if connection.vendor == "sqlite":
        database = Path(str(settings.DATABASES["default"]["NAME"]))
        connection.close()
        if database.exists() and database.stat().st_size:
            raise BackupError(f"{database.name} is there already: restore goes into an empty place (set REGRIND_DATA).")
    elif connection.introspection.table_names():
        raise BackupError("The database has tables already: restore goes into an empty one.")
    for name, folder in folders().items():
        if folder.is_dir() and any(folder.iterdir()):
            raise BackupError(f"The folder {name} is not empty.")


def _unpack(source: Path, target: Path, manifest: dict) -> None:
    try:
        with tarfile.open(source, "r") as tar:
            tar.extractall(target, filter="data")
    except (OSError, tarfile.TarError) as error:
        raise BackupError(f"The file is truncated or damaged: {error}") from error
    faults = []
    for name, digest in manifest["files"].items():
        path = target / name
        if not path.is_file():
            faults.append(f"{name} is missing")
        elif sha256(path) != digest:
            faults.append(f"{name} was altered")
    if faults:
        raise BackupError("The backup is not whole: " + "; ".join(faults[:20]))


def _newer(manifest: dict) -> None:
    known = {f"{app}.{name}" for app, name in MigrationLoader(None).disk_migrations}
    unknown = [name for name in manifest["schema"] if name not in known]
    if unknown:
        raise BackupError(f"The backup is of a newer program: it has {unknown[0]}, which this one does not know.")
    if manifest["vendor"] != connection.vendor:
        raise BackupError(f"The backup is of {manifest['vendor']}, this place is {connection.vendor}.")


def _load(database: Path, manifest: dict) -> None:
    if manifest["vendor"] == "sqlite":
        connection.close()
        shutil.copyfile(database, settings.DATABASES["default"]["NAME"])
    else:
        with TemporaryDirectory() as scratch:
            copy = Path(scratch) / "database"
            shutil.copyfile(database, copy)
            _postgres("pg_restore", "--no-owner", "--exit-on-error", "--single-transaction", str(copy))


def faults_after(manifest: dict) -> list[str]:
    """What a restored shop lacks: integrity, schema, rows, history chain, papers. Empty where it is whole."""
    faults = _integrity()
    if faults:
        return faults
    missing = sorted(set(manifest["schema"]) ^ set(schema()))
    if missing:
        faults.append(f"the schema differs from its manifest ({missing[0]})")
        return faults
    if _behind():
        return ["its schema is older than this program's: run 'migrate', then 'check_database --history'"]
    there = counts()
    faults += [f"{label}: {there.get(label, 0)} rows of {n}" for label, n in manifest["counts"].items()
               if there.get(label) != n]
    try:
        refuse_unsafe()
    except ImproperlyConfigured as error:
        faults.append(str(error))
    return faults + broken_seals() + missing_files()[:20]


def _behind() -> bool:
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def _integrity() -> list[str]:
    if connection.vendor != "sqlite":
        return []
    with connection.cursor() as cursor:
        said = cursor.execute("PRAGMA integrity_check").fetchone()[0]
        loose = cursor.execute("PRAGMA foreign_key_check").fetchall()
    return ([] if said == "ok" else [f"SQLite says: {said}"]) + ([f"{len(loose)} rows point nowhere"] if loose else [])
