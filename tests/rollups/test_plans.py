"""Pages that stay as fast in the twentieth year: none reads a table that grows from one end to the other.

SQLite chooses its way by the indexes alone where nobody ran ANALYZE, so a small shop shows the ways of a large one.
"""

import re
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from regrind.record.models import FamilyMonth, Line, Piece, Tool
from regrind.shop.models import Person
from tests.kept import kept

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL's ways depend on its statistics"),
]
GROWS = {
    "record_piece",
    "record_line",
    "record_batch",
    "record_step",
    "record_answer",
    "record_tool",
    "bench_inspection",
    "bench_plan",
    "bench_grind",
    "bench_finalcheck",
    "bench_reading",
    "office_parcel",
    "office_parcelpiece",
    "office_issuedpaper",
    "shop_history",
}
PAGES = {
    "today": "/",
    "boxes": "/receiving/",
    "boxes at depth": "/receiving/?before=20",
    "one customer's boxes": "/receiving/?customer={customer}&before=20",
    "customers": "/receiving/customers",
    "tool families": "/receiving/families",
    "a box": "/receiving/{batch}/",
    "its lines": "/receiving/{batch}/lines",
    "a line": "/receiving/line/{line}",
    "bench": "/bench/",
    "a line at the bench": "/bench/{line}/",
    "measure form": "/bench/{line}/inspect",
    "plan form": "/bench/{inspected}/plan",
    "grind form": "/bench/{planned}/grind",
    "check form": "/bench/{ground}/check",
    "setup card": "/bench/{planned}/setup-card",
    "a tool's story": "/bench/piece/{piece}",
    "scan a tag": "/search?q={tag}",
    "search a size": "/search?q=3/8+in",
    "search an order": "/search?q=PO-00014",
    "search what is not there": "/search?q=nobody+has+this",
    "search a customer": "/search?q=works+02",
    "at_coater": "/bench/at-coater",
    "office": "/office/",
    "a box at the office": "/office/{batch}/",
    "prices of a box": "/office/{batch}/prices",
    "parcel": "/office/{batch}/parcel",
    "papers": "/office/{batch}/papers",
    "rates": "/office/rates",
    "rates of a family": "/office/rates/family/{family}",
    "families reviewed": "/review/",
    "a narrowed review": "/review/?customer={customer}&material=carbide&since=2024-01-01",
    "what if": "/review/?percent=10&rate=120&lot=6",
    "the review exported": "/review/families.csv",
    "the review on paper": "/review/families.pdf?customer={customer}",
    "customers reviewed": "/review/customers",
    "one family reviewed": "/review/{family}",
    "what if of a family": "/review/{family}?price=15&lot=6&smallest=3+mm",
    "a family's few years": "/review/{family}?customer={customer}&since=2024-01-01",
    "its pieces at depth": "/review/{family}?before={old}",
    "its good ones": "/review/{family}?result=good",
    "its complaints": "/review/{family}?result=complained",
    "of a reason": "/review/{family}?reason=worn+down",
    "of a complaint": "/review/{family}?complaint=chatter+marks",
    "of a wear": "/review/{family}?wear=100000-200000",
}


@pytest.fixture(scope="module")
def filled(django_db_setup, django_db_blocker):
    yield from kept(django_db_blocker, lambda: call_command("fill_years", visits=700, seed=3, stdout=StringIO()))


@pytest.fixture
def shop(filled, client):
    client.force_login(Person.objects.get(name="Fill-in"))
    line, inspected, planned, ground = (
        Line.objects.filter(pieces__status=where).order_by("-pk").first()
        for where in ("arrived", "inspected", "ready_to_grind", "ground")
    )
    tool = Tool.objects.order_by("pk").first()
    piece = Piece.objects.filter(tool=tool).first()
    assert all((line, inspected, planned, ground, piece))
    family = FamilyMonth.objects.order_by("-received").first().family_id
    return {
        "inspected": inspected,
        "planned": planned,
        "ground": ground,
        "line": line,
        "batch": line.batch.number,
        "customer": line.batch.customer_id,
        "tag": tool.tag,
        "piece": piece,
        "family": family,
        "old": Piece.objects.filter(line__family=family).order_by("-pk")[5].pk,
    }


def scans(client, where: str) -> list[str]:
    """The tables that grow and are read whole on the way to this page, each with its question."""
    with CaptureQueriesContext(connection) as queries:
        assert client.get(where).status_code in (200, 302), where
    asked = [q["sql"] for q in queries if q["sql"].startswith("SELECT")]
    found = []
    with connection.cursor() as cursor:
        for sql in asked:
            cursor.cursor.execute(f"EXPLAIN QUERY PLAN {sql}")
            found += [f"{step[3]}: {sql}" for step in cursor.fetchall() if reads_whole(step[3], sql)]
    return found


def reads_whole(step: str, sql: str) -> bool:
    """Reading along an index until a page is full ends early, and so does the index of the open boxes alone."""
    table = re.match(r"SCAN (\w+)", step)
    ends_early = (" USING " in step and " LIMIT " in sql) or step.endswith(" open_batches")
    return bool(table and table[1] in GROWS and not ends_early)


@pytest.mark.parametrize("name", PAGES)
def test_a_page_reads_no_growing_table_whole(name, shop, client):
    assert scans(client, PAGES[name].format(**shop)) == []


def test_a_page_that_did_would_be_found():
    assert reads_whole("SCAN record_line", "SELECT 1 FROM record_line LIMIT 20")
    assert reads_whole("SCAN record_piece USING COVERING INDEX x", "SELECT count(*) FROM record_piece")
    assert not reads_whole("SCAN record_batch USING INDEX x", "SELECT * FROM record_batch ORDER BY number LIMIT 51")
    assert not reads_whole("SEARCH record_piece USING INDEX x (line_id=?)", "SELECT 1")
