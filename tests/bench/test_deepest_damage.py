"""The deepest damage and the marks: both count, and the page asks for the tooth where no mark tells of it."""

import re

import pytest

from regrind.bench.models import Inspection
from regrind.bench.planning.allowances import usual_of
from regrind.bench.planning.case import build_case
from regrind.bench.planning.groups import group_pieces
from regrind.bench.readings import fetch_readings
from regrind.geometry.units import parse

pytestmark = pytest.mark.django_db
DEEP = {"damage_depth": ".010", "reach": ".100"}
SHALLOW = {"mark_1_tooth": "1", "mark_1_to": ".050", "mark_1_depth": ".002"}
QUESTION = "Which tooth has the deepest damage?"


@pytest.fixture
def line(make_batch):
    return make_batch(2).lines.get()


@pytest.fixture
def send(at_bench, line, inspect_typed):
    ids = list(line.pieces.order_by("number").values_list("pk", flat=True))

    def post(**more):
        return at_bench.post(f"/bench/{line}/inspect", pieces=ids, **inspect_typed | DEEP | SHALLOW | more)

    return post


def marks_planned(line) -> set[tuple[int, int, int]]:
    """(tooth, to, depth) of each mark that the plan takes."""
    row = Inspection.objects.get(copied_from=None)
    fetch_readings([row])
    case = build_case(line, row, usual_of(line.family)).case
    return {(mark.tooth, mark.to_nm, mark.depth_radial_nm) for mark in case.marks}


def nm(text: str) -> int:
    return parse(text, unit="in").nm


def test_a_mark_that_is_not_the_deepest_asks_for_the_tooth_and_stores_nothing(send):
    answer = send()
    html = answer.content.decode().replace("\u202f", " ")
    assert answer.status_code == 422
    assert QUESTION in html
    assert "The deepest damage is .0100 in deep back to .1000 in. No mark shows it. Choose its tooth." in html
    assert Inspection.objects.count() == 0


def test_the_deepest_damage_counts_beside_the_mark_on_its_tooth(send, line, at_bench):
    assert send(deepest_tooth="2").status_code == 302
    row = Inspection.objects.get(copied_from=None)
    assert {row.readings[name].tooth for name in ("damage_depth", "reach")} == {2}
    assert (row.damage_nm, row.reach_nm) == (nm(".010"), nm(".100"))
    assert marks_planned(line) == {(1, nm(".050"), nm(".002")), (2, nm(".100"), nm(".010"))}
    [group] = group_pieces(line, list(line.pieces.all()))
    for option in group.answer["options"]:  # off the end past the damage, or off the sides under it
        past = option["cut_back_mm"] >= 2.54
        under = option["diameter_mm"] <= (0.2498 - 2 * 0.010) * 25.4
        assert past or under, option
    assert "on tooth 2" in at_bench.get(f"/bench/piece/{line}-1").content.decode()


def test_a_tooth_that_nobody_knows_counts_on_every_tooth(send, line):
    assert send(deepest_tooth="0").status_code == 302
    deepest = {(tooth, nm(".100"), nm(".010")) for tooth in (1, 2, 3)}
    assert marks_planned(line) == deepest | {(1, nm(".050"), nm(".002"))}


def test_a_mark_that_is_as_deep_and_reaches_as_far_tells_all(send, line):
    assert send(mark_1_to=".100", mark_1_depth=".010").status_code == 302
    assert Inspection.objects.get(copied_from=None).readings["damage_depth"].tooth == 0
    assert marks_planned(line) == {(1, nm(".100"), nm(".010"))}


@pytest.mark.parametrize(("to", "depth"), [(".100", ".002"), (".050", ".010")])
def test_a_mark_as_deep_or_as_far_alone_is_not_enough(send, to, depth):
    assert QUESTION in send(mark_1_to=to, mark_1_depth=depth).content.decode()


def test_corners_alone_are_cut_off_with_the_end_whatever_marks_there_are(send, line):
    assert send(damage="corners", damage_depth="").status_code == 302
    row = Inspection.objects.get(copied_from=None)
    case = build_case(line, row, usual_of(line.family)).case
    assert [end.depth_axial_nm for end in case.end_marks] == [nm(".100")]
    assert [mark.depth_radial_nm for mark in case.marks] == [nm(".002")]


def test_the_question_stands_beside_marks_that_are_tapped_on_the_drawing(at_bench, line):
    where, rows = f"/bench/{line}/inspect", {f"mark_{n}_wear_land": "" for n in range(1, 7)}
    plain = at_bench.post(where, more="at:1:0", **rows).content.decode()
    assert QUESTION not in plain
    tapped = at_bench.post(where, more="at:1:0", **rows, **DEEP).content.decode()
    assert QUESTION in tapped[tapped.index('id="marks"') : tapped.index("More marks")]
    told = at_bench.post(where, more="marks", **rows, **DEEP, **SHALLOW | {"mark_1_to": ".1", "mark_1_depth": ".010"})
    assert QUESTION not in told.content.decode()


def test_a_correction_keeps_the_tooth_that_was_chosen(send, at_bench, line):
    send(deepest_tooth="3")
    first = line.pieces.order_by("number").first().pk
    html = at_bench.get(f"/bench/{line}/inspect?piece={first}").content.decode()
    assert re.search(r'name="deepest_tooth" value="3"[^>]*checked', html)


def test_a_mark_deeper_than_the_deepest_is_asked_about(send):
    answer = send(damage_depth=".004", reach=".05", mark_1_depth=".006")
    assert "Deeper than the deepest damage above" in answer.content.decode()
    assert send(damage_depth=".004", reach=".05", mark_1_depth=".006", sure="on").status_code == 302


@pytest.mark.parametrize("more", [{}, {"damage_depth": "", "reach": ""}])
def test_no_damage_and_damage_do_not_go_together(send, more):
    answer = send(damage="nothing", **more)
    assert answer.status_code == 422
    assert "yet no damage is chosen" in answer.content.decode()
