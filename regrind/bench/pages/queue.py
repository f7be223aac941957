"""What is on the bench: open lines by what they wait for, rush and due first."""

from dataclasses import dataclass

from regrind.record.work_list import Job, open_jobs

STAGES = [
    ("arrived", "To inspect"),
    ("inspected", "To plan"),
    ("ready_to_grind", "To grind"),
    ("ground", "To check"),
    ("waiting", "Waiting for the customer"),
    ("at_coater", "At the coater"),
]


@dataclass
class Stage:
    title: str
    jobs: list[Job]


def open_stages() -> list[Stage]:
    """Stages with their jobs, in the order of work, then what waits for others: two queries."""
    jobs = open_jobs()
    return [Stage(title, jobs[where]) for where, title in STAGES if where in jobs]
