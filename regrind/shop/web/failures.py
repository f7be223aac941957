"""Failures outside the program, explained to a person: no database, a full disk, a read-only folder."""

import errno

from django.db import DatabaseError, InterfaceError, OperationalError, ProgrammingError

FULL = "The disk is full: nothing was saved. Free some space on the computer that runs this program, then save again."
READ_ONLY = (
    "The data folder is missing or cannot be written: nothing was saved. Make it, and let the user who runs the "
    "program write to it."
)
LOCKED = "The database is in use by another program: nothing was saved. Save again."
AWAY = "The database cannot be reached: nothing was saved. Start the database, then save again."
NO_TABLES = "The database is not set up yet. Start the program, which does that, and wait until it answers."
DAMAGED = (
    "The database is damaged: nothing was saved. Restore the newest good backup into an empty folder, as "
    "docs/deploy.md says under “Backup and restore”."
)
# Error texts of SQLite (result codes FULL, READONLY, CANTOPEN, BUSY) and PostgreSQL (class 53)
MESSAGES = (
    ("database or disk is full", FULL),
    ("No space left on device", FULL),
    ("disk full", FULL),
    ("readonly database", READ_ONLY),
    ("unable to open database file", READ_ONLY),
    ("read-only", READ_ONLY),
    ("database is locked", LOCKED),
    ("no such table", NO_TABLES),
)
DAMAGED_FILE = ("file is not a database", "database disk image is malformed")  # SQLite's NOTADB and CORRUPT
UNDEFINED_TABLE = "42P01"  # PostgreSQL's SQLSTATE
BY_ERRNO = {errno.ENOSPC: FULL, errno.EDQUOT: FULL, errno.EROFS: READ_ONLY, errno.EACCES: READ_ONLY}


def explain(error: BaseException | None) -> str:
    """What a person can do about a failure outside the program; "" for any other error."""
    if isinstance(error, OperationalError | InterfaceError):
        return next((message for text, message in MESSAGES if text in str(error)), AWAY if _is_away(error) else "")
    if isinstance(error, ProgrammingError):
        return NO_TABLES if getattr(error.__cause__, "sqlstate", "") == UNDEFINED_TABLE else ""
    if isinstance(error, DatabaseError):
        return DAMAGED if str(error).startswith(DAMAGED_FILE) else ""
    return BY_ERRNO.get(error.errno or 0, "") if isinstance(error, OSError) else ""


def _is_away(error: BaseException) -> bool:
    """PostgreSQL: an error without an SQLSTATE never reached it; 57P0x is its being shut down, 08 a lost connection."""
    state = getattr(error.__cause__, "sqlstate", "")
    return state is None or str(state).startswith(("57P0", "08"))
