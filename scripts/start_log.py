"""What `start.py serve --log` prints goes into a file: a service of macOS or Windows has no terminal.

Standard library only.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

MOST_BYTES = 1_000_000  # after that many the file is set aside at the next start, in place of the one before


def write_into(path: Path) -> None:
    """Have this process and all that it starts print into the file, from now on."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    if path.exists() and path.stat().st_size > MOST_BYTES:
        path.replace(path.with_name(f"{path.name}.1"))
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    for number in (1, 2):
        os.dup2(handle, number)
    os.close(handle)
    if sys.stdout is None:  # pythonw has none
        sys.stdout = sys.stderr = os.fdopen(1, "w", encoding="utf-8", closefd=False)
