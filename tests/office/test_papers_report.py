"""The returned-tool report: every piece, people and instruments, a life over visits, what was saved."""

from datetime import date

import pytest

from regrind.bench.checking.actions import check
from regrind.bench.grinding.actions import grind
from regrind.bench.models import Plan
from regrind.bench.planning.actions import decide
from regrind.geometry.units import parse
from regrind.office.issuing import draft
from regrind.office.papers import report_pieces
from regrind.office.papers.common import coating_now, gather
from regrind.receiving.actions import follow
from regrind.record.models import Customer, Line, Piece
from regrind.record.rate_changes import keep_rates
from regrind.record.rollup_rebuild import rebuild
from tests.events import make_event

from .conftest import pieces_of
from .paper_words import said

pytestmark = pytest.mark.django_db


def in_words(number):
    """The numbers that `1-2, 1-4 to 1-6` names."""
    for part in number.split(", "):
        first, _, last = part.partition(" to ")
        low = int(first.split("-")[1])
        yield from range(low, int(last.split("-")[1]) + 1 if last else low + 1)


@pytest.mark.parametrize("count", [1, 40, 400])
def test_the_report_lists_every_piece_and_adds_up(make_batch, finish, count):
    line = make_batch(count, number=426).lines.get()
    finish(line)
    report = draft("report", "426").values
    assert sum(piece.count for one in report.lines for piece in one.pieces) == count == report.lines[0].ground
    text = said("report", "426")
    assert report.lines[0].pieces[0].number == "1-1"
    named = [k for one in report.lines[0].pieces for k in in_words(one.number)]
    assert named == list(range(1, count + 1))
    for piece in report.lines[0].pieces:
        assert f"{piece.number} " in text
    assert text.count("End of returned-tool report 426") == 1


def test_the_report_names_people_instruments_and_what_was_assumed(make_batch, finish):
    finish(make_batch(3, number=427).lines.get())
    text = said("report", "427")
    for part in (
        "Measured by Bea",
        "Released by Bea",
        "v-anvil 1",
        "not calibrated",
        "1-2, 1-3 taken to be like 1-1 as received, not measured one by one",
        "1-2, 1-3 taken to be like 1-1 after grinding, not measured one by one",
    ):
        assert part in text
    piece = draft("report", "427").values.lines[0].pieces
    assert piece[0].removed_radial.nm == 118_110  # half of .2498 less .2405, which is .00465 in
    assert ".00465" in text or ".0047" in text
    assert piece[1].after.diameter is None


def test_a_marked_diameter_is_printed_as_assumed(make_batch, look, bench_hand):
    line = make_batch(1, number=428).lines.get()
    look(pieces_of(line), "0.25 in", diameter_source="marked")
    decide(by=bench_hand, pieces=pieces_of(line), expected={}, decision="grind", diameter_nm=6_100_000, grinds="sides")
    assert ".2500 (6.350) assumed" in said("report", "428")
    assert "as marked on the tool" in said("report", "428")
    assert "assumed" in said("job_sheet", "428")


def test_regrinds_left_stand_only_where_the_customer_wants_them(make_batch, finish):
    finish(make_batch(1, number=429).lines.get())
    plan = Plan.objects.get()
    Plan.objects.bulk_create(
        [
            Plan(
                piece=plan.piece,
                revision=2,
                event=make_event(plan.by),
                decision="grind",
                regrinds_left=4,
                diameter_nm=plan.diameter_nm,
                cut_back_nm=plan.cut_back_nm,
            )
        ]
    )
    assert "about 4" not in said("report", "429")
    Customer.objects.update(regrinds_left_on_report=True)
    assert "about 4" in said("report", "429")


def test_a_followed_tool_has_its_life_over_two_visits(make_batch, finish, front_desk):
    first = make_batch(2, number=430).lines.get()
    tool = follow(by=front_desk, piece=pieces_of(first)[0])
    finish(first, "0.2498 in", "0.2450 in")
    second = make_batch(1, number=431).lines.get()
    Piece.objects.filter(line=second).update(tool=tool)
    finish(second, "0.2448 in", "0.2400 in")
    text = said("report", "431")
    assert f"Life of {tool.tag}" in text
    for figure in (".2498", ".2450", ".2448", ".2400"):
        assert figure in text
    assert ".2400" not in said("report", "430")  # an earlier report does not grow a later visit


def test_the_report_gives_the_overall_length_before_where_it_was_read(make_batch, worked):
    worked(make_batch(2, number=448).lines.get(), overall=parse("2.49 in"))
    first, second = draft("report", "448").values.lines[0].pieces
    assert first.before.overall_length.nm == 63_246_000
    assert second.before.overall_length is None


def test_a_report_says_what_all_the_customers_tools_saved_against_buying_new(make_batch, finish, owner, family):
    """Twelve good ones at 7.50 against new ones at 30.00: 12 × 22.50. Nothing while no price of a new one is known."""
    finish(make_batch(12, number=417).lines.get())
    assert "buying new" not in said("report", "417")
    Line.objects.update(unit_price_minor=750)
    keep_rates(by=owner, scope=(family.pk, ""), amounts={("new", ""): 3000}, from_day=date(2000, 1, 1), seen=0)
    rebuild()
    make_batch(3, number=418)
    rebuild()
    text = said("report", "417")
    assert "15 tools received. Of 12 finished, 12 were reground without a complaint." in text
    assert "saved you 270.00 USD after our charges, counting the 12 tools whose new price we know" in text


def test_the_report_tells_the_flank_that_was_ground_in_an_earlier_setup(make_batch, look, bench_hand, gauges):
    line = make_batch(1, number=417).lines.get()
    look(pieces_of(line))
    decide(
        by=bench_hand,
        pieces=pieces_of(line),
        expected={},
        decision="grind",
        diameter_nm=parse("0.2405 in").nm,
        cut_back_nm=508_000,
        usable_nm=17_000_000,
        grinds="sides end",
    )
    grind(by=bench_hand, pieces=pieces_of(line), expected={}, grinds=["sides"], follows=True)
    [piece] = pieces_of(line)
    grind(by=bench_hand, pieces=[piece], expected={piece.pk: 1}, grinds=["end"])
    check(
        by=bench_hand,
        pieces=pieces_of(line),
        expected={},
        typed={"diameter": parse("0.2405 in")},
        gauge=gauges["v-anvil"],
    )
    rows = gather(pieces_of(line))
    [piece] = pieces_of(line)
    assert rows.ground == {piece.pk: ("sides", "end")}
    assert report_pieces.removed(piece, rows).nm == (6_344_920 - 6_108_700) // 2
    assert "sides and end" in said("report", "417")
    assert coating_now(rows, piece) == "ground off on the flank"
