"""Twenty tablets and a report running: how long each page and save takes, and whether every save is there afterwards.

    python -m benchmarks.load_bench FOLDER [--tablets 20] [--seconds 60] [--think 3.0] [--workers 4] [--pause 0]

FOLDER holds a filled shop, as `review_bench --keep` leaves one (or DATABASE_URL names it); the saves stay in it. The
shop is served as in production, by gunicorn. Each tablet opens the inspection of a line that just came and saves it,
with the page's once-only key and what it saw, and goes on to another line; between, it opens a list at depth and scans
a tag. One desk beside them asks for the review, without pause unless --pause says so. `alone` is one tablet's median
before the others come, p95 is under the load: what carries over from this machine is their ratio within one run.
Memory is compared with what it was after a third of the time.
"""
# ruff: noqa: T201

from __future__ import annotations

import argparse
import http.client
import math
import os
import random
import re
import socket
import statistics
import subprocess
import sys
import threading
import time
from collections import defaultdict
from collections.abc import Callable
from html.parser import HTMLParser
from itertools import cycle
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))
Times = dict[str, list[float]]
ALONE = 8  # rounds of one tablet before the others come


class Form(HTMLParser):
    """What the page's own form would send, untouched, with every piece ticked."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.sent: list[tuple[str, str]] = []
        self._inside = False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        attributes = dict(attrs)
        if tag == "form":
            self._inside = "data-pad" in attributes
        elif (
            self._inside
            and tag == "input"
            and attributes.get("name")
            and (
                attributes.get("type") not in ("checkbox", "radio")
                or "checked" in attributes
                or attributes["name"] == "pieces"
            )
        ):
            self.sent.append((attributes["name"] or "", attributes.get("value") or ""))

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._inside = False


class Seat:
    """One signed-in person at one device, asking the server; each answer's milliseconds are kept by name."""

    def __init__(self, port: int, cookies: str, times: Times, errors: list[str]) -> None:
        self.port, self.cookies, self.times, self.errors = port, cookies, times, errors

    def ask(self, name: str, method: str, path: str, body: str = "") -> str:
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        headers = {"Cookie": self.cookies, "Content-Type": "application/x-www-form-urlencoded"}
        began = time.perf_counter()
        try:
            line.request(method, path, body or None, headers)
            answer = line.getresponse()
            page = answer.read().decode(errors="replace")
        except OSError as problem:
            self.errors.append(f"{name} {path}: {problem!r}")
            return ""
        finally:
            line.close()
        self.times[name].append(1000 * (time.perf_counter() - began))
        if answer.status not in (200, 302):
            messages = re.findall(r'class="error[^>]*>([^<]+)|role="alert">([^<]+)', page)
            self.errors.append(f"{name} {path}: {answer.status} {messages[:2]}")
        return page

    def measure(self, line: str, size: str) -> None:
        """Open a line's inspection and save it, as seen."""
        where = f"/bench/{line}/inspect"
        form = Form(self.ask("measure form", "GET", where))
        typed = {"diameter": size, "diameter_source": "marked", "damage": "nothing", "sure": "on"}
        sent = [(name, value) for name, value in form.sent if name not in typed] + list(typed.items())
        self.ask("save", "POST", where, urlencode(sent))


def enrol(count: int, port: int, times: Times, errors: list[str]) -> list[Seat]:
    """Sessions of the owner, one a seat."""
    from django.conf import settings
    from django.test import Client

    from regrind.shop.models import Person

    owner = Person.objects.filter(owner=True).order_by("pk")[0]
    seats = []
    for _ in range(count):
        client = Client()
        client.force_login(owner)
        client.get("/bench/")
        token = Client().get("/shop/sign-in").cookies[settings.CSRF_COOKIE_NAME].value
        cookies = (
            f"{settings.SESSION_COOKIE_NAME}={client.cookies[settings.SESSION_COOKIE_NAME].value}; "
            f"{settings.CSRF_COOKIE_NAME}={token}"
        )
        seats.append(Seat(port, cookies, times, errors))
    return seats


def receive(tablets: int, rounds: int) -> list[list[tuple[str, str]]]:
    """Log boxes with a line of four like tools for each round of each tablet, over many families and customers; by
    tablet its lines, each with the size as one types it."""
    from django.db.models import Max

    from regrind.record.models import Batch, Customer, Family, Line, Piece
    from regrind.shop.events import event
    from regrind.shop.models import Person

    owner = Person.objects.filter(owner=True).order_by("pk")[0]
    families = list(
        Family.objects.filter(kind="square", nominal_nm__isnull=False, teeth__isnull=False).order_by("pk")[:tablets]
    )
    customers, lines = list(Customer.objects.order_by("pk")), []
    with event(owner, "test"):
        last = Batch.objects.aggregate(m=Max("number"))["m"] or 0
        for n, customer in enumerate(customers, 1):
            batch = Batch.objects.create(number=last + n, customer=customer, received_by=owner)
            for k in range(1, math.ceil(tablets * rounds / len(customers)) + 1):
                family = families[(k + n) % len(families)]
                line = Line.objects.create(batch=batch, number=k, family=family)
                Piece.objects.bulk_create(
                    [Piece(batch=batch, line=line, original_line=k, number=p) for p in range(1, 5)]
                )
                lines.append((f"{batch.number}-{k}", f"{(family.nominal_nm or 0) / 1e6} mm"))
    random.Random(1).shuffle(lines)  # noqa: S311
    return [lines[tablet::tablets] for tablet in range(tablets)]


def spent_keys() -> int:
    """A save's once-only key is spent by the same transaction as the save."""
    from regrind.shop.models import SentForm

    return SentForm.objects.count()


def memory_kb(pid: int) -> int:
    """Resident memory of a process and its children."""
    pids = [pid, *(int(p) for p in Path(f"/proc/{pid}/task/{pid}/children").read_text().split())]
    return sum(int(Path(f"/proc/{p}/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") // 1024 for p in pids)


def serve(workers: int) -> tuple[subprocess.Popen[bytes], int]:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    server = subprocess.Popen(
        [
            sys.executable,
            "-m",
            "gunicorn",
            f"--bind=127.0.0.1:{port}",
            f"--workers={workers}",
            "--threads=4",
            "--log-level=error",
            "regrind.wsgi:application",
        ],
        cwd=ROOT,
    )
    for _ in range(200):
        try:
            socket.create_connection(("127.0.0.1", port)).close()
            return server, port
        except OSError:
            time.sleep(0.1)
    raise SystemExit("the server did not start")


def run_for(seconds: float, work: Callable[[], object], think: float) -> threading.Thread:
    end, chance = time.monotonic() + seconds, random.Random()  # noqa: S311

    def go() -> None:
        time.sleep(chance.uniform(0, think))  # people do not start, or go on, at the same moment
        while time.monotonic() < end:
            work()
            time.sleep(chance.uniform(0.5 * think, 1.5 * think))

    thread = threading.Thread(target=go)
    thread.start()
    return thread


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--tablets", type=int, default=20)
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--think", type=float, default=3.0, help="seconds between two rounds of a tablet, on average")
    parser.add_argument("--pause", type=float, default=0, help="seconds between two of the desk's reports")
    parser.add_argument("--workers", type=int, default=4)
    options = parser.parse_args()
    os.environ.update(
        REGRIND_DATA=str(options.folder),
        DJANGO_SETTINGS_MODULE="regrind.settings",
        REGRIND_DEBUG="",
        REGRIND_HOSTS="127.0.0.1,testserver",
    )
    import django

    django.setup()
    subprocess.run([sys.executable, "manage.py", "collectstatic", "--noinput", "-v0"], cwd=ROOT, check=True)
    from benchmarks.review_bench import addresses, reviewed

    reading, review = addresses(), list(reviewed().values())[:5]
    server, port = serve(options.workers)
    try:
        table(*load(options, port, server.pid, reading, review))
    finally:
        server.terminate()
        server.wait(30)


def work(seat: Seat, lines: list[tuple[str, str]], reading: dict[str, str]) -> Callable[[], object]:
    """What a tablet does again and again: save the next line's inspection, open a list, scan a tag."""

    def once() -> None:
        seat.measure(*lines.pop())
        seat.ask("a list at depth", "GET", reading["boxes at depth"])
        seat.ask("scan a tag", "GET", reading["scan a tag"])

    return once


def load(
    options: argparse.Namespace, port: int, pid: int, reading: dict[str, str], review: list[str]
) -> tuple[Times, Times, dict[str, Any]]:
    """Times of one tablet alone, times of all together, and what happened meanwhile."""
    alone: Times = defaultdict(list)
    busy: Times = defaultdict(list)
    errors: list[str] = []
    lines = receive(options.tablets, math.ceil(2 * options.seconds / options.think) + ALONE)
    first = enrol(1, port, alone, errors)[0]
    for _ in range(ALONE):
        work(first, lines[0], reading)()
    before = spent_keys()
    *seats, reporter = enrol(options.tablets + 1, port, busy, errors)
    reports = cycle(review)
    threads = [
        *(run_for(options.seconds, work(*one, reading), options.think) for one in zip(seats, lines, strict=False)),
        run_for(options.seconds, lambda: reporter.ask("review", "GET", next(reports)), options.pause),
    ]
    time.sleep(options.seconds / 3)  # by then each thread of each worker has met the largest pages
    warm = memory_kb(pid)
    for thread in threads:
        thread.join()
    saves = len(busy["save"])
    grown = memory_kb(pid) / warm - 1
    figures = {"errors": errors, "saves": saves, "kept": spent_keys() - before, "memory": grown}
    return alone, busy, figures | {"per second": saves / options.seconds}


def table(alone: Times, busy: Times, figures: dict[str, Any]) -> None:
    print(f"{'ms':<18}{'alone':>8}{'p50':>8}{'p95':>8}{'p95/alone':>11}{'number':>8}")
    for name, spent in busy.items():
        ordered = sorted(spent)
        p95, lone = ordered[int(0.95 * (len(ordered) - 1))], statistics.median(alone[name]) if alone[name] else None
        print(
            f"{name:<18}{f'{lone:.0f}' if lone else '':>8}{statistics.median(ordered):>8.0f}{p95:>8.0f}"
            f"{f'{p95 / lone:.1f}' if lone else '':>11}{len(ordered):>8}"
        )
    print(
        f"{figures['saves']} saves sent ({figures['per second']:.1f} a second), {figures['kept']} kept; "
        f"{len(figures['errors'])} errors; memory {figures['memory']:+.1%} since the first third",
        *figures["errors"][:5],
        sep="\n",
    )


if __name__ == "__main__":
    main()
