"""What is known from the tool before: its gauges, and what holds for a whole tray. Never a reading."""

from typing import Any

from django.db.models import Count

from regrind.geometry.units import show_with_unit
from regrind.record.find import recent_lines
from regrind.record.models import Line

from ..models import Inspection, Reading
from ..readings import last_gauges

MOST_DEPTHS = 4


def gauges_before(line: Line) -> dict[str, int]:
    """The gauges named last on this line, else on this family: for the diameter, and for runout and depths."""
    return last_gauges(
        Reading.objects.filter(inspection__piece__line=line),
        Reading.objects.filter(inspection__piece__line__in=recent_lines(line.family_id)),
    )


def usual_depths(line: Line, *quantities: str) -> list[str]:
    """The depths that were read most often on this family's newest lines, to be tapped; smallest first."""
    read = Reading.objects.filter(
        inspection__piece__line__in=recent_lines(line.family_id), quantity__in=quantities, nm__gt=0
    )
    most = read.values("nm").annotate(times=Count("id")).order_by("-times", "nm")[:MOST_DEPTHS]
    return [show_with_unit(nm, line.batch.customer.unit) for nm in sorted(row["nm"] or 0 for row in most)]


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
