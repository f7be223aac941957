"""What a quote does not ask about stands under words that are true of it, on its page, the customer's and the paper."""

import pytest

from regrind.bench.models import Plan
from regrind.bench.planning.actions import decide
from regrind.bench.planning.groups import group_pieces
from regrind.bench.planning.parts import list_parts
from regrind.geometry.units import parse
from regrind.office.issuing import issue, read_file
from regrind.office.quote_models import Quote
from regrind.office.quotes.deciding import decide_by_link
from regrind.office.quotes.links import address_of, find_link
from regrind.office.quotes.making import make_link, make_quote
from regrind.office.quotes.settled import AGREED, BY_LIMITS, NO_LIMIT_GIVEN, PLANNED
from regrind.record.models import Line, Piece

from .conftest import pieces_of, words
from .quotes import PUBLIC, quoted

__all__ = ["quoted"]
pytestmark = pytest.mark.django_db


@pytest.fixture
def beside(quoted, look, bench_hand, front_desk):
    """beside(smallest_nm=…) -> (the box, the settled rows of a new quote): line 2 is planned beside one that waits."""

    def make(*, by_hand: bool = False, way: tuple[str, ...] = (), **limits: int):
        asked = quoted(1)
        line = Line.objects.create(batch=asked.batch, number=2, family=asked.batch.lines.get().family, **limits)
        Piece.objects.create(batch=asked.batch, original_line=2, number=1, line=line)
        pieces = pieces_of(line)
        look(pieces, "0.2498 in", typed={"flute_length": parse("0.75 in")})
        if by_hand:
            decide(by=bench_hand, pieces=pieces, expected={}, decision="grind", grinds="end")
        else:
            [group] = group_pieces(line, pieces)
            ways = [list_parts(option) for option in group.options]
            chosen = ways.index(way) if way else group.answer["recommended"]
            reason = "read twice" if group.options[chosen]["verdict"] == "ask" else ""
            decide(by=bench_hand, pieces=pieces, expected={}, decision="grind", chosen=chosen, reason=reason)
        return asked, make_quote(by=front_desk, batch=asked.batch).shown["settled"]

    return make


def test_inside_the_customers_limit_is_settled_by_it(beside):
    _, [row] = beside(smallest_nm=parse("0.2000 in").nm)
    assert Plan.objects.get(piece__line__number=2).verdict == "grind"
    assert (row["heading"], row["reason"]) == (BY_LIMITS, "")


def test_a_limit_that_nobody_gave_settles_nothing(beside, customer):
    customer.under_basis_points = customer.under_nm = customer.smallest_nm = customer.shortest_nm = None
    customer.save()
    _, [row] = beside()
    assert Plan.objects.get(piece__line__number=2).verdict == "grind"
    assert row["heading"] == NO_LIMIT_GIVEN


def test_too_close_to_the_limit_is_said_with_the_reason(beside, client, desk, front_desk):
    asked, [row] = beside(way=("end",), smallest_nm=parse("0.2498 in").nm)
    assert Plan.objects.get(piece__line__number=2).verdict == "ask"
    assert (row["heading"], row["reason"]) == (PLANNED, "too close to call: the customer's smallest diameter")
    token = make_link(by=front_desk, quote=Quote.objects.get(batch=asked.batch, number=2))
    theirs = client.get(address_of(token).removeprefix(PUBLIC)).content.decode()
    for page in (desk.get("/office/417/quotes/2").content.decode(), theirs):
        assert "too close to call" in page
        assert PLANNED in page
        assert BY_LIMITS not in page


def test_what_was_planned_by_hand_is_not_settled_by_limits(beside, client, front_desk):
    _, [row] = beside(by_hand=True, smallest_nm=parse("0.2000 in").nm)
    assert (row["heading"], row["reason"]) == (PLANNED, "decided by hand")
    paper = words(read_file(issue(by=front_desk, kind="quote", number="417/2")))
    assert "decided by hand" in paper
    assert BY_LIMITS not in paper


def test_what_the_customer_agreed_to_is_said_so_in_a_later_quote(quoted, look, bench_hand, front_desk):
    asked = quoted(1, 1)
    first = asked.rows[0]
    decide_by_link(link=find_link(asked.token), who="Ann", note="", ways={first.pk: asked.way("end")})
    [row] = make_quote(by=front_desk, batch=asked.batch).shown["settled"]
    assert (row["heading"], row["words"]) == (AGREED, "end")
