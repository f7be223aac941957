"""The project's own reference tables: the CSV files in shared/, read by program and tests alike."""

import csv
from functools import cache
from pathlib import Path

SHARED = Path(__file__).resolve().parents[2] / "shared"


@cache
def rows(name: str) -> list[dict[str, str]]:
    """Every row of the reference table `name`, as text under the file's own column names.

    name: the file's name in shared/ without `.csv`. Cells stay text: each caller turns the columns it knows
    into numbers. The list is kept in memory and shared: read it, never change it.
    Raises FileNotFoundError for a name without a table.
    Source: each row's own `source` and `provenance` columns; shared/README.md tells of the files.

    >>> rows("18_practice_and_tolerances")[0]["value"]
    '15'
    """
    with (SHARED / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))
