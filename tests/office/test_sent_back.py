"""A piece that the check sent back to a new plan came as it came: nobody is told the size it had half ground."""

import pytest

from regrind.bench.checking.actions import Again, check
from regrind.bench.grinding.actions import grind
from regrind.bench.models import Inspection
from regrind.bench.pages.life import list_visits
from regrind.bench.planning.actions import decide
from regrind.bench.revisions import newest
from regrind.geometry.units import parse
from regrind.office.papers.drafts import draft
from regrind.record.models import Tool
from regrind.review.filters import ReviewFilter
from regrind.review.piece_facts import read_facts

from .conftest import pieces_of

pytestmark = pytest.mark.django_db
CAME, HALF, LEFT = "0.2498 in", "0.2450 in", "0.2400 in"


@pytest.fixture
def twice(make_batch, look, bench_hand, gauges):
    """A tool that came with .2498 in, was ground to .2450 in, planned anew from there, and left with .2400 in."""
    line = make_batch(1, number=480).lines.get()

    def ground_to(diameter: str, seen: int) -> None:
        pieces = pieces_of(line)
        mine = {piece.pk: seen for piece in pieces}
        decide(
            by=bench_hand,
            pieces=pieces,
            expected=mine,
            decision="grind",
            diameter_nm=parse(diameter).nm,
            grinds="sides",
        )
        grind(by=bench_hand, pieces=pieces_of(line), expected=mine, grinds=["sides"])

    def checked(diameter: str, seen: int, **more) -> None:
        pieces = pieces_of(line)
        check(
            by=bench_hand,
            pieces=pieces,
            expected={piece.pk: seen for piece in pieces},
            corner="sharp",
            typed={"diameter": parse(diameter)},
            gauge=gauges["v-anvil"],
            coating="ground off on the flank",
            **more,
        )

    look(pieces_of(line), CAME)
    ground_to(HALF, 0)
    checked(HALF, 0, passed=False, sent_back="a chip is left", again=Again())
    ground_to(LEFT, 1)
    checked(LEFT, 1)
    return line


def test_the_report_tells_how_it_came_and_all_that_was_taken_off(twice):
    [piece] = draft("report", "480").values.lines[0].pieces
    assert piece.before.diameter.nm == parse(CAME).nm
    assert piece.after.diameter.nm == parse(LEFT).nm
    assert piece.removed_radial.nm == (parse(CAME).nm - parse(LEFT).nm) // 2


def test_so_does_the_tools_life_on_its_page_and_on_paper(twice):
    assert newest(Inspection, pieces_of(twice)).popitem()[1].diameter_nm == parse(HALF).nm
    twice.pieces.update(tool=Tool.objects.create(tag="2345AB", customer=twice.batch.customer, family=twice.family))
    [piece] = pieces_of(twice)
    [(_, visit)] = list_visits(piece)
    [life] = draft("report", "480").values.life
    assert (visit.received_nm, visit.returned_nm) == (parse(CAME).nm, parse(LEFT).nm)
    assert [point.diameter.nm for point in life.points] == [parse(CAME).nm, parse(LEFT).nm]


def test_so_do_the_familys_pictures(twice):
    [fact] = read_facts(twice.family, ReviewFilter()).pieces
    assert (fact.came_nm, fact.left_nm) == (parse(CAME).nm, parse(LEFT).nm)
