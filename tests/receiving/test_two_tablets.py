"""Two people with one page open: the second learns what stands now, and nothing is overwritten."""

import re

import pytest

from regrind.receiving import actions
from regrind.record.models import Batch, Customer, Family, Line

pytestmark = pytest.mark.django_db

PAGES = [
    (
        "/receiving/customers/{customer}",
        Customer,
        {"name": "Mine", "unit": "in", "scrap": "return"},
        {"note": "theirs"},
    ),
    ("/receiving/417/", Batch, {"order_number": "mine", "received_at": "2026-01-05T10:00"}, {"order_number": "theirs"}),
    (
        "/receiving/families/{family}",
        Family,
        {"kind": "square", "nominal": "1/4 in", "coating": "TiN"},
        {"coating": "theirs"},
    ),
    (
        "/receiving/line/417-1/change",
        Line,
        {"tolerance": ".001", "check_every": "5", "note": "mine"},
        {"note": "theirs"},
    ),
]


@pytest.mark.parametrize(("where", "model", "mine", "theirs"), PAGES, ids=[p[1].__name__ for p in PAGES])
def test_a_page_that_saw_an_older_state_answers_with_both(counter, make_batch, where, model, mine, theirs):
    box = make_batch(2, number=417)
    where = where.format(customer=box.customer_id, family=box.lines.get().family_id)
    page = counter.get(where).content.decode()
    seen = re.search(r'name="version" value="([^"]+)"', page)
    fields = mine | {"version": seen[1], "once": "key-1"}
    model.objects.update(**theirs)
    answer = counter.client.post(where, fields)
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "theirs" in page
    assert next(iter(mine.values())) in page
    assert model.objects.filter(**theirs).exists()
    again = re.search(r'name="version" value="([^"]+)"', counter.get(where).content.decode())
    assert counter.client.post(where, mine | {"version": again[1], "once": "key-2"}).status_code == 302


def test_a_recount_after_a_split_invents_no_pieces(counter, make_batch, front_desk):
    """Four pieces on the page, two of them split off meanwhile: the count of four is about another line."""
    line = make_batch(4, number=417).lines.get()
    where = "/receiving/line/417-1/recount"
    version = re.search(r'name="version" value="([^"]+)"', counter.get(where).content.decode())[1]
    actions.split_line(by=front_desk, line=line, pieces=list(line.pieces.order_by("number")[:2]), reason="two kinds")
    typed = {"count": "4", "reason": "counted again", "version": version, "once": "key-1"}
    answer = counter.client.post(where, typed)
    assert answer.status_code == 409
    assert "holds 2 pieces now" in answer.content.decode()
    assert line.batch.pieces.count() == 4
    fresh = re.search(r'name="version" value="([^"]+)"', counter.get(where).content.decode())[1]
    assert counter.client.post(where, typed | {"count": "3", "version": fresh}).status_code == 302
    assert line.pieces.count() == 3
