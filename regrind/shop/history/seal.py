"""A hash chain over the history, sealed in id order: whoever alters a row afterwards breaks it."""

import hashlib
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

from django.utils import timezone

from ..models import History, HistorySeal

BLOCK = 1000
# A transaction that is still open may hold a lower id than one that is committed: leave it time to end.
SETTLED = timedelta(minutes=2)


def digest_of(rows: Iterable[History], before: str) -> str:
    """The hash of a run of rows with their events, chained to the digest before it (empty for the first)."""
    digest = hashlib.sha256(before.encode())
    for row in rows:
        digest.update(
            repr((row.pk, row.table, row.row, row.what, _moment(row.at), _values(row), row.old, row.new)).encode()
        )
    return digest.hexdigest()


def _moment(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat(timespec="microseconds")


def _values(row: History) -> tuple[object, ...] | None:
    """The event of a history row, so that an altered event breaks the chain as well; None without one."""
    event = row.event
    if event is None:
        return None
    return (
        event.pk,
        event.kind,
        event.by_id,
        event.outsider,
        _moment(event.done_at),
        _moment(event.recorded_at),
        event.why,
        event.undoes_id,
        event.key,
    )


def seal_history(settled: timedelta = SETTLED) -> int:
    """Seal all settled rows that no seal covers yet; return how many rows were sealed."""
    last = HistorySeal.objects.order_by("last").last()
    start, before, sealed = (last.last, last.digest, 0) if last else (0, "", 0)
    while rows := _settled(start, settled):
        seal = HistorySeal.objects.create(
            first=rows[0].pk, last=rows[-1].pk, rows=len(rows), digest=digest_of(rows, before)
        )
        start, before, sealed = seal.last, seal.digest, sealed + len(rows)
    return sealed


def _settled(after: int, settled: timedelta) -> list[History]:
    """The next rows to be sealed, in the order of their ids and up to the first that is not settled.

    A row from later than now was written before the clock was set back: it is settled, and keeps nobody waiting.
    """
    now = timezone.now()
    rows = []
    for row in History.objects.filter(pk__gt=after).select_related("event").order_by("pk")[:BLOCK]:
        if now - settled < row.at <= now + settled:
            break
        rows.append(row)
    return rows


def broken_seals() -> list[str]:
    """Check every seal against the rows it covers; return what is wrong, in words, empty where all is well."""
    wrong, before, end = [], "", 0
    for seal in HistorySeal.objects.order_by("last"):
        rows = list(History.objects.filter(pk__gt=end, pk__lte=seal.last).select_related("event").order_by("pk"))
        if len(rows) != seal.rows or digest_of(rows, before) != seal.digest:
            wrong.append(
                f"history rows {seal.first} to {seal.last}: {len(rows)} rows of {seal.rows}, "
                "altered, added or removed since they were sealed"
            )
        before, end = seal.digest, seal.last
    return wrong
