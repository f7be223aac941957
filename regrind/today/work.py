"""What needs doing now, in few queries whatever the size of the shop."""

from dataclasses import dataclass, field
from datetime import date, timedelta

from django.db.models import Max
from django.utils import timezone

from regrind.bench.models import CoaterPiece
from regrind.record.models import Batch, Step
from regrind.record.work_list import Job, open_jobs, urgency

__all__ = ["Job", "at_coater", "open_jobs", "pressing", "stages", "to_return", "waiting"]
SOON = timedelta(days=3)
STAGES = [  # whereabouts, title, what to do next, the page that does it, who does it
    ("arrived", "To look at", "Look at them", "bench:inspect", "bench"),
    ("inspected", "To plan", "Plan them", "bench:plan", "bench"),
    ("ready_to_grind", "To grind", "Grind them", "bench:grind", "bench"),
    ("ground", "To check", "Check them", "bench:check", "bench"),
]


@dataclass
class Stage:
    title: str
    verb: str
    url_name: str
    role: str
    jobs: list[Job] = field(default_factory=list)

    @property
    def pieces(self) -> int:
        return sum(job.count for job in self.jobs)


def stages(jobs: dict[str, list[Job]]) -> list[Stage]:
    return [Stage(title, verb, url, role, jobs.get(where, [])) for where, title, verb, url, role in STAGES]


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
    waiting_jobs = jobs.get("at_coater", [])
    for job in waiting_jobs:
        job.expected = expected.get(job.line.pk)
    return sorted(waiting_jobs, key=lambda job: job.expected or date.max)


@dataclass
class Ready:
    """A batch with pieces released and not yet sent."""

    batch: Batch
    released: int
    open: int


def to_return(jobs: dict[str, list[Job]]) -> list[Ready]:
    ready: dict[int, Ready] = {}
    for where, waiting_jobs in jobs.items():
        for job in waiting_jobs:
            row = ready.setdefault(job.line.batch_id, Ready(job.line.batch, 0, 0))
            if where == "released":
                row.released += job.count
            else:
                row.open += job.count
    return sorted((row for row in ready.values() if row.released), key=lambda row: urgency(row.batch))


def pressing(jobs: dict[str, list[Job]]) -> list[Batch]:
    """Open batches that are rush, overdue or due within three days."""
    batches = {job.line.batch_id: job.line.batch for waiting_jobs in jobs.values() for job in waiting_jobs}
    limit = timezone.localdate() + SOON
    return sorted(
        (batch for batch in batches.values() if batch.rush or (batch.due and batch.due <= limit)), key=urgency
    )
