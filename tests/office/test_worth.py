"""One sentence with figures for the customer: what a regrind saves, and how many more are to come."""

import pytest

from regrind.bench.models import Plan
from regrind.bench.planning.actions import decide
from regrind.office.worth import choices_of, say_worth
from regrind.record.rate_changes import keep_list

from .conftest import pieces_of

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("price", "new", "more", "sentence"),
    [
        (1_750, 4_890, 2, "Saves 31.40 against new; two more regrinds to come."),
        (1_750, 4_890, 1, "Saves 31.40 against new; one more regrind to come."),
        (1_750, 4_890, 0, "Saves 31.40 against new; it is the last regrind."),
        (1_750, 4_890, None, "Saves 31.40 against new."),
        (1_750, 1_700, 12, "Costs 0.50 more than a new one; 12 more regrinds to come."),
        (1_750, 1_750, None, "Costs as much as a new one."),
        (1_750, None, None, "Costs 17.50; the price of a new one is not known."),
        (None, 4_890, 2, "No price yet; two more regrinds to come."),
    ],
)
def test_the_sentence_says_what_it_saves_and_what_is_to_come(price, new, more, sentence):
    assert say_worth(price, new, more) == sentence


def test_the_answers_page_says_of_what_is_asked_its_price_and_worth(make_batch, look, bench_hand, owner, desk):
    keep_list(
        by=owner,
        entries={((None, "square"), "price", "sides"): 1_750, ((None, "square"), "new", ""): 4_890},
        from_day=make_batch(1, number=416).received_at.date(),
        stale=lambda: False,
    )
    line = make_batch(1, number=417).lines.get()
    pieces = pieces_of(line)
    look(pieces)
    decide(by=bench_hand, pieces=pieces, expected={}, decision="ask", reason="below the limit", grinds="sides end")
    [plan] = Plan.objects.all()
    prices = {choice.words: choice.price_minor for choice in choices_of(line, [plan])[plan.pk]}
    assert prices == {"sides": 1_750, "end": None}  # the list has no price for the end alone
    page = desk.get("/office/417-1/answer").content.decode()
    assert "Saves 31.40 against new" in page
    assert "17.50" in page
