"""Lists and pages stay as cheap with 400 pieces as with one; boxes page by number, open ones first."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from regrind.receiving import actions
from regrind.record.models import Batch, Customer, Family, Piece

pytestmark = pytest.mark.django_db


def queries(counter, where: str) -> list[str]:
    with CaptureQueriesContext(connection) as caught:
        assert counter.get(where).status_code == 200
    return [q["sql"] for q in caught if "shop_letterhead" not in q["sql"]]


@pytest.fixture
def boxes(make_batch, front_desk):
    """Boxes of 1, 10 and 400 pieces, a tenth of them tagged, one of each missing, in one line and in ten."""
    made = [make_batch(1), make_batch(10), make_batch(*[40] * 10)]
    for box in made:
        pieces = list(Piece.objects.filter(batch=box).select_related("batch__customer", "line__family"))
        actions.give_tags(by=front_desk, pieces=pieces[::10])
        actions.name_missing(by=front_desk, pieces=pieces[-1:], reason="not in the box")
        actions.note_foreign_item(by=front_desk, batch=box, description="a key")
    return made


def test_a_boxs_page_asks_as_often_for_400_pieces_as_for_one(counter, boxes):
    counts = [len(queries(counter, f"/receiving/{box.number}/")) for box in boxes]
    assert len(set(counts)) == 1, counts
    assert counts[0] <= 12


@pytest.mark.parametrize("what", ["", "/missing", "/tags", "/split", "/change", "/recount", "/merge", "/kind"])
def test_a_lines_pages_ask_as_often_for_400_pieces_as_for_one(counter, make_batch, front_desk, what):
    counts = []
    for size in (1, 10, 400):
        box = make_batch(size, 1)
        pieces = list(Piece.objects.filter(batch=box).select_related("batch__customer", "line__family"))
        actions.give_tags(by=front_desk, pieces=pieces[:1])
        counts.append(len(queries(counter, f"/receiving/line/{box.number}-1{what}")))
    assert len(set(counts)) == 1, counts
    assert counts[0] <= 12


def test_the_lists_ask_as_often_for_many_as_for_few(counter, make_batch):
    make_batch(1)
    where = ("/receiving/", "/receiving/customers", "/receiving/families")
    few = [len(queries(counter, w)) for w in where]
    for n in range(12):
        owner = Customer.objects.create(name=f"Customer {n}")
        make_batch(4, 4, owner=owner, of=Family.objects.create(kind="ball", nominal_nm=n + 1_000_000))
    assert [len(queries(counter, w)) for w in where] == few
    assert max(few) <= 8


def test_a_customer_shows_the_batches_of_a_year_and_the_last_one(counter, make_batch):
    old, new, none = (Customer.objects.create(name=name) for name in ("Alder", "Birch", "Cedar"))
    today = timezone.now()
    for owner, days in ((old, 900), (old, 400), (new, 500), (new, 300), (new, 20)):
        box = make_batch(owner=owner)
        Batch.objects.filter(pk=box.pk).update(received_at=today - timedelta(days=days))
    rows = {row.customer: (row.batches, row.last) for row in counter.get("/receiving/customers").context["rows"]}
    assert rows[old] == (0, today - timedelta(days=400))
    assert rows[new] == (2, today - timedelta(days=20))
    assert rows[none] == (0, None)


def test_reading_back_forty_lines_asks_as_often_as_for_one(counter, make_batch):
    box = make_batch()
    counts = []
    for said in ("12 x 1/4 3fl", "\n".join(f"{n} x {n}/64 {n % 6 + 1}fl" for n in range(1, 41))):
        with CaptureQueriesContext(connection) as caught:
            counter.read_back(box, said)
        counts.append(len(caught))
    assert counts[0] == counts[1]


def test_open_boxes_come_first_and_closed_ones_page_by_number(counter, customer, front_desk):
    Batch.objects.bulk_create(
        [
            Batch(number=n, customer=customer, received_by=front_desk, closed=n <= 120, rush=n == 125)
            for n in range(1, 126)
        ]
    )
    page = counter.get("/receiving/").context
    assert [row.batch.number for row in page["open"]] == [125, 121, 122, 123, 124]
    seen, before = [], page["more"]
    seen += [row.batch.number for row in page["closed"]]
    while before:
        page = counter.get("/receiving/", before=before).context
        assert page["open"] == []
        seen += [row.batch.number for row in page["closed"]]
        before = page["more"]
    assert seen == list(range(120, 0, -1))


def test_paging_never_skips_rows_by_counting_them(counter, customer, front_desk):
    Batch.objects.bulk_create(
        [Batch(number=n, customer=customer, received_by=front_desk, closed=True) for n in range(1, 200)]
    )
    assert not [sql for sql in queries(counter, "/receiving/?before=60") if "OFFSET" in sql.upper()]


def test_boxes_of_one_customer_alone(counter, make_batch):
    make_batch(1)
    other = Customer.objects.create(name="Other")
    mine = make_batch(2, owner=other)
    page = counter.get("/receiving/", customer=other.pk)
    assert [row.batch for row in page.context["open"]] == [mine]
    assert "only batches of Other" in page.content.decode()


@pytest.mark.parametrize(
    "query", ["before=x", "before=-1", "before=" + "9" * 30, "customer=x", "customer=999999", "customer=" + "9" * 30]
)
def test_odd_addresses_show_the_list_all_the_same(counter, make_batch, query):
    make_batch(1)
    assert counter.get(f"/receiving/?{query}").status_code == 200


def test_families_page_on_and_show_one_kind(counter):
    Family.objects.bulk_create(
        [Family(kind="ball" if n % 2 else "drill", nominal_nm=1_000_000 + n) for n in range(120)]
    )
    seen, after = [], ""
    while after is not None:
        page = counter.get("/receiving/families", after=after, kind="ball").context
        seen += [row.family.kind for row in page["rows"]]
        after = page["more"]
    assert seen == ["ball"] * 60


def test_an_empty_list_says_what_to_do_first(counter):
    assert "Receive a box" in counter.get("/receiving/").content.decode()
    assert "Add the first" in counter.get("/receiving/customers").content.decode()
    assert "The first saved line of a box" in counter.get("/receiving/families").content.decode()
