"""A followed tool over its visits: what it measured each time, as it came and as it left."""

from django.utils import timezone
from django.utils.safestring import SafeString

from regrind.geometry.units import Unit
from regrind.record.models import Piece

from ..drawings.life import Visit, draw_life
from ..models import FinalCheck
from ..readings import fetch_readings
from ..revisions import first_inspections, newest


def list_visits(piece: Piece) -> list[tuple[Piece, Visit]]:
    """Every visit of the piece's tool, the first one first; none for a piece that nobody follows. Four queries."""
    if piece.tool is None:
        return []
    pieces = list(piece.tool.visits.select_related("batch").order_by("batch__number"))
    came, left = first_inspections(pieces), newest(FinalCheck, pieces)
    fetch_readings([*came.values(), *left.values()])
    return [
        (
            one,
            Visit(
                timezone.localdate(one.batch.received_at),
                came[one.pk].diameter_nm if one.pk in came else None,
                left[one.pk].diameter_nm if one.pk in left and left[one.pk].passed else None,
            ),
        )
        for one in pieces
    ]


def draw(visits: list[tuple[Piece, Visit]], piece: Piece, unit: Unit) -> SafeString | None:
    """The life chart, where there is more than one visit to draw."""
    if len(visits) < 2:
        return None
    sides = "sides" in piece.line.family.kind_data.grinds
    return draw_life([visit for _, visit in visits], piece.line.smallest_diameter_nm() if sides else None, unit)
