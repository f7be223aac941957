"""Backups by themselves while the server runs: `manage.py backup --if-due` is asked again and again, and knows when.

Standard library only. Nothing is remembered here: a machine that slept, was off at night or had its clock put right
gets its backup at the next asking.
"""

from __future__ import annotations

import subprocess
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

FIRST_S, EVERY_S = 60.0, 900.0


@contextmanager
def asked_again_and_again(
    command: Sequence[str], environment: dict[str, str], *, first: float = FIRST_S, every: float = EVERY_S
) -> Iterator[None]:
    """Run the command beside the block, first after `first` seconds, then `every` so many; one at a time, ended with
    it. What it prints goes where ours goes; whether it fails changes nothing here."""
    over = threading.Event()
    asking = threading.Thread(target=_ask, args=(command, environment, over, first, every), daemon=True)
    asking.start()
    try:
        yield
    finally:
        over.set()
        asking.join(timeout=30)


def _ask(
    command: Sequence[str], environment: dict[str, str], over: threading.Event, first: float, every: float
) -> None:
    wait = first
    while not over.wait(wait):
        wait = every
        child = subprocess.Popen(command, env=environment, umask=0o077, start_new_session=True)  # Ctrl-C is ours
        while child.poll() is None:
            if over.wait(0.2):
                child.terminate()
                child.wait()
