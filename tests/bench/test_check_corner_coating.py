"""Corner and coating at the final check follow what was ground, and what a coater put on."""

import pytest

from regrind.bench.checking import corner_and_coating
from regrind.bench.checking.actions import check
from regrind.bench.grinding.actions import count_back, grind, send_to_coater
from regrind.bench.models import FinalCheck, Grind
from regrind.geometry.units import parse
from regrind.record.models import Family, Line
from regrind.record.moves import move
from regrind.shop.events import Refusal
from tests.events import undo_newest

from .check_page import READ, WHERE, nth
from .tray import INCH, ground, pieces_of, ready_to_grind

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch):
    return make_batch(12, number=417).lines.get()


def test_a_radius_whose_sides_were_ground_is_no_longer_as_it_was(make_batch, bench_hand, hand):
    for kind, number in (("radius", 430), ("ball", 431)):
        family = Family.objects.create(kind=kind, nominal_nm=INCH // 4, teeth=3, corner_radius_nm=500_000)
        line = make_batch(1, number=number, of=family).lines.get()
        ground(line, bench_hand)
        assert hand.open(f"/bench/{number}-1/check").context["form"]["corner"].value() == ""
        refused = hand.send(f"/bench/{number}-1/check", **READ, corner="as it was")
        assert "no longer the radius it was" in refused.content.decode()
        assert "corner" in refused.context["form"].errors
        with pytest.raises(Refusal, match="no longer the radius"):
            check(
                by=bench_hand,
                pieces=pieces_of(line),
                expected={},
                typed={"diameter": parse(".2408 in")},
                corner="as it was",
            )
        done = hand.send(f"/bench/{number}-1/check", **READ, corner="re-formed", corner_size=".015")
        assert done.status_code == 302
    assert {(row.corner, row.corner_nm) for row in FinalCheck.objects.all()} == {("re-formed", 381_000)}


def test_a_radius_whose_end_alone_was_ground_may_not_be_offered_but_may_be_said(make_batch, bench_hand, hand):
    family = Family.objects.create(kind="radius", nominal_nm=INCH // 4, teeth=3, corner_radius_nm=500_000)
    line = make_batch(1, number=430, of=family).lines.get()
    ground(line, bench_hand, parts="face")
    assert hand.open("/bench/430-1/check").context["form"]["corner"].value() == "as it was"
    assert hand.send("/bench/430-1/check", **READ).status_code == 302


def test_a_recoated_tool_says_its_coating_again(line, bench_hand, hand):
    pieces = ground(line, bench_hand)
    send_to_coater(by=bench_hand, batch=line.batch, pieces=pieces, number="1", coater="Brightcoat", coating="AlTiN")
    count_back(by=bench_hand, pieces=pieces)
    assert hand.open(WHERE).context["form"]["coating"].value() == "AlTiN"
    assert hand.send(WHERE, **READ, **nth(line)).status_code == 302
    assert set(FinalCheck.objects.values_list("coating", flat=True)) == {"AlTiN"}


def test_a_coater_that_was_taken_back_coats_nothing(line, bench_hand, hand):
    pieces = ground(line, bench_hand)
    send_to_coater(by=bench_hand, batch=line.batch, pieces=pieces, number="1", coater="Brightcoat", coating="AlTiN")
    undo_newest(pieces, bench_hand)
    assert hand.open(WHERE).context["form"]["coating"].value() == "coating ground off on the flank"


def test_a_check_belongs_to_the_grind_it_followed(line, bench_hand, hand):
    ground(line, bench_hand)
    hand.send(WHERE, **READ, **nth(line))
    assert {row.grind_id for row in FinalCheck.objects.all()} == set(Grind.objects.values_list("pk", flat=True))


def test_a_flank_that_was_ground_in_an_earlier_setup_is_not_forgotten(make_batch, bench_hand, hand):
    """The end alone went into the second setup: the flank is bare all the same, and its radius gone."""
    for kind, number in (("square", 430), ("radius", 431)):
        family = Family.objects.create(
            kind=kind,
            nominal_nm=INCH // 4,
            teeth=3,
            coating="AlTiN",
            material="carbide",
            corner_radius_nm=500_000 if kind == "radius" else None,
        )
        line = make_batch(1, number=number, of=family).lines.get()
        ready_to_grind(line, bench_hand)
        grind(by=bench_hand, pieces=pieces_of(line), expected={}, grinds=["sides"], follows=True)
        [piece] = pieces_of(line)
        grind(by=bench_hand, pieces=[piece], expected={piece.pk: 1}, grinds=["end"])
    form = hand.open("/bench/430-1/check").context["form"]
    assert form["coating"].value() == "coating ground off on the flank"
    assert "coating" in hand.send("/bench/430-1/check", **READ, coating="AlTiN").context["form"].errors
    assert "corner" in hand.send("/bench/431-1/check", **READ, corner="as it was").context["form"].errors
    with pytest.raises(Refusal, match="only after a coater"):
        check(
            by=bench_hand,
            pieces=pieces_of(Line.objects.get(batch__number=430)),
            expected={},
            typed={"diameter": parse(".2408 in")},
            coating="AlTiN",
        )


def test_pieces_whose_flank_was_ground_are_not_released_by_what_holds_for_the_end_alone(make_batch, bench_hand, hand):
    line = make_batch(3, number=430).lines.get()
    ready_to_grind(line, bench_hand)
    first, *others = pieces_of(line)
    grind(by=bench_hand, pieces=[first], expected={}, grinds=["end"])
    grind(by=bench_hand, pieces=others, expected={}, grinds=["sides", "end"])
    assert hand.open("/bench/430-1/check").context["form"]["coating"].value() == "coating ground off on the end"
    refused = hand.send("/bench/430-1/check", **READ)
    assert refused.context["form"].errors["coating"][0].startswith("1-2: The flank was ground as well")
    assert not FinalCheck.objects.exists()
    assert hand.send("/bench/430-1/check", **READ, pieces=[first.pk]).status_code == 302
    assert hand.send("/bench/430-1/check", **READ).status_code == 302
    assert list(FinalCheck.objects.order_by("piece__number").values_list("coating", flat=True)) == [
        "coating ground off on the end",
        *["coating ground off on the flank"] * 2,
    ]


def test_a_coating_that_is_gone_altogether_may_be_said_so(line):
    assert corner_and_coating.wrong_coating(line.family, ("sides", "end"), "coating ground off all over", False) == ""
    assert corner_and_coating.wrong_coating(line.family, ("sides", "end"), "coating ground off on the end", False)


def test_a_check_rests_on_the_grind_that_happened(make_batch, bench_hand):
    """Back to the grinder, a setup that another was to follow, and both taken back: the first grind stands alone."""
    line = make_batch(1, number=418).lines.get()
    [piece] = ground(line, bench_hand, parts="end")
    move(pieces=[piece], to="ready_to_grind", by=bench_hand)
    grind(by=bench_hand, pieces=pieces_of(line), expected={piece.pk: 1}, grinds=["sides"], follows=True)
    undo_newest(pieces_of(line), bench_hand)
    undo_newest(pieces_of(line), bench_hand)
    [row] = check(
        by=bench_hand,
        pieces=pieces_of(line),
        expected={},
        typed={"diameter": parse(".2408 in")},
        corner="sharp",
    )
    assert (row.grind.revision, row.grind.grinds) == (1, "end")
    assert (Grind.objects.filter(piece=piece).count(), Grind.every.filter(piece=piece).count()) == (1, 2)
