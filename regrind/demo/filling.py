"""The demo shop: an invented scenario (shared/demo/shop.json), worked through by the same actions as the pages call.

The readings come from a seeded generator; none of them is anybody's measurement.
"""

import json
from pathlib import Path

from django.conf import settings

from regrind.record.models import Batch, Piece
from regrind.record.rollups import counted_once
from regrind.shop.models import Person, ShopSettings

from .boxes import Story
from .clock import Clock

SCENARIO = Path(settings.BASE_DIR) / "shared" / "demo" / "shop.json"


def fill() -> int:
    """Fill an empty shop with the demo; return the number of pieces. A shop that holds anything is left alone."""
    if Person.objects.exists() or Batch.objects.exists() or ShopSettings.objects.exists():
        return 0
    clock = Clock()
    with clock.running(), counted_once():
        Story(json.loads(SCENARIO.read_text(encoding="utf-8")), clock).tell()
    return Piece.objects.count()
