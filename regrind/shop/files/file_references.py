"""Files that rows refer to by their hash: stored completely or not at all, and checked."""

import hashlib
import os
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

from django.apps import apps
from django.db import connection

# model label -> where the file of a row's `sha256` lies
PATH_OF: dict[str, Callable[[str], Path]] = {}
AT_ONCE = 5_000  # rows read together: no cursor stays open, and a million fit


def register_files(label: str, path_of: Callable[[str], Path]) -> None:
    """Register a table whose rows each name a file by its hash; called by each room's models module."""
    PATH_OF[label] = path_of


def sha256_of(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def store_file(path: Path, content: bytes) -> None:
    """Put `content` on the disk under `path`, named by its hash, before any row names it.

    Each writer has a file of its own until it is whole: of several that keep the same content at once, in one process
    or in many, none meets the other's half. What is there already and is whole stays.
    """
    if path.is_file() and path.read_bytes() == content:
        return
    private_folder(path.parent)
    handle, part = tempfile.mkstemp(prefix=f"{path.name}.", suffix=".part", dir=path.parent)  # for its owner alone
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.replace(part, path)
    except BaseException:
        Path(part).unlink(missing_ok=True)
        raise
    sync_folder(path.parent)


def private_folder(folder: Path) -> Path:
    """Make a folder, and those above it that are not there, for its owner's eyes alone; one that is there stays."""
    if not folder.is_dir():
        private_folder(folder.parent)
        folder.mkdir(mode=0o700, exist_ok=True)
    return folder


def sync_folder(folder: Path) -> None:
    """A name is on the disk only when its folder is. Windows cannot be asked, and needs no asking."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def faulty_files() -> list[str]:
    """A description of each file that a row names and that is missing or altered."""
    known: dict[Path, str] = {}
    return [
        f"{path.name} of {label} {pk} {fault}"
        for label, path_of in sorted(PATH_OF.items())
        for pk, sha256 in _references(label)
        if (fault := _fault(path := path_of(sha256), sha256, known))
    ]


def _fault(path: Path, sha256: str, known: dict[Path, str]) -> str:
    """What is wrong with a file, "" where it is whole; each is read once, however many rows name it."""
    if path not in known:
        try:
            known[path] = "" if sha256_of(path) == sha256 else "was altered"
        except FileNotFoundError:
            known[path] = "is missing"
        except OSError as error:
            known[path] = f"cannot be read ({error.strerror})"
    return known[path]


def _references(label: str) -> Iterator[tuple[int, str]]:
    """Row and hash, by SQL: a database that is older than its models can be asked too."""
    table = apps.get_model(label)._meta.db_table
    if table not in connection.introspection.table_names():
        return
    last = 0
    while batch := _next_references(table, last):
        yield from batch
        last = batch[-1][0]


def _next_references(table: str, last: int) -> list[tuple[int, str]]:
    with connection.cursor() as cursor:
        cursor.execute(f'SELECT id, sha256 FROM "{table}" WHERE id > %s ORDER BY id LIMIT %s', [last, AT_ONCE])
        rows: list[tuple[int, str]] = cursor.fetchall()
        return rows
