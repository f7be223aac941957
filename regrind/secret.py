"""The signing key of one shop, made once and kept beside its data."""

import os
import secrets
from pathlib import Path


def read_or_make(path: Path) -> str:
    """Return the key in `path`; make it if its folder exists, else give one that lasts for this process only.

    Commands that touch no data (the headless plan) must not leave folders behind, so the folder is never made here.
    """
    secret = _read(path)
    if secret:
        return secret
    fresh = secrets.token_urlsafe(50)
    return _keep(path, fresh) if path.parent.is_dir() else fresh


def _read(path: Path) -> str:
    try:
        return path.read_text(encoding="ascii").strip()
    except (OSError, UnicodeDecodeError):
        return ""


def _keep(path: Path, key: str) -> str:
    """Keep the key whole or not at all; of processes that start at once, the last one's counts for all later."""
    part = path.with_name(f"{path.name}.{os.getpid()}")
    try:
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(key)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except OSError:
        return key
    return _read(path) or key
