"""What the drills of a run counted, gathered from all its steps, and their table. Standard library only."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

DRILLS = "REGRIND_DRILLS"  # names the file to which drills add what they counted


@contextmanager
def collected_drills() -> Iterator[Path]:
    """A file to which the drills of all steps add what they counted, one JSON object a line."""
    with tempfile.TemporaryDirectory(prefix="regrind-drills-") as folder:
        file, before = Path(folder) / "drills.jsonl", os.environ.get(DRILLS)
        os.environ[DRILLS] = str(file)
        try:
            yield file
        finally:
            del os.environ[DRILLS]
            if before is not None:
                os.environ[DRILLS] = before


def read_drills(file: Path) -> list[dict[str, Any]]:
    """One row a drill and database: where several tests or workers counted for the same one, their sum."""
    drills: dict[tuple[str, str], dict[str, Any]] = {}
    for line in file.read_text(encoding="utf-8").splitlines():
        drill = json.loads(line)
        row = drills.setdefault((drill["name"], drill["database"]), dict.fromkeys(drill) | {"seconds": 0.0})
        for name, value in drill.items():
            counts = isinstance(value, int | float)
            row[name] = (row[name] or 0) + value if counts else row[name] or value
    return list(drills.values())


def draw_drills(file: Path) -> str:
    """The drills' table; empty where none ran. A dash: not a thing that this drill counts."""
    if not file.exists():
        return ""
    rows = [("drill", "database", "tries", "lost", "doubled", "≥ 500", "seconds")]
    for drill in read_drills(file):
        counts = (drill[name] for name in ("tries", "lost", "doubled", "errors"))
        rows.append((drill["name"], drill["database"], *map(write_count, counts), f"{drill['seconds']:.1f}"))
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return "\n".join(
        "  ".join(text.ljust(width) if column < 2 else text.rjust(width) for column, (text, width) in cells)
        for cells in (list(enumerate(zip(row, widths, strict=True))) for row in rows)
    )


def write_count(count: int | None) -> str:
    return "-" if count is None else str(count)
