"""The review's pages: what is asked stands in the address, a figure opens its pieces, asking writes nothing."""
import csv
import io
import re
from html import unescape
from itertools import product

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from regrind.record.models import Family, Piece
from regrind.record.rebuilding import rebuild
from regrind.review.export import neutral
from regrind.review.families import PAGE, SORTS
from regrind.review.pieces import RESULTS

from .plain import Record

pytestmark = pytest.mark.django_db
FAMILIES, CUSTOMERS = "/review/", "/review/customers"


@pytest.fixture
def at_desk(client, owner):
    client.force_login(owner)

    def get(where, **asked):
        return client.get(where, asked)
    return get


def text_of(answer) -> str:
    return unescape(re.sub(r"<[^>]+>", " ", answer.content.decode()))


def test_an_empty_shop_says_what_to_do_first(at_desk, family):
    assert "No tools yet" in text_of(at_desk(FAMILIES))
    assert "No tools yet" in text_of(at_desk(CUSTOMERS))
    page = text_of(at_desk(f"/review/{family.pk}"))
    assert "No pieces yet" in page


def test_every_column_sorts_and_another_is_not_found(at_desk, made_shop):
    made_shop("usual", 2)
    for sort in SORTS:
        assert at_desk(FAMILIES, sort=sort).status_code == 200
    assert at_desk(FAMILIES, sort="password").status_code == 404


def test_families_are_ranked_by_what_a_bench_minute_earns(at_desk, made_shop):
    made_shop("usual", 2, 400)
    rows = at_desk(FAMILIES).context["rows"]
    earned = [row.earns_minor for row in rows if row.earns_minor is not None]
    assert len(earned) > 1
    assert earned == sorted(earned, reverse=True)


def test_each_verdict_is_in_words_with_its_number_of_cases(at_desk, made_shop):
    made_shop("usual", 2, 400)
    answer = at_desk(FAMILIES)
    page = text_of(answer)
    for row in answer.context["rows"]:
        assert row.verdict.words in page
        assert row.verdict.code != "too_few" or f"{row.verdict.n} ground" in page


def test_the_link_keeps_what_was_asked(at_desk, made_shop, customer):
    shop = made_shop("usual", 2)
    asked = {"customer": shop.customers[0].pk, "since": "2020-01-01", "least": "1 mm", "percent": "10"}
    answer = at_desk(FAMILIES, sort="seen", **asked)
    links = re.findall(r'href="(\d+\?[^"#]*)', answer.content.decode())
    assert links
    for link in (*links, answer.context["link"]):
        for name, value in asked.items():
            assert f"{name}={str(value).replace(' ', '+')}" in unescape(link)
    assert at_desk(f"/review/{links[0].split('?')[0]}", **asked).status_code == 200


def test_a_part_counts_only_its_own(at_desk, made_shop):
    shop = made_shop("usual", 2)
    whole = sum(row.sums.seen for row in at_desk(FAMILIES).context["rows"])
    parts = [sum(row.sums.seen for row in at_desk(FAMILIES, customer=c.pk).context["rows"]) for c in shop.customers]
    assert sum(parts) == whole == Piece.objects.count()
    assert not at_desk(FAMILIES, material="HSS").context["rows"]
    narrow = at_desk(FAMILIES, least="6.5 mm", most="7.5 mm").context["rows"]
    assert {row.family.nominal_nm for row in narrow} == {7_000_000}


@pytest.mark.parametrize(("name", "value", "words"), [
    ("least", "0.2.5", "is not a length"), ("since", "2026-31-12", "Write the day as"),
    ("percent", "a lot", "whole number"),
    ("rate", "0", "says nothing"), ("lot", "0", "greater than or equal"), ("customer", "999999", "valid choice")])
def test_what_cannot_be_read_is_said_beside_its_field_and_narrows_nothing(at_desk, made_shop, name, value, words):
    made_shop("usual", 2)
    answer = at_desk(FAMILIES, **{name: value})
    assert words in text_of(answer)
    assert sum(row.sums.seen for row in answer.context["rows"]) == Piece.objects.count()


TESTS = {"good": lambda r, p: r.good(p), "ground": lambda r, p: p["result"] == "ground",
         "as_it_came": lambda r, p: p["result"] == "as_it_came", "scrap": lambda r, p: p["result"] == "scrap",
         "missing": lambda r, p: p["result"] == "missing", "again": lambda r, p: p["complaint_of_id"] is not None,
         "complained": lambda r, p: p["result"] == "ground" and p["id"] in r.came_back,
         "open": lambda r, p: p["result"] == "", "": lambda r, p: True}


def test_a_figure_opens_exactly_its_pieces_page_by_page(at_desk, made_shop):
    made_shop("complaints", 2, 400)
    record = Record()
    for family, (result, _) in product(Family.objects.all(), RESULTS):
        wanted = {p["id"] for p in record.of(family=family.pk) if TESTS[result](record, p)}
        assert all_shown(at_desk, family, result=result) == wanted, result


def all_shown(at_desk, family, **asked) -> set[int]:
    found: list[int] = []
    before = ""
    while True:
        answer = at_desk(f"/review/{family.pk}", before=before, **asked)
        found += [piece.pk for piece in answer.context["pieces"]]
        if not answer.context["more"]:
            assert len(found) == len(set(found))
            return set(found)
        before = str(found[-1])


def test_a_reason_a_complaint_and_a_wear_open_their_pieces(at_desk, made_shop):
    made_shop("complaints", 2, 400)
    opened = set()
    for family in Family.objects.all():
        page = at_desk(f"/review/{family.pk}")
        for chart in page.context.get("charts", []):
            for cells, link in chart.linked_rows:
                if link:
                    number = int(cells[1])
                    shown = at_desk(f"/review/{family.pk}{link.split('#')[0]}").context["pieces"]
                    assert len(shown) == min(number, 25), (chart.title, cells)
                    opened.add(chart.title)
    assert opened == {"What came good, by wear at arrival", "Why they were not ground", "What came back as a complaint"}


def test_asking_writes_nothing(at_desk, made_shop):
    shop = made_shop("usual", 2)
    asked = {"percent": "20", "price": "9.80", "rate": "120", "lot": "6", "smallest": "5 mm", "allowance": "0.02 mm",
             "customer": shop.customers[0].pk}
    with CaptureQueriesContext(connection) as seen:
        for where in (FAMILIES, CUSTOMERS, f"/review/{shop.families[0].pk}"):
            assert at_desk(where, **asked).status_code == 200
    written = [q["sql"] for q in seen if re.match(r"(INSERT|UPDATE|DELETE)", q["sql"]) and "session" not in q["sql"]]
    assert written == []


def test_a_higher_price_that_is_tried_moves_verdicts_and_is_said_not_to_be_kept(at_desk, made_shop):
    made_shop("corrections", 2, 400)
    answer = at_desk(FAMILIES, percent="50", rate="1")
    assert "Tried, not kept" in text_of(answer)
    moved = [row for row in answer.context["rows"] if row.moved]
    assert moved
    assert {row.verdict.code for row in moved} == {"worth"}
    assert not any(row.moved for row in at_desk(FAMILIES).context["rows"])


def test_the_families_part_into_pages_that_follow_one_another(at_desk, owner, make_batch):
    for n in range(PAGE + 7):
        make_batch(1, of=Family.objects.create(kind="square", nominal_nm=1_000_000 + n * 10_000, teeth=2))
    rebuild()
    first = at_desk(FAMILIES, sort="family")
    assert len(first.context["rows"]) == PAGE
    second = at_desk(FAMILIES + first.context["next"])
    keys = [row.key for page in (first, second) for row in page.context["rows"]]
    assert len(keys) == len(set(keys)) == PAGE + 7
    assert second.context["next"] == ""


def test_the_table_to_take_away_holds_every_row_and_no_formula(at_desk, make_batch, customer):
    evil = Family.objects.create(kind="other", maker="=cmd|'/c calc'!A1", nominal_nm=None)
    make_batch(2, of=evil)
    type(customer).objects.filter(pk=customer.pk).update(name="+Ponte")
    rebuild()
    answer = at_desk(reverse("review:export"))
    head, row = csv.reader(io.StringIO(answer.content.decode("utf-8-sig")))
    assert len(head) == len(row)
    assert row[head.index("came")] == "2"
    rows = list(csv.reader(io.StringIO(at_desk(CUSTOMERS, **{"as": "csv"}).content.decode("utf-8-sig"))))
    assert rows[1][0] == "'+Ponte"
    assert answer["Content-Type"].startswith("text/csv")


@pytest.mark.parametrize("begins", ["=1+1", "+1", "-1", "@x", "\t=1", "\r=1", " =1", "\u00a0=1"])
def test_a_cell_that_begins_a_formula_is_made_plain_text(begins):
    assert neutral(begins).startswith("'")
    assert neutral("worth it") == "worth it"
    assert neutral(-3.5) == "-3.5"


def test_the_page_to_print_is_one_page_and_a_customers_says_nothing_of_earnings(at_desk, made_shop):
    from pypdf import PdfReader
    shop = made_shop("usual", 2, 400)
    own, theirs = (at_desk(reverse("review:paper"), **asked) for asked in ({}, {"customer": shop.customers[0].pk}))
    read = [PdfReader(io.BytesIO(answer.content)) for answer in (own, theirs)]
    said = [" ".join(page.extract_text() for page in paper.pages) for paper in read]
    assert [len(paper.pages) for paper in read] == [1, 1]
    assert "Earned" in said[0]
    assert "Earned" not in said[1]
    assert shop.customers[0].name in said[1]
    assert at_desk(reverse("review:paper"), material="HSS").content[:4] == b"%PDF"


@pytest.mark.parametrize("where", [FAMILIES, CUSTOMERS, "/review/{family}"])
def test_the_count_of_queries_does_not_grow(at_desk, make_batch, family, where):
    counts = []
    for pieces in (1, 10, 400):
        make_batch(pieces, of=family)
        rebuild()
        with CaptureQueriesContext(connection) as seen:
            at_desk(where.format(family=family.pk))
        counts.append(len(seen))
    assert counts[0] == counts[1] == counts[2]


def test_a_customers_figures_stand_on_the_customers_page(at_desk, made_shop):
    made_shop("usual", 2, 400)
    answer = at_desk(CUSTOMERS)
    page = text_of(answer)
    for row in answer.context["rows"]:
        assert row.name in page
        assert f"{row.sums.good} of {row.sums.decided}" in page
