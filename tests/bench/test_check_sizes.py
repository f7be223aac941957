"""A check of pieces that are planned to two sizes: each size has a piece of its own in full, and none follows another.

The sizes are those of the worked example's first and second option: .2408 in and .2466 in.
"""

import pytest

from regrind.bench.checking.actions import check
from regrind.bench.models import FinalCheck, Inspection
from regrind.geometry.units import parse
from regrind.shop.events import Refusal

from .check_page import READ, WHERE
from .tray import ground, pieces_of, ready_to_grind, send_undo

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch, bench_hand):
    """Pieces 1 and 3 to 6 are planned to .2408 in, 2 and 7 to 12 to .2466 in."""
    line = make_batch(12, number=417).lines.get()
    pieces = pieces_of(line)
    ready_to_grind(line, bench_hand, pieces=[pieces[0], *pieces[2:6]])
    ready_to_grind(line, bench_hand, pieces=[pieces[1], *pieces[6:]], option=1)
    ground(line, bench_hand)
    return line


def suffix(hand) -> str:
    return hand.open(WHERE).context["form"].blocks[1].suffix


def both(hand, line, **own) -> dict:
    """What is typed where each size is read in full, with its every fifth."""
    end, eleven = suffix(hand), pieces_of(line)[10].pk
    second = {f"{name}{end}": value for name, value in READ.items() if name != "passed"}
    return {**READ, **second, f"diameter{end}": ".2466", f"diameter_{eleven}": ".2466", **own}


def test_each_size_has_its_own_piece_in_full_and_the_others_follow_their_own_size(line, hand):
    assert hand.send(WHERE, **both(hand, line))["Location"] == "/bench/417-1/checked"
    rows = {row.piece.number: row for row in FinalCheck.objects.select_related("copied_from__piece", "piece")}
    assert [n for n, row in sorted(rows.items()) if row.in_full] == [1, 2]
    followed = {n: row.copied_from.piece.number for n, row in rows.items() if row.copied_from}
    assert followed == dict.fromkeys((3, 4, 5, 6), 1) | dict.fromkeys((7, 8, 9, 10, 11, 12), 2)
    assert (rows[1].relief_cdeg is None, rows[2].relief_cdeg is None) == (False, False)
    assert len({row.event_id for row in rows.values()}) == 1
    page = hand.open("/bench/417-1/checked").content.decode()
    assert "1-1, in full" in page
    assert "1-2, in full" in page
    send_undo(hand, hand.open("/bench/417-1/checked"))
    assert len(pieces_of(line, "ground")) == 12


def test_the_page_names_the_piece_the_size_and_how_many_are_released(line, hand):
    page = hand.open(WHERE)
    assert [block.legend() for block in page.context["form"].blocks] == [
        "1-1 in full, for the 5 planned to .2408\u202fin",
        "1-2 in full, for the 7 planned to .2466\u202fin",
    ]
    assert "Save, and release all 12 (3 measured)" in page.content.decode()
    alone = hand.open(WHERE, piece=pieces_of(line)[6].pk)
    assert len(alone.context["form"].blocks) == 1
    assert "Save and release 1-7" in alone.content.decode()


def test_a_size_that_was_not_read_is_not_released_with_another(line, hand, bench_hand):
    refused = hand.send(WHERE, **both(hand, line) | {f"diameter{suffix(hand)}": ""})
    assert refused.context["form"].errors[f"diameter{suffix(hand)}"] == ["Read the diameter at the end of 1-2."]
    with pytest.raises(Refusal, match=r"1-2 is planned to \.2466\u202fin, another size than the first"):
        check(by=bench_hand, pieces=pieces_of(line), expected={}, typed={"diameter": parse(".2408 in")})
    assert not FinalCheck.objects.exists()


def test_each_size_is_compared_with_its_own_plan(line, hand):
    end = suffix(hand)
    refused = hand.send(WHERE, **both(hand, line) | {f"diameter{end}": ".2408"})
    assert "diameter: .2408\u202fin is outside the planned" in refused.context["form"].errors[f"diameter{end}"][0]
    assert "diameter" not in refused.context["form"].errors


def test_one_size_alone_is_checked_where_only_its_pieces_are_ticked(line, hand):
    end, large = suffix(hand), [p.pk for p in pieces_of(line) if p.number in (2, 7, 8)]
    typed = {f"diameter{end}": ".2466", f"drop{end}": "", f"runout_sides{end}": ".0002"}
    assert hand.send(WHERE, passed="yes", pieces=large, **typed).status_code == 302
    first = FinalCheck.objects.get(in_full=True)
    assert (first.piece.number, first.runout_sides_nm) == (2, 5_080)
    assert set(FinalCheck.objects.exclude(pk=first.pk).values_list("copied_from", flat=True)) == {first.pk}


def test_the_first_of_neither_size_can_be_an_exception(line, hand):
    refused = hand.send(WHERE, **both(hand, line, back_1="2", why_1="short"))
    assert "1-2 is read in full" in refused.content.decode()


def test_each_size_is_planned_anew_from_its_own_diameter(line, hand):
    hand.send(WHERE, **both(hand, line, passed="anew", sent_back="a chip is left"))
    anew = {row.piece.number: row for row in Inspection.objects.filter(revision=2).select_related("copied_from")}
    assert (anew[3].copied_from_id, anew[7].copied_from_id) == (anew[1].pk, anew[2].pk)
    assert (anew[1].diameter_nm, anew[2].diameter_nm) == (parse(".2408 in").nm, parse(".2466 in").nm)


def test_the_relief_of_each_size_is_shown_as_it_is_typed(line, hand):
    end, block = suffix(hand), hand.open(WHERE).context["form"].blocks[1]
    typed = {f"{name}{end}": READ[name] for name in ("drop", "drop_over", "drop_way")}
    page = hand.open("/bench/417-1/relief", size=block.planned_nm, **typed, **{f"diameter{end}": ".2466"})
    assert "primary relief" in page.content.decode()
