"""The dated edition of the limits and defaults: a plan keeps the edition that it was judged by.

Change a limit, a default or its table, and the edition changes with it; old plans keep theirs.
"""

EDITION = "2026-11"
