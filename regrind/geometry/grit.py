"""Superabrasive grit sizes, and the infeed a grit bears."""

import re
from dataclasses import dataclass
from functools import cache

from regrind.geometry.errors import Refused
from regrind.geometry.ranges import require_whole
from regrind.geometry.tables import rows

_FEPA = re.compile(r"([DB])\s*(\d{2,4})", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Grit:
    """A grit size: its FEPA name, the US meshes that it lies between (`mesh_coarse`, `mesh_fine`), their sieves in
    µm."""

    name: str
    mesh_coarse: int
    mesh_fine: int
    sieve_upper_um: float
    sieve_lower_um: float
    source: str


@dataclass(frozen=True, slots=True)
class Infeed:
    """The largest infeed per pass that a grit bears, and the mesh of the table's line it was taken from."""

    most_mm: float
    mesh: int
    source: str


def find_grit(name: str) -> Grit:
    """The grit size of a FEPA name such as "D64" (diamond) or "B64" (CBN), in any case.

    Raises Refused naming `grit` where the table has no such size.
    Source: shared/14_superabrasive_grit.csv (FEPA, ISO 6106; a part from memory, its own columns).

    >>> size = find_grit("d64")
    >>> size.name, size.mesh_coarse, size.mesh_fine, size.sieve_upper_um
    ('D64', 230, 270, 63.0)
    """
    match = _FEPA.fullmatch(name.strip())
    row = _grits().get(f"D{match[2]}") if match else None
    if match is None or row is None:
        raise Refused("grit", f"must be one of {', '.join(_grits())}, or the same with B")
    coarse, fine = (int(mesh) for mesh in row["us_mesh"].split("/"))
    sieves = float(row["sieve_upper_um"]), float(row["sieve_lower_um"])
    return Grit(match[1].upper() + match[2], coarse, fine, *sieves, row["source"])


def find_most_infeed(mesh: int) -> Infeed:
    """The largest infeed per pass for a diamond or CBN wheel of this US mesh.

    mesh: 16 to 2000; of a pair such as 230/270 take the finer. The table's line is the next finer one, the
    last for anything finer still: between two lines, and coarser than the first, the smaller infeed holds.
    Raises Refused naming `mesh`. Source: shared/15c_infeed_by_grit.csv, a maker's reference guideline.

    >>> find_most_infeed(270).most_mm
    0.01
    """
    require_whole("mesh", mesh, 16, 2000)
    table = _infeeds()
    return next((infeed for infeed in table if infeed.mesh >= mesh), table[-1])


@cache
def _grits() -> dict[str, dict[str, str]]:
    table = sorted(rows("14_superabrasive_grit"), key=lambda row: -int(row["fepa_diamond"][1:]))
    return {row["fepa_diamond"]: row for row in table}


@cache
def _infeeds() -> list[Infeed]:
    table = rows("15c_infeed_by_grit")
    return sorted((_infeed(row) for row in table), key=lambda infeed: infeed.mesh)


def _infeed(row: dict[str, str]) -> Infeed:
    # the last line's mesh reads "400 and finer"
    return Infeed(float(row["max_depth_of_cut_mm"]), int(row["us_mesh"].split()[0]), row["source"])
