"""The file of a backup: a plain tar, its manifest first. Nothing in a tar is trusted."""

import hashlib
import io
import json
import os
import re
import tarfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from regrind.shop.files.file_references import private_folder

FORMAT = "regrind backup 1"
MEMBER = re.compile(r"database|photos/[0-9a-f]{2}/[0-9a-f]{64}\.jpg|papers/[0-9a-f]{64}\.pdf")
MOST_MANIFEST = 500_000_000  # bytes; 150 for each photo or paper
AT_ONCE = 1 << 20
# All that tarfile and json raise of a file that is no tar, or was cut, altered or made to harm.
UNREADABLE = (tarfile.TarError, EOFError, KeyError, ValueError, OverflowError, RecursionError)


class BackupError(Exception):
    """The backup cannot be made, or is not complete. The message names each fault."""


def write_archive(target: Path, manifest: dict[str, Any], files: dict[str, Path]) -> None:
    """Write the manifest and the files, name -> where it lies, into `target`, a new file for its owner's eyes alone."""
    with open(target, "xb", opener=lambda path, flags: os.open(path, flags, 0o600)) as file:
        with tarfile.open(fileobj=file, mode="w") as tar:
            text = json.dumps(manifest, indent=1, sort_keys=True).encode()
            _add(tar, "manifest.json", len(text), io.BytesIO(text))
            for name, path in files.items():
                with path.open("rb") as content:
                    _add(tar, name, os.fstat(content.fileno()).st_size, content)
        file.flush()
        os.fsync(file.fileno())


def _add(tar: tarfile.TarFile, name: str, size: int, content: IO[bytes]) -> None:
    """Add a file without owner and time."""
    info = tarfile.TarInfo(name)
    info.size, info.mode = size, 0o600
    tar.addfile(info, content)


def read_manifest(source: Path) -> dict[str, Any]:
    """The manifest of a backup file; BackupError where it is no such file, or names what no backup holds."""
    with _readable(source) as tar:
        member = tar.next()
        if member is None or member.name != "manifest.json" or not _plain(member):
            raise BackupError(f"{source.name} is not a backup of this program: it does not begin with a manifest.")
        if member.size > MOST_MANIFEST:
            raise BackupError(f"{source.name} is not a backup of this program: its manifest is too large.")
        manifest = json.loads(_content(tar, member).read())
    if not isinstance(manifest, dict) or manifest.get("format") != FORMAT:
        raise BackupError(f"{source.name} is not a backup of this program: {FORMAT!r} is not in it.")
    if wrong := _wrong_part(manifest):
        raise BackupError(f"{source.name} was altered: its manifest has no valid {wrong}.")
    return manifest


def _wrong_part(manifest: dict[str, Any]) -> str:
    """The first part of a manifest that is not as `make_backup` writes it; "" where all are."""
    valid: dict[str, Callable[[Any], bool]] = {
        "vendor": lambda part: part in ("sqlite", "postgresql"),
        "made": lambda part: isinstance(part, str),
        "schema": lambda part: isinstance(part, list) and all(isinstance(name, str) for name in part),
        "faults": lambda part: isinstance(part, list) and all(isinstance(fault, str) for fault in part),
        "counts": lambda part: isinstance(part, dict) and all(isinstance(n, int) for n in part.values()),
        "files": lambda part: (
            isinstance(part, dict)
            and "database" in part
            and all(MEMBER.fullmatch(name) and isinstance(digest, str) for name, digest in part.items())
        ),
    }
    return next((name for name, is_valid in valid.items() if not is_valid(manifest.get(name))), "")


def unpack(source: Path, manifest: dict[str, Any], target: Path | None = None) -> None:
    """Compare each file of the manifest with its hash and write it below `target`, or without one only compare.

    Only plain files under the names of the manifest are taken, so that `target` never holds more than the archive.
    BackupError names what is cut, altered, missing or no plain file.
    """
    digests: dict[str, str] = {}
    with _readable(source) as tar:
        for member in tar:
            if member.size < 0:
                raise BackupError(f"{source.name} was altered: {member.name[:80]!r} has a negative size.")
            if member.name in manifest["files"]:
                digests[member.name] = _take(tar, member, target) if member.name not in digests else "twice"
    faults = [
        f"{name} {'was altered' if name in digests else 'is missing'}"
        for name, digest in manifest["files"].items()
        if digests.get(name) != digest
    ]
    if faults:
        raise BackupError("The backup is not complete: " + "; ".join(faults[:20]))


def _take(tar: tarfile.TarFile, member: tarfile.TarInfo, target: Path | None) -> str:
    """Copy a member below `target`; returns its hash, "" for what is no plain file."""
    if not _plain(member):
        return ""
    digest, content = hashlib.sha256(), _content(tar, member)
    with _sink(member.name, target) as sink:
        while chunk := content.read(AT_ONCE):
            digest.update(chunk)
            sink.write(chunk)
    return digest.hexdigest()


def _sink(name: str, target: Path | None) -> IO[bytes]:
    if target is None:
        return open(os.devnull, "wb")
    path = target / name
    private_folder(path.parent)
    return open(path, "xb", opener=lambda path, flags: os.open(path, flags, 0o600))


def _plain(member: tarfile.TarInfo) -> bool:
    """No link, no device, and no sparse file, which takes more room than the archive has bytes."""
    return member.type in (tarfile.REGTYPE, tarfile.AREGTYPE) and not member.issparse() and member.size >= 0


def _content(tar: tarfile.TarFile, member: tarfile.TarInfo) -> IO[bytes]:
    content = tar.extractfile(member)
    assert content is not None  # it is a plain file
    return content


@contextmanager
def _readable(source: Path) -> Iterator[tarfile.TarFile]:
    """The tar, never unpacked from gzip or the like: a small file then cannot be a large one."""
    try:
        with tarfile.open(source, "r:") as tar:
            yield tar
    except UNREADABLE as error:
        raise BackupError(
            f"{source.name} cannot be read: it is cut short, damaged or not a backup ({error})."
        ) from error
    except OSError as error:
        raise BackupError(f"{source.name} cannot be read: {error.strerror or error}.") from error
