"""One backup at a time, whoever asks for it; the lock goes with its process, however that ends."""

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from django.conf import settings

from regrind.shop.files.file_references import private_folder

from .archive import BackupError

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

PATIENCE_S = 2.0  # a page that asks whether one is being made holds the lock for a moment, too


class Busy(BackupError):
    """Another backup is being made right now."""


@contextmanager
def one_at_a_time(patience: float = PATIENCE_S) -> Iterator[None]:
    """Hold the shop's backup lock; Busy where another process, or another thread, holds it for longer."""
    home = private_folder(Path(settings.DATA))
    with open(home / ".backup.lock", "a", opener=lambda path, flags: os.open(path, flags, 0o600)) as file:
        _take(file, patience)
        yield


def _take(file: IO[str], patience: float) -> None:
    end = time.monotonic() + patience
    while True:
        try:
            return _lock(file)
        except OSError as error:
            if time.monotonic() >= end:
                raise Busy("Another backup is being made. Wait until it is finished.") from error
        time.sleep(0.05)


def _lock(file: IO[str]) -> None:
    """Until the file is closed; OSError at once where somebody has it."""
    if sys.platform == "win32":
        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
    else:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)


def is_busy() -> bool:
    """Whether a backup is being made right now."""
    try:
        with one_at_a_time(patience=0):
            return False
    except Busy:
        return True
