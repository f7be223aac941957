"""What each option costs stands on the plan, as the price list has it, with whether it is worth it."""

import pytest

from regrind.record.rate_changes import keep_list

from .conftest import pieces_of
from .quotes import NEW, PRICES

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan(make_batch, look, owner, client, bench_hand):
    """plan(**line columns) -> the context and the text of a line's plan page with a price list."""

    def open_page(**columns):
        batch = make_batch(1, number=417)
        entries = {((None, "square"), "price", work): minor for work, minor in PRICES.items()}
        entries |= {((None, "square"), "new", ""): NEW}
        keep_list(by=owner, entries=entries, from_day=batch.received_at.date(), stale=lambda: False)
        batch.lines.update(**columns)
        look(pieces_of(batch.lines.get()))
        client.force_login(bench_hand)
        answer = client.get("/bench/417-1/plan")
        return answer.context, answer.content.decode()

    return open_page


def test_each_option_has_the_price_of_its_work(plan):
    context, text = plan()
    prices = {row.does: row.price.minor for row in context["rows"]}
    assert prices == {"sides": PRICES["sides"], "end": PRICES["end"]}
    assert f"Saves {(NEW - context['price'].minor) / 100:.2f} against new" in text


def test_a_price_that_somebody_set_is_for_whatever_is_ground(plan, owner):
    context, text = plan(unit_price_minor=1_999, price_by=owner)
    assert {row.price.minor for row in context["rows"]} == {1_999}
    assert "19.99" in text
