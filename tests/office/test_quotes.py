"""A box's findings become a numbered quote: what it says, what it fixes, and how its answers reach bench and bill."""

import json
import re

import pytest
from django.utils.formats import date_format

from regrind.bench.models import Plan
from regrind.bench.planning.actions import decide
from regrind.office.actions import record_answer
from regrind.office.charge_models import FixedTerms
from regrind.office.charges import bill
from regrind.office.issuing import issue, read_file
from regrind.office.quote_models import Quote, QuoteAnswer
from regrind.office.quotes.content import say_size
from regrind.office.quotes.deciding import decide_by_link
from regrind.office.quotes.links import find_link
from regrind.office.quotes.making import make_quote
from regrind.office.quotes.states import state_of
from regrind.record.moves import move
from regrind.record.rate_changes import keep_list
from regrind.shop.events import Refusal

from .conftest import pieces_of, words
from .quotes import INSPECTION, PRICES, quoted

__all__ = ["quoted"]
pytestmark = pytest.mark.django_db


def test_a_quote_shows_each_way_with_its_price_size_and_worth(quoted):
    [item] = quoted(2).items
    shown = item.shown
    assert (shown["pieces"], shown["count"], shown["reason"]) == ("1-1, 1-2", 2, "It is small. Shall we?")
    prices = {option["words"]: option["price_minor"] for option in shown["options"]}
    assert prices == {"sides": PRICES["sides"], "end": PRICES["end"]}
    assert all(re.search(r"diameter \.\d{4}\sin", option["after"]) for option in shown["options"])
    assert sorted(option["worth"].split(" against")[0] for option in shown["options"]) == [
        "Saves 31.40",
        "Saves 36.90",
    ]
    assert shown["not_ground_minor"] == INSPECTION
    assert shown["proposed"] in [option["way"] for option in shown["options"]]


def test_a_quote_fixes_the_prices_and_a_later_list_does_not_reach_it(quoted, owner):
    asked = quoted(1)
    assert FixedTerms.objects.get(batch=asked.batch).because == "quote"
    before = asked.items[0].shown
    keep_list(
        by=owner,
        entries={((None, "square"), "price", work): 9_900 for work in PRICES},
        from_day=asked.batch.received_at.date(),
        stale=lambda: False,
    )
    assert asked.items[0].shown == before
    [row] = asked.rows
    decide_by_link(link=find_link(asked.token), who="Ann", note="", ways={row.pk: asked.way("end")})
    grind_on(asked, owner)
    assert bill(asked.batch).total_minor == PRICES["end"]


def grind_on(asked, by):
    """Everything that is ready is ground and released."""
    ready = list(asked.batch.pieces.filter(status="ready_to_grind").select_related("batch"))
    move(pieces=ready, to="ground", by=by)
    move(pieces=ready, to="released", by=by, result="ground")


def test_tools_of_one_line_are_billed_each_at_the_price_of_the_way_that_was_chosen(quoted, owner):
    asked = quoted(3)
    sides, end, back = asked.rows
    ways = {sides.pk: asked.way("sides"), end.pk: asked.way("end"), back.pk: "returned_unground"}
    decide_by_link(link=find_link(asked.token), who="Ann", note="", ways=ways)
    assert asked.states() == ["ready_to_grind", "ready_to_grind", "released"]
    grind_on(asked, owner)
    charged = bill(asked.batch)
    assert sorted((row.pieces, row.each_minor) for row in charged.lines) == [(1, PRICES["end"]), (1, PRICES["sides"])]
    assert charged.total_minor == PRICES["sides"] + PRICES["end"] + INSPECTION
    assert charged.open_lines == ()


def test_the_bench_reads_what_was_agreed_in_the_plan(quoted):
    asked = quoted(1)
    [row] = asked.rows
    decide_by_link(link=find_link(asked.token), who="Ann Lund", note="soon please", ways={row.pk: asked.way("end")})
    plan = Plan.objects.filter(piece=row.piece).order_by("revision").last()
    assert (plan.decision, plan.grinds) == ("grind", "end")
    assert "The customer agreed: grind end, 12.00 USD each; soon please (Ann Lund" in plan.reason


def test_an_answer_by_telephone_is_on_the_same_quote_and_marked_so(quoted, front_desk, desk):
    asked = quoted(1)
    [piece] = pieces_of(asked.batch.lines.get())
    plan, index = (int(part) for part in asked.way("sides").split(":")[1:])
    record_answer(
        by=front_desk,
        line=piece.line,
        pieces=[piece],
        who="Ms Lund",
        how="phone",
        agreed="go ahead",
        decision="grind",
        option=(plan, index),
    )
    [row] = QuoteAnswer.objects.all()
    assert (row.quote_piece.item.quote, row.link, row.minor) == (asked.quote, None, PRICES["sides"])
    page = desk.get("/office/417/quotes/1").content.decode()
    assert "Ms Lund, phone" in page
    assert "grind: go ahead" in page
    assert "entered by Fay" in page
    assert state_of(asked.quote).words == "answered"


def test_nothing_to_ask_makes_no_quote(make_batch, front_desk):
    with pytest.raises(Refusal, match="Nothing of this box waits"):
        make_quote(by=front_desk, batch=make_batch(1))
    assert not FixedTerms.objects.exists()


@pytest.mark.parametrize("days", [0, 366])
def test_days_out_of_range_are_refused_with_the_range(quoted, front_desk, days):
    with pytest.raises(Refusal, match="1 to 365"):
        make_quote(by=front_desk, batch=quoted(1).batch, days=days)


def test_the_office_makes_a_quote_prints_it_and_makes_a_link(quoted, desk):
    asked = quoted(1)
    made = desk.post("/office/417/quotes", "/office/417/quotes", days="10", note="Thank you")
    assert made["Location"] == "/office/417/quotes/2"
    page = desk.get("/office/417/quotes/2").content.decode()
    assert "waiting for the answer" in page
    assert "replaced by a later quote" in desk.get("/office/417/quotes/1").content.decode()
    assert find_link(asked.token) is None  # the earlier quote's link ended
    shown = desk.post("/office/417/quotes/2/link", "/office/417/quotes/2").content.decode()
    [address] = set(re.findall(r"https://tools\.example/q/([\w-]{22})", shown))
    assert find_link(address).quote.number == 2
    assert address not in desk.get("/office/417/quotes/2").content.decode()


def test_the_quotes_page_says_how_long_it_holds(quoted, desk):
    row = quoted(1).quote
    page = desk.get("/office/417/quotes/1").content.decode()
    assert f"<span>valid until {date_format(row.valid_until)}</span>" in page
    assert 'href="/office/417/quotes">Quotes</a>' in page


def test_wrong_days_stay_beside_their_field(quoted, desk):
    quoted(1)
    answer = desk.post("/office/417/quotes", "/office/417/quotes", days="400", note="Thank you")
    assert answer.status_code == 422
    assert "Write a whole number of days from 1 to 365." in answer.content.decode()
    assert 'value="Thank you"' in answer.content.decode()


def test_the_stored_paper_says_all_of_it_and_has_no_code(quoted, front_desk):
    asked = quoted(2)
    paper = issue(by=front_desk, kind="quote", number="417/1")
    text = words(read_file(paper))
    for said in ("Quote 417/1", "It is small. Shall we?", "17.50 USD", "12.00 USD", "Return unground", "3.00 USD"):
        assert said in text
    assert "Name the number 417/1" in text
    assert "Scan the code" not in text
    assert asked.token not in text + paper.snapshot
    assert issue(by=front_desk, kind="quote", number="417/1") == paper


def test_without_a_public_address_there_is_no_link(quoted, front_desk, settings, desk):
    asked = quoted(1)
    settings.PUBLIC_ADDRESS = ""
    page = desk.get("/office/417/quotes/1").content.decode()
    assert "no public address" in page
    assert "Make a new link" not in page
    refused = desk.post("/office/417/quotes/1/link", "/office/417/quotes/1")
    assert refused.status_code == 422
    assert asked.quote.links.count() == 1


def test_a_way_without_a_price_makes_no_quote_and_says_where_it_is_set(make_batch, look, bench_hand, front_desk, desk):
    batch = make_batch(1, number=417)
    pieces = pieces_of(batch.lines.get())
    look(pieces)
    decide(by=bench_hand, pieces=pieces, expected={}, decision="ask", reason="It is small. Shall we?")
    with pytest.raises(Refusal, match=r"No price yet for line 1 \((sides; end|end; sides)\)"):
        make_quote(by=front_desk, batch=batch)
    page = desk.get("/office/417/quotes").content.decode()
    assert '<a href="/office/417/prices">Set the price of line 1</a>' in page
    assert (Quote.objects.count(), FixedTerms.objects.count()) == (0, 0)


def test_the_size_now_names_the_highest_tooth_where_the_drawing_does():
    option = {"sides": True, "diameter_mm": 11.8, "removal_radial_mm": [0.097, 0.099]}
    plan = Plan(answer=json.dumps({"options": [option]}))
    said = say_size(plan, [11_996_000], "mm").replace("\u202f", " ")
    assert said == "diameter 11.996 mm as measured, 11.998 mm over the highest tooth"
    assert "highest" not in say_size(plan, [11_998_000, 11_998_000], "mm")
    assert "highest" not in say_size(plan, [11_990_000, 11_996_000], "mm")
    assert "highest" not in say_size(Plan(), [11_996_000], "mm")
