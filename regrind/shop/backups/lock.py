"""One backup at a time, whoever asks for it; the lock goes with its process, however that ends."""
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from django.conf import settings

from regrind.shop.kept_files import private_folder

from .archive import BackupError

if os.name == "nt":
    import msvcrt
else:
    import fcntl


class Busy(BackupError):
    """Another backup is being made right now."""


@contextmanager
def one_at_a_time() -> Iterator[None]:
    """Hold the shop's backup lock; Busy where another process, or another thread, holds it."""
    home = private_folder(Path(settings.DATA))
    with open(home / ".backup.lock", "a", opener=lambda path, flags: os.open(path, flags, 0o600)) as file:
        try:
            _take(file)
        except OSError as error:
            raise Busy("Another backup is being made: wait until it is there.") from error
        yield


def _take(file: IO[str]) -> None:
    """Until the file is closed."""
    if os.name == "nt":
        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
    else:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)


def is_busy() -> bool:
    """Whether a backup is being made right now."""
    try:
        with one_at_a_time():
            return False
    except Busy:
        return True
