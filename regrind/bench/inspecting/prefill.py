"""What is known from the tool before: its gauges, and what holds for a whole tray. Never a reading."""

from typing import Any

from regrind.record.find import recent_lines
from regrind.record.models import Line

from ..models import Inspection, Reading
from ..readings import last_gauges


def gauges_before(line: Line) -> dict[str, int]:
    """The gauges named last on this line, else on this family: for the diameter, and for runout and depths."""
    return last_gauges(
        Reading.objects.filter(inspection__piece__line=line),
        Reading.objects.filter(inspection__piece__line__in=recent_lines(line.family_id)),
    )


def last_inspected(line: Line) -> Inspection | None:
    """The newest inspection on this line with readings of its own, not another's."""
    return (
        Inspection.objects.filter(piece__line=line, copied_from=None)
        .select_related("piece__batch")
        .order_by("-pk")
        .first()
    )


def in_common(row: Inspection) -> dict[str, Any]:
    """What the next tool of the tray has in common with this one, by the form's fields."""
    known = {"diameter_source": row.diameter_source, "as_on": row.piece.short, "wear_land_way": row.wear_land_way}
    if row.damage != "unmeasurable":
        known["damage"] = row.damage
    return known | ({"method": row.method} if row.method else {})
