"""The demo's indicator readings at the final check: the drop that the setup card aims for, as a bench hand reads it."""

import math
import random
from dataclasses import dataclass

from regrind.bench.checking import relief
from regrind.bench.grinding.card import set_up
from regrind.bench.grinding.machine import machine_of
from regrind.bench.grinding.prefill import aim
from regrind.bench.models import Plan
from regrind.geometry.relief import Way, find_drop
from regrind.geometry.units import Typed, Unit
from regrind.record.models import Piece
from regrind.shop.models import Gauge
from regrind.shop.owner.settings import shop_settings

from .shop import typed

OVER_MM = {"in": 0.127, "mm": 0.15}  # where no card names a distance: the land of a small tool is wide enough for it
RELIEF_DEG = (9.0, 12.0)  # a primary relief that was not ground: invented, of the size that is usual


@dataclass(frozen=True)
class DropReading:
    """The drop and the distance it was read over, as written down, and the relief that the program finds in them."""

    drop: Typed
    over: Typed
    relief: relief.Relief
    way: str = "tangent"


def read_drop(
    piece: Piece,
    plan: Plan,
    diameter: Typed,
    unit: Unit,
    chance: random.Random,
    indicator: Gauge | None,
    gauge: Gauge | None,
) -> DropReading:
    """A drop within the card's window, or that of an old relief where the sides are not ground."""
    card = set_up(aim([piece], {piece.pk: plan})[0], None, machine_of(shop_settings()), unit)
    over = typed(card.drop_over_mm or OVER_MM[unit], unit)
    if card.drop:
        least, most = (card.drop.drop_mm + end for end in (card.drop.least_mm, card.drop.most_mm))
        drop_mm = chance.uniform(least, most) / 2
    else:
        angle = math.radians(chance.uniform(*RELIEF_DEG))
        drop_mm = find_drop(angle, over.mm, Way.TANGENT, diameter.mm / 2)
    drop = typed(drop_mm, unit)
    reading = relief.find(drop.nm, over.nm, "tangent", diameter.nm, indicator, gauge)
    return DropReading(drop, over, reading)
