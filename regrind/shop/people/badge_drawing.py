"""A code's modules as one path of an SVG."""

from collections.abc import Sequence

from regrind.paper.qr import QUIET_MODULES


def path_of(rows: Sequence[Sequence[int]]) -> dict[str, object]:
    """path: each black module a unit; side: of the whole, its quiet zone included."""
    path = "".join(
        f"M{x + QUIET_MODULES} {y + QUIET_MODULES}h1v1h-1z"
        for y, row in enumerate(rows)
        for x, black in enumerate(row)
        if black
    )
    return {"path": path, "side": len(rows) + 2 * QUIET_MODULES}
