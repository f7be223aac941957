"""What went wrong around the program, in words for a person: the database away, the disk full, a folder read-only."""

import errno

from django.db import InterfaceError, OperationalError

FULL = (
    "The disk is full: nothing of this was saved. Make room on the machine that the shop runs on, then send it again."
)
READ_ONLY = "The data folder cannot be written: nothing of this was saved. Does it belong to the user who runs this?"
LOCKED = "The database is held by another program: nothing of this was saved. Send it again."
AWAY = "The database cannot be reached: nothing of this was saved. Is it running? Then send it again."
# What SQLite (result codes FULL, READONLY, CANTOPEN, BUSY) and PostgreSQL (class 53) say
SIGNS = (
    ("database or disk is full", FULL),
    ("No space left on device", FULL),
    ("disk full", FULL),
    ("readonly database", READ_ONLY),
    ("unable to open database file", READ_ONLY),
    ("read-only", READ_ONLY),
    ("database is locked", LOCKED),
)
OF_DISK = {errno.ENOSPC: FULL, errno.EDQUOT: FULL, errno.EROFS: READ_ONLY, errno.EACCES: READ_ONLY}


def in_words(error: BaseException | None) -> str:
    """What a person can do about an error that is none of the program's; "" for any other."""
    if isinstance(error, OperationalError | InterfaceError):
        return next((words for sign, words in SIGNS if sign in str(error)), AWAY if _is_away(error) else "")
    return OF_DISK.get(error.errno or 0, "") if isinstance(error, OSError) else ""


def _is_away(error: BaseException) -> bool:
    """PostgreSQL: an error without an SQLSTATE never reached it; 57P0x is its being shut down, 08 a lost connection."""
    state = getattr(error.__cause__, "sqlstate", "")
    return state is None or str(state).startswith(("57P0", "08"))
