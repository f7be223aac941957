"""How SQLite is opened. The reasons stand here, because each of these was once paid for."""

import sqlite3

# Versions 3.7.0 to 3.51.2 can corrupt a WAL file when two connections write and checkpoint together
# (SQLite release notes, 3.51.3): those use the rollback journal.
WAL_IS_SAFE = sqlite3.sqlite_version_info >= (3, 51, 3)
JOURNAL = "WAL" if WAL_IS_SAFE else "DELETE"

PRAGMAS = {
    "journal_mode": JOURNAL,
    # An acknowledged save survives a power cut. With FULL the journal's deletion need not be on the disk yet: it comes
    # back and takes the save with it (SQLite, "PRAGMA synchronous"; shown by tests/stress/test_order_of_writes.py).
    "synchronous": "EXTRA",
    "foreign_keys": "ON",
    "mmap_size": "0",  # an I/O error must be an error, not a crash
    "cache_size": "-16000",  # 16 MB; a bigger one made GROUP BY slower
}

SQLITE_OPTIONS = {
    "transaction_mode": "IMMEDIATE",  # a deferred read-then-write fails at once when another writes
    "timeout": 20,
    "init_command": ";".join(f"PRAGMA {name}={value}" for name, value in PRAGMAS.items()),
}
