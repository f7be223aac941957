import pytest
from django.urls import reverse

from regrind.receiving.actions import follow
from regrind.record.contacts import keep_contact
from regrind.record.models import Batch, Customer, Line, Tool
from regrind.today import search
from regrind.today.search import MOST, exact, find

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("text", "name", "args"),
    [
        ("417", "receiving:batch", ["417"]),
        ("417-1", "bench:line", ["417-1"]),
        (" 417-1-2 ", "bench:piece", ["417-1-2"]),
    ],
)
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


def test_a_telephone_number_is_found_however_it_is_grouped(customer, owner):
    keep_contact(by=owner, customer=customer, phone="+1 (555) 010-0147")
    Customer.objects.create(name="No phone")
    for text in ("555 0100147", "5550100147", "010-0147", "0147"):
        assert find(text, "in").customers == [customer], text
    assert not find("0148", "in")
    assert not find("147", "in").customers  # too short to mean a number
    assert not find("PO-0147", "in").customers


def test_numbers_of_theirs_are_found_by_their_beginning_and_in_part_while_new_or_where_nothing_else_is(
    make_batch, monkeypatch
):
    numbers = ("PO-77", "po-78", "X-PO-79", "QU-1")
    for place, order in enumerate(numbers):
        batch = make_batch(1)
        Batch.objects.filter(pk=batch.pk).update(order_number=order)
        Line.objects.filter(batch=batch).update(customer_tool_number=order)
        Tool.objects.create(
            tag=f"TAG{place}", customer=batch.customer, family=batch.lines.get().family, customer_number=order
        )

    def found(text: str) -> list[str]:
        them = find(text, "in")
        told = (
            [b.order_number for b in them.batches],
            [n.customer_tool_number for n in them.lines],
            [t.customer_number for t in them.tools],
        )
        assert told[0] == told[1] == told[2]
        return told[0]

    assert found("po-7") == ["X-PO-79", "po-78", "PO-77"]
    monkeypatch.setattr(search, "WINDOW", 1)
    assert found("po-7") == found("PO-7") == ["po-78", "PO-77"]
    assert found("U-1") == ["QU-1"]
    assert found("-PO-7") == ["X-PO-79"]  # in part and old: nothing newer or earlier in the alphabet has it
    assert found("PO_7") == found("%") == []


def test_of_many_that_are_called_alike_the_newest_are_shown(make_batch):
    for n in range(MOST + 5):
        make_batch(1, number=500 + n)
    Batch.objects.update(order_number="PO-1")
    assert [batch.number for batch in find("po-1", "in").batches] == list(range(504 + MOST, 504, -1))


def test_a_search_that_finds_nothing_says_how_things_are_numbered(client, bench_hand):
    client.force_login(bench_hand)
    page = client.get(reverse("today:search"), {"q": "<b>nobody</b>"}).content.decode()
    assert "Nothing matches" in page
    assert "<b>nobody" not in page


def test_a_scanned_code_is_told_where_it_leads_and_a_strange_one_nowhere(client, bench_hand, make_batch):
    make_batch(2, number=417)
    client.force_login(bench_hand)
    told = {code: client.get(reverse("today:open"), {"code": code}).json()["to"] for code in ("417-1-2", "417-1-9", "")}
    assert told == {"417-1-2": reverse("bench:piece", args=["417-1-2"]), "417-1-9": "", "": ""}
