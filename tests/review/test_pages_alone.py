"""The review's pages where the shop holds nothing, one family, or as many as do not fit on a page."""

import csv
import io

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from regrind.record.actions import merge_families
from regrind.record.models import Family
from regrind.record.rollup_rebuild import rebuild
from regrind.review.families import PAGE

from .test_pages import CUSTOMERS, FAMILIES, text_of

pytestmark = pytest.mark.django_db


def test_an_empty_shop_says_what_to_do_first(at_desk, family):
    assert "No tools yet" in text_of(at_desk(FAMILIES))
    assert "No tools yet" in text_of(at_desk(CUSTOMERS))
    page = text_of(at_desk(f"/review/{family.pk}"))
    assert "No pieces yet" in page


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
    assert row[head.index("received")] == "2"
    rows = list(csv.reader(io.StringIO(at_desk(CUSTOMERS, **{"as": "csv"}).content.decode("utf-8-sig"))))
    assert rows[1][0] == "'+Ponte"
    assert answer["Content-Type"].startswith("text/csv")


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


def test_a_merged_familys_page_leads_to_where_its_pieces_went(at_desk, make_batch, family, owner):
    into = Family.objects.create(kind=family.kind, nominal_nm=family.nominal_nm, teeth=family.teeth)
    make_batch(3, of=family)
    merge_families(by=owner, family=family, into=into)
    page = at_desk(f"/review/{family.pk}", since="2020-01-01")
    assert f'href="/review/{into.pk}?since=2020-01-01"' in page.content.decode()
    assert "No pieces yet" not in text_of(page)
    assert "was merged" not in text_of(at_desk(f"/review/{into.pk}"))
    assert len(at_desk(f"/review/{into.pk}").context["pieces"]) == 3
