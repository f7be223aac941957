"""The report's table says what was measured of no piece once, in words, and what was saved against buying new."""

import re
from datetime import date

import pytest
from django.utils import timezone

from regrind.bench.checking.actions import check
from regrind.bench.grinding.actions import grind
from regrind.bench.planning.actions import decide
from regrind.geometry.units import parse
from regrind.office.issuing import issue, read_file
from regrind.office.models import IssuedPaper
from regrind.office.papers.drafts import draft
from regrind.record.customer_savings import sum_savings
from regrind.record.models import Customer, Rate
from tests.events import make_event

from .conftest import pieces_of, words

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("sums")]


@pytest.fixture
def new_price(front_desk):
    """A new tool of any kind costs 38.00 from the first day on."""
    return Rate.objects.create(
        what="new",
        kind="",
        operation="",
        amount=3_800,
        from_day=date(2020, 1, 1),
        event=make_event(front_desk),
        currency="USD",
    )


def said(number):
    return words(draft("report", number).draw())


def test_what_was_measured_of_no_piece_is_said_once_and_leaves_no_dashes(make_batch, finish):
    finish(make_batch(12, number=470).lines.get())
    text = said("470")
    assert text.count("Not measured as received: overall length, usable length, runout, relief.") == 1
    assert "Not measured after grinding" not in text
    assert " – " not in text
    assert text.count("not measured · ") == 1
    assert "1-2 to 1-12 11 pieces ground not measured · " in text


def test_a_dash_stays_where_another_piece_of_the_line_was_measured_and_this_one_not(make_batch, look):
    pieces = pieces_of(make_batch(2, number=471).lines.get())
    look(pieces[:1], typed={"flute_length": parse("0.75 in")})
    look(pieces[1:], "0.2490 in")
    text = said("471")
    assert "Not measured as received: overall length, runout, relief." in text
    row = text[text.index("1-2 on hand before .2490 (6.325)") : text.index("Instruments")]
    assert row.count(" –") == 1  # the usable length, which the first piece has


def test_stock_off_a_side_stands_on_the_first_page_and_only_where_sides_were_ground(make_batch, finish):
    finish(make_batch(2, number=472).lines.get(), "0.2498 in", "0.2405 in")
    line = draft("report", "472").values.lines[0]
    assert line.other.replace("\u202f", " ").startswith(".00465 in (0.1181 mm) off the radius")


def test_a_figure_of_the_line_names_the_piece_it_was_read_on(make_batch, finish):
    line = make_batch(3, number=431).lines.get()
    pieces = pieces_of(line)
    finish(line, pieces=pieces[:2])
    finish(line, "0.2487 in", "0.2391 in", pieces=pieces[2:])
    [row] = draft("report", "431").values.lines
    words = row.other.replace("\u202f", " ")
    assert re.search(r" off the radius on 1-1, 1-3;", words)
    assert re.search(r"primary relief [\d.]+° on 1-1, [\d.]+° on 1-3;", words)
    assert re.search(r"runout .* on 1-1, .* on 1-3", words)


def test_what_was_saved_is_the_record_s_own_sum_in_the_shop_s_money(make_batch, finish, new_price):
    line = make_batch(3, number=473).lines.get()
    line.unit_price_minor = 1_050
    line.save(update_fields=["unit_price_minor"])
    finish(line)
    savings = sum_savings(line.batch.customer)
    assert (savings.tools, savings.saved_minor) == (3, 3 * (3_800 - 1_050))
    text = said("473")
    assert "Saved against buying new" in text
    assert "3 tools received. Of 3 finished, 3 were reground without a complaint." in text
    assert "saved you 82.50 USD after our charges, counting the 3 tools whose new price we know" in text
    Customer.objects.update(decimal_mark=",")
    assert "saved you 82,50 USD" in said("473")


def test_a_dear_regrind_is_not_called_a_saving(make_batch, finish, new_price):
    line = make_batch(1, number=474).lines.get()
    line.unit_price_minor = 5_000
    line.save(update_fields=["unit_price_minor"])
    finish(line)
    text = said("474")
    assert "cost you 12.00 USD more" in text
    assert "saved you" not in text


def test_nothing_is_said_of_savings_where_no_new_price_is_known(make_batch, finish):
    finish(make_batch(1, number=475).lines.get())
    assert draft("report", "475").values.saved == ""
    assert "buying new" not in said("475")


def test_a_later_box_makes_no_new_revision_of_an_earlier_report(make_batch, finish, front_desk, new_price):
    def priced(number):
        line = make_batch(2, number=number).lines.get()
        line.unit_price_minor = 1_000
        line.save(update_fields=["unit_price_minor"])
        finish(line)

    priced(476)
    first = issue(by=front_desk, kind="report", number="476")
    before = read_file(first)
    priced(477)
    assert "saved you 112.00 USD" in said("476")  # as of today both boxes count
    again = issue(by=front_desk, kind="report", number="476")
    assert (again.pk, read_file(again)) == (first.pk, before)
    assert "saved you 56.00 USD" in words(before)
    assert IssuedPaper.objects.filter(kind="report", issued_at__lte=timezone.now()).count() == 1


@pytest.mark.parametrize(
    ("grinds", "cut_back_nm"), [(["sides"], None), (["sides", "end"], 508_000), (["end"], 508_000)]
)
def test_nothing_is_cut_back_where_only_the_sides_were_ground(
    make_batch, look, bench_hand, gauges, wheel, holding, grinds, cut_back_nm
):
    """The plan was to take .0200 in off the end; the report says so only of an end that was ground."""
    line = make_batch(1, number=479).lines.get()
    pieces = pieces_of(line)
    look(pieces)
    decide(
        by=bench_hand,
        pieces=pieces,
        expected={},
        decision="grind",
        diameter_nm=parse("0.2405 in").nm,
        cut_back_nm=508_000,
        usable_nm=17_000_000,
        grinds="sides end",
    )
    grind(by=bench_hand, pieces=pieces, expected={}, grinds=grinds, wheel=wheel, holding=holding)
    check(
        by=bench_hand,
        pieces=pieces,
        expected={},
        corner="sharp",
        drop_way="tangent",
        typed={"diameter": parse("0.2405 in")},
        gauge=gauges["v-anvil"],
        indicator=gauges["indicator"],
    )
    [row] = draft("report", "479").values.lines[0].pieces
    assert (row.result, row.done) == ("ground", " and ".join(grinds))
    assert (row.cut_back.nm if row.cut_back else None) == cut_back_nm
