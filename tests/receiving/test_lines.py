"""Lines can be split, merged, and told to be something else at any time; the line keeps it in words."""

import pytest

from regrind.receiving import actions
from regrind.record.models import Family, Line, LineChange, Piece, Tool
from regrind.record.moves import move
from regrind.shop.events import Conflict, Refusal
from regrind.shop.models import History

pytestmark = pytest.mark.django_db
INCH = 25_400_000


@pytest.fixture
def box(make_batch):
    return make_batch(5, 3)


@pytest.fixture
def first(box):
    return box.lines.select_related("batch__customer", "family").get(number=1)


@pytest.fixture
def second(box):
    return box.lines.select_related("batch__customer", "family").get(number=2)


@pytest.fixture
def ball(db):
    return Family.objects.create(kind="ball", nominal_nm=INCH // 4, teeth=2)


def said(line: Line) -> list[tuple[str, str]]:
    return list(LineChange.objects.filter(line=line).order_by("pk").values_list("kind", "description"))


def test_pieces_split_off_keep_their_printed_numbers(front_desk, first):
    pieces = list(first.pieces.select_related("batch").filter(number__in=(2, 5)))
    fresh = actions.split_line(by=front_desk, line=first, pieces=pieces, reason="these are worse")
    assert (fresh.number, [str(p) for p in fresh.pieces.all()]) == (3, ["1-1-2", "1-1-5"])
    assert first.pieces.count() == 3
    assert said(first) == [("split", "2 pieces to line 3: 1-2, 1-5. these are worse")]
    assert said(fresh) == [("split", "2 pieces from line 1. these are worse")]


def test_a_split_line_says_what_its_line_said(front_desk, first):
    actions.change_line(
        by=front_desk,
        line=first,
        customer_tool_number="T-9",
        matched=True,
        match_tolerance_nm=12_700,
        smallest_nm=6_000_000,
        unit_price_minor=900,
    )
    fresh = actions.split_line(by=front_desk, line=first, pieces=list(first.pieces.filter(number=1)))
    assert (
        fresh.customer_tool_number,
        fresh.matched,
        fresh.match_tolerance_nm,
        fresh.smallest_nm,
        fresh.unit_price_minor,
        fresh.family_id,
    ) == ("T-9", True, 12_700, 6_000_000, 900, first.family_id)


def test_a_piece_counted_on_after_a_split_takes_no_number_twice(front_desk, first):
    fresh = actions.split_line(by=front_desk, line=first, pieces=list(first.pieces.filter(number=5)))
    actions.recount(by=front_desk, line=first, count=5, reason="one more")
    actions.recount(by=front_desk, line=fresh, count=2, reason="one more")
    numbers = [str(p) for p in Piece.objects.select_related("batch").filter(batch=first.batch)]
    assert len(set(numbers)) == len(numbers) == 10
    assert {"1-1-6", "1-3-1"} <= set(numbers)


@pytest.mark.parametrize("count", [0, 5])
def test_none_or_all_of_the_pieces_are_not_split_off(front_desk, first, count):
    with pytest.raises(Refusal, match="not none and not all"):
        actions.split_line(by=front_desk, line=first, pieces=list(first.pieces.all()[:count]))
    assert Line.objects.count() == 2


def test_a_piece_that_left_the_line_meanwhile_is_a_conflict_and_nothing_is_split(front_desk, first, second):
    pieces = list(first.pieces.select_related("batch").filter(number__in=(1, 2)))
    Piece.objects.filter(pk=pieces[0].pk).update(line=second)
    with pytest.raises(Conflict, match="1 piece left line 1-1 meanwhile"):
        actions.split_line(by=front_desk, line=first, pieces=pieces)
    assert (Line.objects.count(), first.pieces.count()) == (2, 4)


def test_a_merged_line_stays_empty_and_says_where_its_pieces_went(front_desk, first, second):
    actions.merge_lines(by=front_desk, line=second, into=first, reason="the same after all")
    assert (first.pieces.count(), second.pieces.count()) == (8, 0)
    assert said(second) == [("merged", "3 pieces into line 1. the same after all")]
    assert said(first) == [("merged", "3 pieces from line 2. the same after all")]


def test_a_line_of_another_family_says_what_its_pieces_were(front_desk, first, second, ball):
    actions.change_family(by=front_desk, line=second, family=ball)
    actions.merge_lines(by=front_desk, line=second, into=first)
    assert "until now 1/4\u202fin, 2 flutes, end mill, ball" in said(first)[0][1]


def test_a_line_is_not_merged_into_itself_or_another_box(front_desk, first, make_batch):
    with pytest.raises(Refusal, match="another line"):
        actions.merge_lines(by=front_desk, line=first, into=first)
    with pytest.raises(Refusal, match="another line"):
        actions.merge_lines(by=front_desk, line=first, into=make_batch(1).lines.get())


def test_an_empty_line_is_not_merged_again(front_desk, first, second):
    actions.merge_lines(by=front_desk, line=second, into=first)
    with pytest.raises(Refusal, match="empty already"):
        actions.merge_lines(by=front_desk, line=second, into=first)


def test_the_kind_changes_at_any_time_and_the_line_keeps_what_it_was(front_desk, first, ball):
    actions.change_family(by=front_desk, line=first, family=ball)
    first.refresh_from_db()
    assert first.family == ball
    assert said(first) == [
        (
            "kind",
            "1/4\u202fin, 3 flutes, end mill, square, carbide, AlTiN, 30° → 1/4\u202fin, 2 flutes, end mill, ball.",
        )
    ]


def test_once_a_piece_was_inspected_the_change_of_kind_needs_a_reason(front_desk, bench_hand, first, ball):
    move(pieces=[first.pieces.select_related("batch").first()], to="inspected", by=bench_hand)
    with pytest.raises(Refusal, match="write why"):
        actions.change_family(by=front_desk, line=first, family=ball)
    actions.change_family(by=front_desk, line=first, family=ball, reason="it is a ball end under the dirt")
    assert said(first)[0][1].endswith("it is a ball end under the dirt")


def test_a_kind_that_was_changed_meanwhile_is_a_conflict(front_desk, first, ball):
    Line.objects.filter(pk=first.pk).update(family=Family.objects.create(kind="drill", nominal_nm=INCH // 4))
    with pytest.raises(Conflict, match="meanwhile"):
        actions.change_family(by=front_desk, line=first, family=ball)


def test_the_followed_tools_of_a_line_go_to_its_new_family(front_desk, first, ball):
    piece = first.pieces.select_related("batch__customer", "line__family").first()
    [tool] = actions.give_tags(by=front_desk, pieces=[piece])
    actions.change_family(by=front_desk, line=first, family=ball)
    assert Tool.objects.get(pk=tool.pk).family == ball


def test_what_a_line_says_changes_and_matched_is_told_in_words(front_desk, first):
    actions.change_line(by=front_desk, line=first, matched=True, match_tolerance_nm=12_700, note="for the twin spindle")
    first.refresh_from_db()
    assert (first.matched, first.note) == (True, "for the twin spindle")
    assert said(first) == [("matched", "keep matched")]
    assert History.objects.filter(table="record_line", what="changed").latest("id").who == "Fay"


def test_lines_of_one_box_number_on(front_desk, box, family):
    numbers = [actions.log_line(by=front_desk, batch=box, family=family, count=1).number for _ in range(3)]
    assert numbers == [3, 4, 5]
