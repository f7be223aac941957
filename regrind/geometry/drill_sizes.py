"""Number and letter drill sizes, as the bench names them."""

import re
from decimal import Decimal
from functools import lru_cache

_NM_PER_IN = 25_400_000
_DRILL = re.compile(r"(?P<number># ?[0-9]{1,2})(?: drill)?|letter (?P<named>[a-z])(?: drill)?|(?P<letter>[a-z]) drill")


def is_drill_size(text: str) -> bool:
    """Whether `text`, in lower case, is written as a drill size is: `#7`, `letter f`, `f drill`.

    Source: the table of drill sizes (shared/23_drill_sizes.csv).

    >>> is_drill_size("#7"), is_drill_size("f")
    (True, False)
    """
    return _DRILL.fullmatch(text) is not None


def find_drill_nm(text: str) -> int | None:
    """Diameter in nm of the drill size written in `text`, in lower case; None where the table has no such size.

    Source: the table of drill sizes (shared/23_drill_sizes.csv).

    >>> find_drill_nm("#7"), find_drill_nm("#99")
    (5105400, None)
    """
    match = _DRILL.fullmatch(text)
    if match is None:
        return None
    if match["number"]:
        return _list_sizes().get(f"#{int(match['number'].lstrip('# '))}")
    return _list_sizes().get((match["named"] or match["letter"]).upper())


def find_last_number() -> int:
    """The highest number that a drill size of the table has.

    Source: the table of drill sizes (shared/23_drill_sizes.csv).

    >>> find_last_number()
    80
    """
    return max(int(size[1:]) for size in _list_sizes() if size[0] == "#")


@lru_cache(maxsize=1)
def _list_sizes() -> dict[str, int]:
    """Diameters in nm by size, from the table of drill sizes."""
    from regrind.geometry.tables import rows  # not at the top: reading a plain length needs no table

    named = {row["size"]: Decimal(row["diameter_in"]) * _NM_PER_IN for row in rows("23_drill_sizes")}
    return {size: int(nm) for size, nm in named.items() if size[0] == "#" or size.isalpha()}
