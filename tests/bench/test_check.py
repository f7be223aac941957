"""The final check: the first piece in full, the diameter of every nth, and what becomes of them."""

import pytest

from regrind.bench.checking.actions import check
from regrind.bench.models import FinalCheck, Inspection, Reading
from regrind.geometry.units import parse
from regrind.receiving.actions import follow
from regrind.record.models import Family, Piece, Step
from regrind.record.moves import move

from .check_page import READ, WHERE, found, nth
from .tray import INCH, ground, pieces_of, ready_to_grind, send_undo

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch):
    return make_batch(12, number=417).lines.get()


def test_a_line_is_checked_and_released_at_once(line, bench_hand, hand, gauges):
    ground(line, bench_hand)
    answer = hand.send(WHERE, **READ, **nth(line), gauge=gauges["v-anvil"].pk, indicator=gauges["indicator"].pk)
    assert answer["Location"] == "/bench/417-1/checked"
    assert {(p.status, p.result) for p in pieces_of(line)} == {("released", "ground")}
    rows = list(FinalCheck.objects.order_by("piece__number"))
    assert [row.in_full for row in rows] == [True] + [False] * 11
    assert [n for n, row in enumerate(rows, 1) if row.diameter_nm] == [1, 6, 11]
    assert all(row.copied_from_id == rows[0].pk for row in rows[1:])
    assert all(row.runout_sides_nm is None for row in rows[1:])
    assert all(row.passed and row.by == bench_hand for row in rows)


def test_a_line_of_twenty_needs_at_most_six_typed_entries_at_the_check(make_batch, bench_hand, hand):
    """What is typed, beside what the page offers by itself; the distance is offered same as last time."""
    before = make_batch(1, number=416).lines.get()
    ground(before, bench_hand)
    hand.send("/bench/416-1/check", **READ)
    line = make_batch(20, number=417).lines.get()
    ground(line, bench_hand)
    pieces = {p.number: p.pk for p in pieces_of(line)}
    typed = {
        "passed": "yes",
        "diameter": ".2408",
        "drop": ".0018",
        "runout_sides": ".0002",
        **{f"diameter_{pieces[n]}": ".2408" for n in (6, 11, 16)},
    }
    assert len(typed) <= 7  # with the button that releases them
    assert hand.send(WHERE, **typed)["Location"] == "/bench/417-1/checked"
    first = FinalCheck.objects.get(piece__line=line, in_full=True)
    assert (first.drop_over_nm, first.corner, first.coating) == (254_000, "sharp", "coating ground off on the flank")
    assert Piece.objects.filter(line=line, status="released").count() == 20


def test_nothing_is_released_unless_that_is_chosen(line, bench_hand, hand):
    ground(line, bench_hand)
    refused = hand.send(WHERE, **READ | {"passed": None} | nth(line))
    assert refused.context["form"].errors["passed"] == ["Choose what becomes of them."]


def test_a_drop_needs_the_way_its_distance_was_taken(line, bench_hand, hand):
    """By hand at r = 3 mm, .25 mm, 12°: the ways differ by up to w/r, 4.8 degrees."""
    ground(line, bench_hand)
    refused = hand.send(WHERE, **READ | {"drop_way": ""} | nth(line))
    assert "Choose how the distance was taken" in refused.context["form"].errors["drop_way"][0]


@pytest.mark.parametrize(("field", "typed"), [("drop", ".1"), ("runout_end", ".2"), ("usable", "6.78")])
def test_what_looks_like_a_slip_is_kept_once_it_is_said_to_be_right(line, bench_hand, hand, field, typed):
    ground(line, bench_hand)
    pieces = {p.number: p.pk for p in pieces_of(line)}
    sent = READ | nth(line) | {field: typed, "pieces": [pieces[1], pieces[6], pieces[11]]}
    assert hand.send(WHERE, **sent).status_code == 422
    assert hand.send(WHERE, **sent, sure="on", released_because="measured twice").status_code == 302


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("diameter", "", "Read the diameter at the end of the first piece"),
        ("diameter", "0.2.5", "is not a length"),
        ("diameter", "40 in", "out of range"),
        ("drop", "5", "5 thou"),
        ("drop", ".2", "fit no relief"),
        ("drop_over", "", "nothing without the distance"),
        ("method", "micrometer", "even number of teeth"),
        ("corner", "re-formed", "Write the size"),
        ("coating", "AlTiN", "still says AlTiN only after a coater"),
        ("coating", "altin all over", "still says AlTiN"),
        ("passed", "no", "Write why"),
        ("back_1", "99", "not one ticked"),
        ("drop", ".1", "84.43° of relief"),
        ("runout_sides", ".2", "a great deal"),
        ("usable", "6.78", "usual here is from"),
        ("diameter", ".0248", "usual here is from"),
        ("back_diameter", ".0248", "and the end is"),
        ("done_at", "2001-01-01T00:00", "before the box came"),
        ("done_at", "2999-01-01T00:00", "future"),
    ],
)
def test_wrong_input_is_said_beside_the_field_and_kept(line, bench_hand, hand, field, typed, said):
    ground(line, bench_hand)
    answer = hand.send(WHERE, **(READ | nth(line) | {field: typed}), note="night shift")
    page = answer.content.decode()
    assert answer.status_code == 422
    assert said in page
    assert "night shift" in page
    assert answer.context["form"][field].value() == typed
    assert not FinalCheck.objects.exists()
    assert len(pieces_of(line, "ground")) == 12


def test_every_nth_has_to_be_measured_unless_it_is_not_ticked(line, bench_hand, hand):
    ground(line, bench_hand)
    refused = hand.send(WHERE, **READ)
    assert "Measure 1-6, or untick it: the line asks for every 5th" in refused.content.decode()
    assert hand.send(WHERE, **READ, pieces=[p.pk for p in pieces_of(line) if p.number < 6]).status_code == 302


def test_one_piece_goes_back_with_its_reason_and_the_others_are_released(line, bench_hand, hand):
    ground(line, bench_hand)
    answer = hand.send(WHERE, **READ, **nth(line), back_1="4", why_1="chatter on tooth 2")
    assert answer.status_code == 302
    assert [p.number for p in pieces_of(line, "ready_to_grind")] == [4]
    assert len(pieces_of(line, "released")) == 11
    row = FinalCheck.objects.get(piece__number=4)
    assert (row.passed, row.sent_back, row.copied_from, row.corner) == (False, "chatter on tooth 2", None, "")
    assert Step.objects.get(pair="ground>ready_to_grind").reason == "chatter on tooth 2"
    assert "1-4 was sent back by" in hand.open("/bench/417-1/grind").content.decode()
    assert "sent back: chatter on tooth 2" in hand.open("/bench/417-1/checked").content.decode()


def test_the_piece_read_in_full_cannot_be_an_exception(line, bench_hand, hand):
    ground(line, bench_hand)
    refused = hand.send(WHERE, **READ, **nth(line), back_1="1-1", why_1="short")
    assert "stands for the others" in refused.content.decode()


def test_pieces_go_back_to_grinding_as_planned(line, bench_hand, hand):
    ground(line, bench_hand)
    assert hand.send(WHERE, passed="no", sent_back="relief too small").status_code == 302
    assert len(pieces_of(line, "ready_to_grind")) == 12
    assert set(FinalCheck.objects.values_list("passed", "sent_back")) == {(False, "relief too small")}


def test_pieces_go_back_for_a_new_plan_from_the_diameter_as_it_is_now(line, bench_hand, hand, gauges):
    ground(line, bench_hand)
    needs = hand.send(WHERE, passed="anew", sent_back="a chip is left")
    assert "Read the diameter" in needs.content.decode()
    answer = hand.send(
        WHERE,
        **READ | {"passed": "anew"},
        sent_back="a chip is left",
        left_depth="1 thou",
        left_reach=".05",
        left_flutes=".69",
        gauge=gauges["v-anvil"].pk,
        indicator=gauges["indicator"].pk,
    )
    assert answer["Location"] == "/bench/417-1/plan"
    assert len(pieces_of(line, "inspected")) == 12
    row = Inspection.objects.filter(piece__number=1).order_by("revision").last()
    assert (row.revision, row.diameter_nm, row.damage, row.damage_nm) == (2, 6_116_320, "depth", 25_400)
    assert row.note == "from the check: a chip is left"
    assert Reading.objects.get(inspection=row, quantity="diameter").gauge == gauges["v-anvil"]
    assert Reading.objects.get(inspection=row, quantity="damage_depth").gauge == gauges["indicator"]
    others = Inspection.objects.filter(revision=2).exclude(pk=row.pk)
    assert {other.copied_from_id for other in others} == {row.pk}


def test_a_piece_with_its_own_diameter_is_inspected_by_itself(line, bench_hand, hand):
    ground(line, bench_hand)
    hand.send(WHERE, **READ | nth(line, p6=".2411") | {"passed": "anew", "sent_back": "a chip is left"})
    own = Inspection.objects.get(piece__number=6, revision=2)
    assert (own.copied_from, own.diameter_nm) == (None, parse(".2411 in").nm)
    assert Inspection.objects.get(piece__number=7, revision=2).copied_from.piece.number == 1


def test_a_drill_is_checked_by_its_angle_and_length(make_batch, bench_hand, hand):
    drill = Family.objects.create(kind="drill", nominal_nm=8_000_000, teeth=2, material="HSS")
    line = make_batch(3, number=440, of=drill).lines.get()
    ready_to_grind(line, bench_hand)
    ground(line, bench_hand, parts="point")
    form = hand.open("/bench/440-1/check").context["form"]
    assert "runout_sides" not in form.fields
    assert not form.nth
    refused = hand.send("/bench/440-1/check", passed="yes")
    assert refused.context["form"].errors.keys() == {"point_angle", "overall"}
    wrong = hand.send("/bench/440-1/check", passed="yes", point_angle="400", overall="4.6 in")
    assert "from 20° to 180°" in wrong.content.decode()
    assert hand.send("/bench/440-1/check", passed="yes", point_angle="118", overall="4.6 in").status_code == 302
    assert FinalCheck.objects.get(in_full=True).point_angle_cdeg == 11_800


def test_a_reamers_diameter_is_checked_not_reduced(make_batch, bench_hand, hand):
    reamer = Family.objects.create(kind="reamer", nominal_nm=INCH // 4, teeth=6, material="HSS")
    line = make_batch(1, number=441, of=reamer).lines.get()
    ground(line, bench_hand, parts="chamfer")
    refused = hand.send("/bench/441-1/check", passed="yes", diameter=".2480", chamfer_length=".06")
    assert (
        "diameter: .2480\u202fin is outside the diameter received, .2493\u202fin to .2503\u202fin"
        in refused.content.decode()
    )
    assert hand.send("/bench/441-1/check", passed="yes", diameter=".2498", chamfer_length=".06").status_code == 302
    assert found(1)["diameter as received"]["state"] == "inside"
    assert Reading.objects.get(quantity="chamfer_length").nm == parse(".06 in").nm


def test_the_same_form_sent_twice_acts_once_and_another_tablet_meets_a_conflict(line, bench_hand, hand):
    ground(line, bench_hand)
    sent, other = hand.fill(WHERE, **READ, **nth(line)), hand.fill(WHERE, **READ, **nth(line), note="mine")
    assert hand.client.post(WHERE, sent)["Location"] == hand.client.post(WHERE, sent)["Location"]
    late = hand.client.post(WHERE, other)
    assert late.status_code == 409
    assert "1-1 is released" in late.content.decode()
    assert "mine" in late.content.decode()
    assert FinalCheck.objects.count() == 12


def test_a_newer_check_of_the_same_piece_is_a_conflict(line, bench_hand, hand):
    ground(line, bench_hand)
    sent = hand.fill(WHERE, **READ, **nth(line))
    check(by=bench_hand, pieces=pieces_of(line), expected={}, typed={}, passed=False, sent_back="again")
    ground_again = pieces_of(line, "ready_to_grind")
    move(pieces=ground_again, to="ground", by=bench_hand)
    assert hand.client.post(WHERE, sent).status_code == 409
    assert not FinalCheck.objects.filter(passed=True).exists()


def test_a_check_can_be_taken_back_within_ten_minutes(line, bench_hand, hand):
    ground(line, bench_hand)
    hand.send(WHERE, **READ, **nth(line))
    page = hand.open("/bench/417-1/checked")
    send_undo(hand, page)
    assert {(p.status, p.result) for p in pieces_of(line)} == {("ground", "")}
    hand.send(WHERE, **READ, **nth(line))
    assert FinalCheck.objects.filter(revision=2).count() == 12


def test_a_followed_tool_keeps_the_diameter_it_left_with(line, bench_hand, front_desk, hand):
    follow(by=front_desk, piece=pieces_of(line)[0])
    ground(line, bench_hand)
    hand.send(WHERE, **READ, **nth(line))
    assert Piece.objects.get(number=1).tool.last_diameter_nm == 6_116_320


def test_the_front_desk_reads_the_findings_and_releases_nothing(line, bench_hand, client, front_desk):
    ground(line, bench_hand)
    client.force_login(front_desk)
    assert client.get("/bench/417-1/checked").status_code == 200
    assert client.get(WHERE).status_code == 403


def test_empty_pages_say_what_to_do_first(line, hand):
    assert "Grind it first" in hand.open(WHERE).content.decode()
    assert "Check it first" in hand.open("/bench/417-1/checked").content.decode()


@pytest.mark.parametrize("count", [1, 10, 400])
def test_queries_do_not_grow_with_the_pieces(count, make_batch, bench_hand, hand, django_assert_num_queries):
    line = make_batch(count, number=500).lines.get()
    ground(line, bench_hand)
    with django_assert_num_queries(19):
        hand.open("/bench/500-1/check")
    check(by=bench_hand, pieces=pieces_of(line), expected={}, typed={"diameter": parse(".2408 in")})
    with django_assert_num_queries(10):  # two of them for the next tray
        assert hand.open("/bench/500-1/checked").status_code == 200
