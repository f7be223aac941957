"""The tray to take up when another is done: the most urgent line that waits for a step of the bench."""

from dataclasses import dataclass

from regrind.record.models import Line
from regrind.record.work_list import open_jobs

from .hub import STEPS, NextStep

FIRST = ("ground", "ready_to_grind", "inspected", "arrived")  # what is furthest goes first


@dataclass(frozen=True)
class NextTray:
    """words: `grind 6 pieces of 50-1`; address: the page of that step."""

    words: str
    address: str


def find_next_tray(done: Line) -> NextTray | None:
    """Of all open lines but the one just done, the first in the order of work; None where none waits. Two queries."""
    jobs = open_jobs()
    waiting = [(status, job) for status in FIRST for job in jobs.get(status, ()) if job.line.pk != done.pk]
    if not waiting:
        return None
    status, job = waiting[0]
    step = NextStep(*STEPS[status], job.count, job.line)
    return NextTray(f"{step.label.lower()} of {job.line}", step.address)
