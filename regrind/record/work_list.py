"""The list of work: what of each open line waits for which step, in the order of the work."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count, Q
from django.utils import timezone
from django.utils.dateformat import format as date_format

from .models import Batch, Line, Piece
from .moves import ON_HAND


@dataclass
class Job:
    """Pieces of one line that wait for the same next step."""

    line: Line
    count: int
    complaints: int = 0
    since: datetime | None = None
    expected: date | None = None

    @property
    def days(self) -> int | None:
        return None if self.since is None else (timezone.now() - self.since).days

    @property
    def facts(self) -> str:
        """`Ohio Mold, due 3 Dec, waits 4 days`: the customer, the day that counts, and how long it waits."""
        words = [str(self.line.batch.customer)]
        if self.expected:
            words.append(f"expected back {date_format(self.expected, 'j M')}")
        elif self.line.batch.due:
            words.append(f"due {date_format(self.line.batch.due, 'j M')}")
        if self.days is not None:
            words.append(f"waits {self.days} day{'' if self.days == 1 else 's'}")
        return ", ".join(words)

    @property
    def badges(self) -> list[tuple[str, str]]:
        """What stands out beside the line: each a label and its style."""
        every = (
            ("rush", "rush", self.line.batch.rush),
            (
                "complaint" if self.count == 1 else f"complaint: {self.complaints} of {self.count}",
                "rush",
                self.complaints,
            ),
            ("overdue", "rush", self.overdue),
        )
        return [(label, style) for label, style, on in every if on]

    @property
    def overdue(self) -> bool:
        return self.expected is not None and self.expected < timezone.localdate()


def urgency(batch: Batch) -> tuple[bool, date, int]:
    """Rush first, then the earliest due date, then the oldest box."""
    return not batch.rush, batch.due or date.max, batch.number


def open_jobs() -> dict[str, list[Job]]:
    """Every open line by status, in the order of work: two queries."""
    counts = list(
        Piece.objects.filter(batch__closed=False, status__in=(*ON_HAND, "at_coater"))
        .values_list("line_id", "status")
        .annotate(n=Count("id"), on_complaint=Count("id", filter=~Q(complaint="") | Q(complaint_of__isnull=False)))
        .order_by()
    )
    lines = Line.objects.select_related("batch__customer", "family").in_bulk({line for line, *_ in counts})
    jobs: dict[str, list[Job]] = {}
    for line_id, status, count, complaints in counts:
        jobs.setdefault(status, []).append(Job(lines[line_id], count, complaints))
    return {
        status: sorted(group, key=lambda job: (urgency(job.line.batch), job.line.number))
        for status, group in jobs.items()
    }
