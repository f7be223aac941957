"""How the pages grow with the shop's history: each page against its own queries bare, and against a minimal view.

    python -m benchmarks.review_bench [10000 100000 ...] [--keep FOLDER] [--repeats 7] [--cpu]

For each size a shop is filled (or found in FOLDER/<visits>, where --keep names one), and each page is asked for as
the owner, through the whole stack but the network, in turn with the same queries alone through the driver (`bare`) and
with the smallest page there is (`view`: one length echoed). `median` and `p95` (what 95 of 100 stay under) are a
reader's; `page`, `bare` and `view` are the quickest of each, since what else the machine does can only add to them.
Times are this machine's; what carries over are the ratios within one run: the last column is page/view at this size
against that at the smallest. With --cpu, milliseconds of this process's processor time instead of the clock's: on a
machine that others keep busy they vary far less. They hold all the work of SQLite, but none that PostgreSQL does.
Uses the database of DATABASE_URL for one size where that is set, else SQLite files.
"""
# ruff: noqa: T201

from __future__ import annotations

import argparse
import json
import math
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))
SIZES = (10_000, 100_000)
SAVING = "save an inspection"
CLOCK = time.process_time if "--cpu" in sys.argv else time.perf_counter
ALIKE = 8  # pieces of the line measured and saved, at most: the same work at every size


def run(*command: str, data: Path) -> str:
    environment = os.environ | {
        "REGRIND_DATA": str(data),
        "DJANGO_SETTINGS_MODULE": "regrind.settings",
        "REGRIND_HOSTS": "testserver",
    }
    return subprocess.run(
        [sys.executable, *command], cwd=ROOT, env=environment, check=True, text=True, stdout=subprocess.PIPE
    ).stdout


def fill(visits: int, data: Path) -> None:
    data.mkdir(parents=True, exist_ok=True)
    run("manage.py", "migrate", "-v0", data=data)  # one that was kept may be of an earlier week
    if not (data / "filled").exists():
        print(run("manage.py", "fill_years", "--visits", str(visits), data=data).strip().splitlines()[-1])
        (data / "filled").touch()


def timed(works: dict[str, Callable[[], object]], repeats: int) -> dict[str, float]:
    """Milliseconds of each work: the least by its name, of the page also the median and what 95 of 100 stay under.

    In turn, so that a busy machine slows all alike; the first run is left out: it fills the caches.
    """
    spent: dict[str, list[float]] = {name: [] for name in works}
    for number in range(repeats + 1):
        for name, work in works.items():
            began = CLOCK()
            work()
            if number:
                spent[name].append(1000 * (CLOCK() - began))
    page = sorted(spent["page"])
    return {name: min(times) for name, times in spent.items()} | {
        "median": statistics.median(page),
        "p95": page[math.ceil(0.95 * repeats) - 1],
    }


def measure(repeats: int, only: str) -> dict[str, dict[str, float]]:
    """Every page and action of this database, by name."""
    import django

    django.setup()
    from django.test import Client
    from django.urls import reverse

    from regrind.shop.models import Person

    client = Client()
    client.force_login(Person.objects.filter(owner=True).first())  # type: ignore[arg-type]

    def view() -> None:
        client.get(reverse("shop:echo"), {"text": "1/4"})

    places = (reviewed() | addresses()).items()
    times = {name: page(client, where, view, repeats) for name, where in places if only in name}
    if only in SAVING:
        times[SAVING] = timed({"page": saving(), "view": view}, repeats) | {"bare": 0.0, "queries": 0}
    return times


def page(client: Any, where: str, view: Callable[[], object], repeats: int) -> dict[str, float]:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as queries:
        answer = client.get(where)
    if answer.status_code not in (200, 302):
        raise SystemExit(f"{where}: {answer.status_code}")
    count, asked = len(queries), [q["sql"] for q in queries if q["sql"].startswith("SELECT")]

    def bare() -> None:
        with connection.cursor() as cursor:
            for sql in asked:
                cursor.cursor.execute(sql)
                cursor.fetchall()

    return timed({"page": lambda: client.get(where), "bare": bare, "view": view}, repeats) | {"queries": count}


def reviewed() -> dict[str, str]:
    """The review whole, narrowed and with figures tried; its busiest family, and what opens from its figures."""
    from django.db.models import Sum
    from django.urls import reverse

    from regrind.record.models import FamilyMonth

    def first_of(*columns: str) -> dict[str, Any]:
        sums = FamilyMonth.objects.values(*columns).annotate(n=Sum("received"))
        return dict(sums.order_by("-n")[0])

    busiest, customer = first_of("family", "family__material"), first_of("customer")["customer"]
    pages = {name: reverse(f"review:{name}") for name in ("families", "customers", "export", "paper")}
    since = f"{date.today().year - 2}-01-01"
    narrow = urlencode({"customer": customer, "material": busiest["family__material"], "least": "2 mm", "since": since})
    return {
        "families reviewed": pages["families"],
        "a narrowed review": f"{pages['families']}?{narrow}",
        "what if": f"{pages['families']}?percent=12&rate=120&lot=6",
        "customers reviewed": pages["customers"],
        "the review exported": pages["export"],
        "the review on paper": pages["paper"],
        "a customer's on paper": f"{pages['paper']}?customer={customer}",
        **reviewed_family(busiest["family"], narrow),
    }


def reviewed_family(pk: int, narrow: str) -> dict[str, str]:
    """One family's page, and the lists of pieces behind its figures."""
    from django.urls import reverse

    from regrind.record.models import Piece, Tally

    oldest = Piece.objects.filter(line__family=pk).order_by("pk")[60:61][0].pk
    keys = {
        kind: Tally.objects.filter(what=kind, cell__family=pk).values_list("key", flat=True)[0]
        for kind in ("why", "complaint")
    }
    family = reverse("review:family", args=[pk])
    return {
        "one family reviewed": family,
        "what if of a family": f"{family}?price=15&rate=120&lot=6&smallest=3+mm",
        "a family's few years": f"{family}?{narrow}",
        "its pieces at depth": f"{family}?before={oldest}",
        "its scrap": f"{family}?result=scrap",
        "its complaints": f"{family}?result=complained",
        "of a reason": f"{family}?{urlencode({'reason': keys['why']})}",
        "of a complaint": f"{family}?{urlencode({'complaint': keys['complaint']})}",
        "of a wear": f"{family}?wear=100000-200000",
    }


def addresses() -> dict[str, str]:
    """What is opened: the lists at the start and at depth, the busiest customer, the largest box, the forms."""
    from django.db.models import Count, Max
    from django.urls import reverse

    from regrind.record.models import Batch, Piece, Tool

    deep = (Batch.objects.aggregate(m=Max("number"))["m"] or 2) // 2
    largest = Batch.objects.annotate(n=Count("pieces")).order_by("-n").values_list("number", flat=True).first()
    tool = Tool.objects.annotate(n=Count("visits")).order_by("-n").first()
    piece = Piece.objects.filter(tool=tool).order_by("-pk").first()
    assert tool
    return {
        "boxes": reverse("receiving:batches"),
        "boxes at depth": reverse("receiving:batches") + f"?before={deep}",
        "one customer's boxes": reverse("receiving:batches") + f"?customer={tool.customer_id}&before={deep}",
        "the largest box": reverse("receiving:batch", args=[largest]),
        "customers": reverse("receiving:customers"),
        "tool families": reverse("receiving:families"),
        "prices and costs": reverse("office:rates"),
        "today": "/",
        "bench": reverse("bench:page"),
        "office": reverse("office:page"),
        "measure form": reverse("bench:inspect", args=[first("arrived")]),
        "plan form": reverse("bench:plan", args=[first("inspected")]),
        "grind form": reverse("bench:grind", args=[first("ready_to_grind")]),
        "check form": reverse("bench:check", args=[first("ground")]),
        "scan a tag": reverse("today:search") + f"?q={tool.tag}",
        "a tool's story": reverse("bench:piece", args=[str(piece)]),
        "search a size": reverse("today:search") + "?q=3/8 in",
        "search an order": reverse("today:search") + "?q=PO-00014",
        "search a customer": reverse("today:search") + "?q=works 02",
    }


def first(where: str) -> str:
    """The line with most pieces at a place, up to ALIKE of them: else the one with fewest."""
    from django.db.models import Count

    from regrind.record.models import Line

    lines = Line.objects.filter(pieces__status=where).annotate(n=Count("pieces")).order_by("-n", "-pk")
    few, many = lines.filter(n__lte=ALIKE).first(), lines.last()
    if many is None:
        raise SystemExit(f"No line has pieces {where}: fill another shop.")
    return str(few or many)


def saving() -> Callable[[], None]:
    """An inspection saved and rolled back: its rows, its step and the recount of its cell, without the disk's sync."""
    from django.db import transaction

    from regrind.bench.inspecting.actions import inspect
    from regrind.record.models import Piece
    from regrind.shop.models import Person

    by = Person.objects.filter(owner=True).first()
    some = list(Piece.objects.filter(status="arrived").order_by("pk").values_list("pk", flat=True)[:ALIKE])
    assert by
    assert some

    def save() -> None:
        with transaction.atomic():
            pieces = list(Piece.objects.filter(pk__in=some).select_related("batch__customer", "line__family"))
            inspect(by=by, pieces=pieces, expected={}, typed={}, damage="nothing")
            transaction.set_rollback(True)

    return save


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("visits", nargs="*", type=int, default=list(SIZES))
    parser.add_argument("--keep", type=Path, help="a folder whose filled shops are used again")
    parser.add_argument("--repeats", type=int, default=7)
    parser.add_argument("--only", default="", help="pages whose name holds this")
    parser.add_argument("--cpu", action="store_true", help="processor time instead of the clock's")
    parser.add_argument("--here", action="store_true", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.here:
        print(json.dumps(measure(options.repeats, options.only)))
        return
    with tempfile.TemporaryDirectory() as spare:
        results = {}
        run("manage.py", "collectstatic", "--noinput", "-v0", data=Path(spare))
        for visits in sorted(options.visits):
            data = (options.keep or Path(spare)) / str(visits)
            fill(visits, data)
            results[visits] = json.loads(
                run(
                    "-m",
                    "benchmarks.review_bench",
                    "--here",
                    "--repeats",
                    str(options.repeats),
                    "--only",
                    options.only,
                    *(["--cpu"] if options.cpu else []),
                    data=data,
                ).splitlines()[-1]
            )
        show(results)


def show(results: dict[int, dict[str, dict[str, float]]]) -> None:
    least = results[min(results)]
    print(
        f"{'':24}{'visits':>9}{'queries':>9}{'median ms':>11}{'p95 ms':>9}{'page ms':>9}{'bare ms':>9}{'page/bare':>11}"
        f"{'page/view':>11}{'growth':>8}"
    )
    for name in least:
        for visits, rows in results.items():
            row = rows[name]
            over = f"{row['page'] / row['bare']:.1f}" if row["bare"] else "-"
            print(
                f"{name:24}{visits:>9}{row['queries']:>9.0f}{row['median']:>11.1f}{row['p95']:>9.1f}{row['page']:>9.1f}"
                f"{row['bare']:>9.1f}{over:>11}{in_views(row):>11.1f}{in_views(row) / in_views(least[name]):>8.2f}"
            )


def in_views(row: dict[str, float]) -> float:
    """The page in minimal views asked for in turn with it: a busy machine slows both."""
    return row["page"] / row["view"]


if __name__ == "__main__":
    main()
