"""The signing key of one shop, made once and kept beside its data."""
import os
import secrets
from pathlib import Path


def read_or_make(path: Path) -> str:
    """Return the key in `path`; make it if its folder exists, else give one that lasts for this process only.

    Commands that touch no data (the headless plan) must not leave folders behind, so the folder is never made here.
    """
    try:
        return path.read_text(encoding="ascii")
    except OSError:
        pass
    fresh = secrets.token_urlsafe(50)
    if path.parent.is_dir():
        return _keep(path, fresh)
    return fresh


def _keep(path: Path, key: str) -> str:
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return path.read_text(encoding="ascii")
    except OSError:
        return key
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(key)
    return key
