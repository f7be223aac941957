"""The life of each followed tool: the diameters it came and left with, visit by visit."""

from collections.abc import Sequence

from regrind.bench.models import FinalCheck, Inspection
from regrind.bench.readings import fetch_readings
from regrind.bench.revisions import first_inspections, newest
from regrind.paper import values
from regrind.record.models import Batch, Piece

from .common import day_of, exact, tool_name_now


def life_charts(batch: Batch, pieces: Sequence[Piece]) -> list[values.LifeChart]:
    """A chart for each followed tool of the batch that was measured at least twice, up to this visit."""
    followed = {piece.tool_id: piece for piece in pieces if piece.tool_id}
    visits = list(
        Piece.objects.filter(tool__in=followed, batch__received_at__lte=batch.received_at).order_by(
            "batch__received_at", "pk"
        )
    )
    came, checks = first_inspections(visits), newest(FinalCheck, visits)
    fetch_readings([*came.values(), *checks.values()])
    points: dict[int | None, list[values.LifePoint]] = {}
    for visit in visits:
        points.setdefault(visit.tool_id, []).extend(_points(came.get(visit.pk), checks.get(visit.pk)))
    return [_chart(piece, points[key]) for key, piece in followed.items() if len(points.get(key, [])) > 1]


def _points(inspection: Inspection | None, check: FinalCheck | None) -> list[values.LifePoint]:
    """As it came, where it was measured on this piece, and as it left."""
    points = []
    if inspection and inspection.diameter_nm is not None and inspection.diameter_source == "measured":
        points.append(values.LifePoint(day_of(inspection.done_at), values.Length(inspection.diameter_nm), "received"))
    if check and check.passed and check.diameter_nm is not None:
        points.append(values.LifePoint(day_of(check.done_at), values.Length(check.diameter_nm), "returned"))
    return points


def _chart(piece: Piece, points: list[values.LifePoint]) -> values.LifeChart:
    line, tool = piece.line, piece.tool
    assert tool is not None
    return values.LifeChart(
        tool.tag,
        tuple(points),
        exact(line.family.nominal_nm),
        exact(line.smallest_diameter_nm()),
        tool_name_now(line),
        tool.customer_number,
    )
