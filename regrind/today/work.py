"""What needs doing now, in few queries whatever the size of the shop."""

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from django.db.models import Max
from django.urls import reverse
from django.utils import timezone

from regrind.bench.models import CoaterPiece
from regrind.record.models import Batch, Step
from regrind.record.work_list import Job, open_jobs, urgency
from regrind.shop.models import Person

__all__ = ["Job", "at_coater", "open_jobs", "stages", "to_return", "urgent", "waiting"]
SOON = timedelta(days=3)
LINE = "bench:line"
STAGES = [  # status, title, the page that does it
    ("arrived", "To inspect", "bench:inspect"),
    ("inspected", "To plan", "bench:plan"),
    ("ready_to_grind", "To grind", "bench:grind"),
    ("ground", "To check", "bench:check"),
]


@dataclass
class Stage:
    title: str
    url_name: str
    jobs: list[Job] = field(default_factory=list)
    show_count: bool = True

    @property
    def pieces(self) -> int:
        return sum(job.count for job in self.jobs)

    @property
    def rows(self) -> list[dict[str, Any]]:
        """The jobs as the shared list shows them."""
        return [
            {
                "address": reverse(self.url_name, args=[str(job.line)]),
                "key": str(job.line),
                "title": job.line.tools,
                "note": job.facts,
                "badges": job.badges,
                "count": job.count,
            }
            for job in self.jobs
        ]


def stages(jobs: dict[str, list[Job]], person: Person) -> list[Stage]:
    """The steps of the bench that pieces wait for, in the order of work, then what waits elsewhere.

    A row opens the page that does the work where the person may do it, else the line, which everybody may see.
    """
    bench, desk = person.may("bench"), person.may("front_desk")
    steps = [Stage(title, url if bench else LINE, jobs.get(status, [])) for status, title, url in STAGES]
    elsewhere = [
        Stage("Waiting for the customer", "office:answer" if desk else LINE, waiting(jobs), show_count=False),
        Stage("At the coater", LINE, at_coater(jobs), show_count=False),
    ]
    return [stage for stage in (*steps, *elsewhere) if stage.jobs]


def waiting(jobs: dict[str, list[Job]]) -> list[Job]:
    """Lines that wait for the customer's answer, the longest first."""
    since = dict(
        Step.objects.filter(piece__status="waiting", pair__pair__endswith=">waiting")
        .values_list("piece__line_id")
        .annotate(m=Max("event__done_at"))
        .order_by()
    )
    waiting_jobs = jobs.get("waiting", [])
    for job in waiting_jobs:
        job.since = since.get(job.line.pk)
    return sorted(waiting_jobs, key=lambda job: job.since or timezone.now())


def at_coater(jobs: dict[str, list[Job]]) -> list[Job]:
    """Lines at the coater, the first expected first."""
    expected = dict(
        CoaterPiece.objects.filter(piece__status="at_coater")
        .values_list("piece__line_id")
        .annotate(m=Max("slip__expected"))
        .order_by()
    )
    coater_jobs = jobs.get("at_coater", [])
    for job in coater_jobs:
        job.expected = expected.get(job.line.pk)
    return sorted(coater_jobs, key=lambda job: job.expected or date.max)


@dataclass
class Ready:
    """A batch with pieces released and not yet sent."""

    batch: Batch
    released: int
    open: int


def to_return(jobs: dict[str, list[Job]]) -> list[Ready]:
    ready: dict[int, Ready] = {}
    for status, waiting_jobs in jobs.items():
        for job in waiting_jobs:
            row = ready.setdefault(job.line.batch_id, Ready(job.line.batch, 0, 0))
            if status == "released":
                row.released += job.count
            else:
                row.open += job.count
    return sorted((row for row in ready.values() if row.released), key=lambda row: urgency(row.batch))


def urgent(jobs: dict[str, list[Job]]) -> list[Batch]:
    """Open batches that are rush, overdue or due within three days."""
    batches = {job.line.batch_id: job.line.batch for waiting_jobs in jobs.values() for job in waiting_jobs}
    limit = timezone.localdate() + SOON
    return sorted(
        (batch for batch in batches.values() if batch.rush or (batch.due and batch.due <= limit)), key=urgency
    )
