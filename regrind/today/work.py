"""What needs doing now, in few queries whatever the size of the shop."""
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from django.db.models import Count, Max
from django.utils import timezone

from regrind.bench.models import CoaterPiece
from regrind.record.models import Batch, Line, Piece, Step
from regrind.record.moves import ON_HAND

SOON = timedelta(days=3)
STAGES = [      # whereabouts, title, what to do next, the page that does it, who does it
    ("arrived", "To look at", "Look at them", "bench:inspect", "bench"),
    ("looked_at", "To plan", "Plan them", "bench:plan", "bench"),
    ("to_grind", "To grind", "Grind them", "bench:grind", "bench"),
    ("ground", "To check", "Check them", "bench:check", "bench"),
]


@dataclass
class Job:
    """Pieces of one line that wait for the same next step."""

    line: Line
    count: int
    since: datetime | None = None
    expected: date | None = None

    @property
    def days(self) -> int | None:
        return None if self.since is None else (timezone.now() - self.since).days

    @property
    def overdue(self) -> bool:
        return self.expected is not None and self.expected < timezone.localdate()


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


def order(job: Job) -> tuple:
    """Rush first, then the earliest due date, then the oldest box."""
    batch = job.line.batch
    return (not batch.rush, batch.due or date.max, batch.number, job.line.number)


def open_jobs() -> dict[str, list[Job]]:
    """Every open line by whereabouts, in the order of work: two queries."""
    counts = list(Piece.objects.filter(batch__closed=False, whereabouts__in=(*ON_HAND, "away"))
                  .values_list("line_id", "whereabouts").annotate(n=Count("id")).order_by())
    lines = Line.objects.select_related("batch__customer", "family").in_bulk({line for line, _, _ in counts})
    jobs: dict[str, list[Job]] = {}
    for line_id, where, n in counts:
        jobs.setdefault(where, []).append(Job(lines[line_id], n))
    return {where: sorted(found, key=order) for where, found in jobs.items()}


def stages(jobs: dict[str, list[Job]]) -> list[Stage]:
    return [Stage(title, verb, url, role, jobs.get(where, [])) for where, title, verb, url, role in STAGES]


def waiting(jobs: dict[str, list[Job]]) -> list[Job]:
    """Lines that wait for the customer's answer, the longest first."""
    since = dict(Step.objects.filter(piece__whereabouts="waiting", pair__pair__endswith=">waiting")
                 .values_list("piece__line_id").annotate(m=Max("event__done_at")).order_by())
    found = jobs.get("waiting", [])
    for job in found:
        job.since = since.get(job.line.pk)
    return sorted(found, key=lambda job: job.since or timezone.now())


def away(jobs: dict[str, list[Job]]) -> list[Job]:
    """Lines at the coater, the first expected first."""
    expected = dict(CoaterPiece.objects.filter(piece__whereabouts="away").values_list("piece__line_id")
                    .annotate(m=Max("slip__expected")).order_by())
    found = jobs.get("away", [])
    for job in found:
        job.expected = expected.get(job.line.pk)
    return sorted(found, key=lambda job: job.expected or date.max)


@dataclass
class Ready:
    """A batch with pieces released and not yet sent."""

    batch: Batch
    released: int
    open: int


def to_return(jobs: dict[str, list[Job]]) -> list[Ready]:
    ready: dict[int, Ready] = {}
    for where, found in jobs.items():
        for job in found:
            row = ready.setdefault(job.line.batch_id, Ready(job.line.batch, 0, 0))
            if where == "released":
                row.released += job.count
            else:
                row.open += job.count
    return sorted((r for r in ready.values() if r.released),
                  key=lambda r: (not r.batch.rush, r.batch.due or date.max, r.batch.number))


def pressing(jobs: dict[str, list[Job]]) -> list[Batch]:
    """Open batches that are rush, overdue or due within three days."""
    batches = {job.line.batch_id: job.line.batch for found in jobs.values() for job in found}
    limit = timezone.localdate() + SOON
    return sorted((b for b in batches.values() if b.rush or (b.due and b.due <= limit)),
                  key=lambda b: (not b.rush, b.due or date.max, b.number))
