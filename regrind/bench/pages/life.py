"""A followed tool over its visits: its diameter each time, as received and as returned."""

from django.utils import timezone
from django.utils.safestring import SafeString

from regrind.geometry.units import Unit
from regrind.record.kinds import RADIAL
from regrind.record.models import Piece

from ..drawings.life import Visit, draw_life
from ..models import FinalCheck
from ..readings import fetch_readings
from ..revisions import first_inspections, newest


def list_visits(piece: Piece) -> list[tuple[Piece, Visit]]:
    """Every visit of the piece's tool, the first one first; none for a piece that is not followed. Four queries."""
    if piece.tool is None:
        return []
    pieces = list(piece.tool.visits.select_related("batch").order_by("batch__number"))
    inspections, checks = first_inspections(pieces), newest(FinalCheck, pieces)
    fetch_readings([*inspections.values(), *checks.values()])
    passed = {pk: check for pk, check in checks.items() if check.passed}
    return [
        (
            visiting,
            Visit(
                timezone.localdate(visiting.batch.received_at),
                inspections[visiting.pk].diameter_nm if visiting.pk in inspections else None,
                passed[visiting.pk].diameter_nm if visiting.pk in passed else None,
            ),
        )
        for visiting in pieces
    ]


def draw_life_chart(visits: list[tuple[Piece, Visit]], piece: Piece, unit: Unit) -> SafeString | None:
    """The life chart, where there is more than one visit to draw."""
    if len(visits) < 2:
        return None
    sides = bool(set(RADIAL) & set(piece.line.family.kind_data.grinds))
    return draw_life([visit for _, visit in visits], piece.line.smallest_diameter_nm() if sides else None, unit)
