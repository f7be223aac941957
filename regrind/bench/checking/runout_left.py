"""The runout of the teeth that the inspection read and no grinding took away, since the sides were left alone."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from regrind.record.kinds import RADIAL
from regrind.record.models import Piece

from ..models import Inspection, Reading
from ..revisions import newest_with_readings


@dataclass(frozen=True)
class RunoutLeft:
    """A total indicator reading of the teeth in nm, and its expanded uncertainty (k = 2) by its gauge."""

    nm: int
    expanded_nm: int = 0


def find_runouts_left(pieces: Sequence[Piece], parts: Mapping[int, Sequence[str]]) -> dict[int, RunoutLeft]:
    """By piece id, of those whose sides or periphery were left alone and whose teeth were read.

    parts: what was ground at this visit, by piece id. What was read on another piece says nothing of this one. Two
    queries, none where none was.
    """
    untouched = [piece for piece in pieces if not set(RADIAL) & set(parts.get(piece.pk, ()))]
    rows = newest_with_readings(Inspection, untouched) if untouched else {}
    runouts = {pk: read_runout(row.readings.values()) for pk, row in rows.items() if row.copied_from_id is None}
    return {pk: runout for pk, runout in runouts.items() if runout is not None}


def read_runout(readings: Collection[Reading]) -> RunoutLeft | None:
    """The total reading, else the highest tooth less the lowest; None where nobody read it."""
    total = [row for row in readings if row.quantity == "tir"]
    each = total or [row for row in readings if row.quantity == "tooth"]
    if not each:
        return None
    nm = [row.nm or 0 for row in each]
    expanded = 2 * max(((row.uncertainty_nm or 0) ** 2 + (row.resolution_nm or 0) ** 2 / 12) ** 0.5 for row in each)
    return RunoutLeft(nm[0] if total else max(nm) - min(nm), round(expanded if total else expanded * 2**0.5))
