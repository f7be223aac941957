"""What a drill has shown, as one line of JSON in the file named by REGRIND_DRILLS, for a table at the end of a run."""

import json
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass


@dataclass
class Drill:
    """tries: saves, sendings or days. lost, doubled: of those acknowledged. errors: answers of 500 and above.

    None: not a thing that this drill counts.
    """

    name: str
    database: str
    tries: int = 0
    lost: int | None = 0
    doubled: int | None = 0
    errors: int | None = 0
    seconds: float = 0.0


@contextmanager
def drill(name: str, database: str) -> Iterator[Drill]:
    """Write what was counted within, also where the drill fails."""
    shown, begun = Drill(name, database), time.monotonic()
    try:
        yield shown
    finally:
        shown.seconds = round(time.monotonic() - begun, 1)
        file = os.environ.get("REGRIND_DRILLS")
        if file:
            with open(file, "a", encoding="utf-8") as lines:
                lines.write(json.dumps(asdict(shown)) + "\n")
