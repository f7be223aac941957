"""What is on the bench: open lines by what they wait for, rush and due first."""
from dataclasses import dataclass, field
from datetime import date

from django.db.models import Count

from regrind.record.models import Line, Piece

STAGES = [("arrived", "To look at", "bench:inspect"), ("looked_at", "To plan", "bench:plan"),
          ("waiting", "Waiting for an answer", "bench:line"), ("to_grind", "To grind", "bench:grind"),
          ("ground", "To check", "bench:check"), ("away", "Away", "bench:away")]


@dataclass
class Stage:
    title: str
    url: str
    lines: list[tuple[Line, int]] = field(default_factory=list)


def open_lines() -> list[Stage]:
    """Stages with their (line, pieces), in the order of work: two queries."""
    counts = list(Piece.objects.filter(whereabouts__in=[s[0] for s in STAGES]).values_list("line_id", "whereabouts")
                  .annotate(n=Count("id")).order_by())
    lines = Line.objects.select_related("batch__customer", "family").in_bulk({line for line, _, _ in counts})
    stages = {where: Stage(title, url) for where, title, url in STAGES}
    for line_id, where, n in counts:
        stages[where].lines.append((lines[line_id], n))
    for stage in stages.values():
        stage.lines.sort(key=lambda item: (not item[0].batch.rush, item[0].batch.due or date.max,
                                           item[0].batch.number, item[0].number))
    return [stage for stage in stages.values() if stage.lines]
