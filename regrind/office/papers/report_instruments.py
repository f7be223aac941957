"""Which instruments a report's readings were made with, and what each was used for."""

from dataclasses import replace

from regrind.bench.kinds.registry import KIND_DAMAGE
from regrind.paper import values

from .common import Rows

TENTH_NM = 2_540  # .0001 in
USED_FOR = {
    "diameter": "diameter",
    "back_diameter": "diameter",
    "drop": "relief",
    "drop_over": "relief",
    "runout_sides": "runout",
    "runout_end": "runout",
    "tir": "runout",
    "shank_tir": "shank runout",
    "overall": "overall length",
    "usable": "usable length",
    "flute_length": "flute length",
    "reach": "damage",
    "damage_depth": "damage",
    "end_depth": "damage",
    "end_wear_land": "damage",
    "back": "damage",
    "end_tooth": "tooth runout",
    "end_land": "land",
    "end_rake": "rake",
    "end_primary": "relief",
    "end_secondary": "relief",
    "end_drop": "relief",
    "end_drop_over": "relief",
    "core": "core",
    "land": "land",
    "tooth": "tooth runout",
    "from": "damage",
    "to": "damage",
    "depth": "damage",
    "wear_land": "damage",
    "rake": "rake",
    "primary": "relief",
    "secondary": "relief",
    "corner_size": "corner",
    "left_reach": "damage",
    "right_reach": "damage",
    "left_tir": "runout",
    "right_tir": "runout",
} | dict.fromkeys(KIND_DAMAGE, "damage")


def list_instruments(rows: Rows) -> tuple[values.Instrument, ...]:
    """Each gauge as it stood when it was read: resolution, calibration, and what it was used for."""
    used: dict[tuple[str, int, str], set[str]] = {}
    for _, row in rows.readings:
        name = row.gauge_name
        uses = USED_FOR.get(row.quantity, row.quantity.replace("_", " "))
        used.setdefault((name, row.resolution_nm or 0, row.calibration), set()).add(uses)
    return tuple(
        values.Instrument(
            name, resolution=_finely(resolution) if resolution else None, state=state, used_for=", ".join(sorted(uses))
        )
        for (name, resolution, state), uses in sorted(used.items())
    )


def _finely(resolution_nm: int) -> values.Length:
    """A resolution with inch places enough to be told from nothing: a thousandth of a millimetre is .00004 in."""
    resolution = values.Length.at_resolution(resolution_nm, resolution_nm)
    return replace(resolution, places_in=max(resolution.places_in, 4 if resolution_nm >= TENTH_NM else 5))
