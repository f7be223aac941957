import pytest
from django.urls import reverse

from regrind.receiving.actions import follow
from regrind.record.models import Line
from regrind.today.search import exact, find

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("text", "name", "args"), [
    ("417", "receiving:batch", ["417"]), ("417-1", "bench:line", ["417-1"]), (" 417-1-2 ", "bench:piece", ["417-1-2"]),
])
def test_a_printed_number_leads_straight_to_what_it_names(client, bench_hand, make_batch, text, name, args):
    make_batch(2, number=417)
    client.force_login(bench_hand)
    answer = client.get(reverse("today:search"), {"q": text})
    assert (answer.status_code, answer["Location"]) == (302, reverse(name, args=args))


def test_a_life_tag_leads_to_the_newest_visit(make_batch, bench_hand):
    piece = make_batch(1, number=5).pieces.select_related("batch__customer", "line__family", "tool").get()
    tool = follow(by=bench_hand, piece=piece)
    again = make_batch(1, number=9).pieces.select_related("batch__customer", "line__family", "tool").get()
    follow(by=bench_hand, piece=again, tool=tool)
    assert exact(tool.tag.lower()) == reverse("bench:piece", args=["9-1-1"])


@pytest.mark.parametrize("text", ["999", "417-9", "417-1-9", "1-2-3-4", "AAAAAA", "٤١٧", ""])
def test_what_names_nothing_leads_nowhere(make_batch, text):
    make_batch(1, number=417)
    assert exact(text) is None


def test_customer_order_their_number_and_size_are_found(make_batch, customer):
    batch = make_batch(1)
    batch.order_number = "PO-77"
    batch.save(update_fields=["order_number"])
    Line.objects.update(customer_tool_number="EM-0250")
    assert find("brook", "in").customers == [customer]
    assert find("po-77", "in").batches == [batch]
    line = batch.lines.get()
    assert find("em-02", "in").lines == [line]
    assert find(".250", "in").lines == find("6.35 mm", "in").lines == find("1/4", "in").lines == [line]
    assert not find("nobody", "in")


def test_a_search_that_finds_nothing_says_how_things_are_numbered(client, bench_hand):
    client.force_login(bench_hand)
    page = client.get(reverse("today:search"), {"q": "<b>nobody</b>"}).content.decode()
    assert "Nothing goes by that" in page
    assert "<b>nobody" not in page


def test_a_scanned_code_is_told_where_it_leads_and_a_strange_one_nowhere(client, bench_hand, make_batch):
    make_batch(2, number=417)
    client.force_login(bench_hand)
    told = {code: client.get(reverse("today:open"), {"code": code}).json()["to"] for code in ("417-1-2", "417-1-9", "")}
    assert told == {"417-1-2": reverse("bench:piece", args=["417-1-2"]), "417-1-9": "", "": ""}
