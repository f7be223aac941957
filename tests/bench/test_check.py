"""The final check: the first piece in full, the diameter of every nth, and what becomes of them."""

import json
import math

import pytest

from regrind.bench.checking import corner_and_coating
from regrind.bench.checking.actions import check
from regrind.bench.checking.findings import compare, expanded
from regrind.bench.checking.relief import find as find_relief
from regrind.bench.grinding.actions import count_back, grind, send_to_coater
from regrind.bench.inspecting.actions import inspect
from regrind.bench.models import FinalCheck, Grind, Inspection, Reading
from regrind.geometry.units import parse
from regrind.receiving.actions import follow
from regrind.record.models import Family, Line, Piece, Step
from regrind.record.moves import move
from regrind.shop.events import Refusal
from regrind.shop.models import Gauge, ShopSettings
from tests.events import undo_newest

from .tray import INCH, ground, pieces_of, ready_to_grind, send_undo

pytestmark = pytest.mark.django_db
WHERE = "/bench/417-1/check"
READ = {
    "diameter": ".2408",
    "runout_sides": ".0002",
    "drop": ".0018",
    "drop_over": ".010",
    "drop_way": "tangent",
    "passed": "yes",
}


@pytest.fixture
def line(make_batch):
    return make_batch(12, number=417).lines.get()


def nth(line, *, diameter=".2408", **own) -> dict:
    """The diameters of every 5th piece: the 6th and the 11th."""
    pieces = {p.number: p.pk for p in pieces_of(line)}
    return {f"diameter_{pieces[n]}": own.get(f"p{n}", diameter) for n in (6, 11)}


def found(piece_number: int) -> dict[str, dict]:
    row = FinalCheck.objects.filter(piece__number=piece_number).order_by("revision").last()
    return {item["what"]: item for item in json.loads(row.findings)}


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


def test_every_reading_names_its_gauge_and_its_state(line, bench_hand, hand, gauges):
    ground(line, bench_hand)
    hand.send(WHERE, **READ, **nth(line), gauge=gauges["v-anvil"].pk, indicator=gauges["indicator"].pk)
    by = dict(
        Reading.objects.filter(final_check__isnull=False, final_check__piece__number=1).values_list(
            "quantity", "gauge_name"
        )
    )
    assert by == {
        "diameter": "v-anvil 1",
        "runout_sides": "indicator 1",
        "drop": "indicator 1",
        "drop_over": "indicator 1",
    }
    assert Reading.objects.filter(final_check__piece__number=6).get().calibration == "not calibrated"


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


def test_the_findings_compare_with_plan_and_terms(line, bench_hand, hand, gauges):
    ground(line, bench_hand)
    line.shortest_nm = INCH // 2
    line.save()
    hand.send(WHERE, **READ, **nth(line), usable=".678", gauge=gauges["v-anvil"].pk)
    told = found(1)
    assert {what: item["state"] for what, item in told.items() if item["state"]} == {
        "planned diameter": "inside",
        "smallest diameter": "inside",
        "shortest usable length": "inside",
        "runout on the sides": "inside",
        "primary relief": "inside",
    }
    assert told["planned diameter"]["most_nm"] - told["planned diameter"]["least_nm"] == 2 * 12_700
    assert found(2) == {}


def test_the_uncertainty_is_the_gauges_and_decides_what_is_too_close():
    """U = 2 sqrt(u^2 + a^2/12) (JCGM 100:2008, 4.3.7 and 6.2.1); judged as ISO 14253-1 has it."""
    gauge = Gauge(resolution_nm=2_540, uncertainty_nm=1_000)
    assert expanded(gauge) == round(2 * math.sqrt(1_000**2 + 2_540**2 / 12))
    states = [compare("x", 1_000_000 + off, 1_000_000, None, 2_000)["state"] for off in (2_000, 1_999, -1_999, -2_000)]
    assert states == ["inside", "too_close", "too_close", "outside"]


def test_a_release_outside_the_plan_needs_a_word(line, bench_hand, hand):
    ground(line, bench_hand)
    typed = READ | nth(line, p11=".2390")
    refused = hand.send(WHERE, **typed)
    pieces = {p.number: p.pk for p in pieces_of(line)}
    errors = refused.context["form"].errors
    assert refused.status_code == 422
    assert errors[f"diameter_{pieces[11]}"] == [
        "planned diameter: .2390\u202fin is outside .2403\u202fin to .2413\u202fin."
    ]
    assert "why it may go back" in errors["released_because"][0]
    assert not FinalCheck.objects.exists()
    assert refused.context["form"]["diameter"].value() == ".2408"
    because = {"released_because": "the customer takes it as it is"}
    measured = [pieces[1], pieces[6], pieces[11]]
    assert hand.send(WHERE, **typed | because, pieces=measured).status_code == 302
    assert found(11)["planned diameter"]["state"] == "outside"
    assert FinalCheck.objects.get(piece=pieces[11]).released_because == because["released_because"]
    assert "released outside a limit: the customer takes it" in hand.open("/bench/417-1/checked").content.decode()


def test_what_was_not_measured_is_not_released_with_what_is_outside(line, bench_hand, hand):
    """A reason for one piece says nothing of a twin that nobody measured."""
    ground(line, bench_hand)
    refused = hand.send(WHERE, **READ | nth(line, p11=".2390"), released_because="the customer takes it")
    assert "1-2, 1-3, 1-4, 1-5, 1-7, 1-8 and 3 more were not measured" in refused.context["form"].errors["pieces"][0]
    assert not FinalCheck.objects.exists()


def test_a_relief_outside_the_window_of_the_card_is_said_beside_the_drop(line, bench_hand, hand):
    """.0005 in over .010 in is about 4°: far below 12° ± 1°. By hand: atan((r - sqrt((r-d)² - w²))/w)."""
    ground(line, bench_hand)
    refused = hand.send(WHERE, **READ | {"drop": ".0005"} | nth(line))
    r, w, d = 0.1204, 0.010, 0.0005
    by_hand = math.degrees(math.atan((r - math.sqrt((r - d) ** 2 - w * w)) / w))
    [error] = refused.context["form"].errors["drop"]
    assert error == f"primary relief: {by_hand:.1f}° is outside 11.0° to 13.0°."
    assert 'aria-invalid="true"' in refused.content.decode()


@pytest.mark.parametrize(("typed", "refused"), [(".0005", False), (".0006", True)])
def test_a_carbide_end_mills_runout_is_held_to_the_row_of_its_diameter(line, bench_hand, hand, typed, refused):
    """.0005 in for finishers of .112 in and over: a US maker's posted tolerances, read (shared/18)."""
    ground(line, bench_hand)
    answer = hand.send(WHERE, **READ | {"runout_sides": typed} | nth(line))
    assert ("runout_sides" in (answer.context["form"].errors if answer.context else {})) is refused


def test_the_customers_own_runout_goes_before_the_table(line, bench_hand, hand):
    ground(line, bench_hand)
    Line.objects.update(runout_limit_nm=25_400)
    assert hand.send(WHERE, **READ | {"runout_sides": ".0009"} | nth(line)).status_code == 302
    assert found(1)["runout on the sides"]["source"] == "the customer’s limit"


def test_without_a_limit_runout_is_told_and_not_judged(make_batch, bench_hand, hand):
    steel = Family.objects.create(kind="square", nominal_nm=INCH // 4, teeth=3, material="HSS")
    line = make_batch(1, number=430, of=steel).lines.get()
    ground(line, bench_hand)
    wide = READ | {"runout_sides": ".0019"}
    assert hand.send("/bench/430-1/check", **wide).status_code == 302
    assert "runout on the sides" not in found(1)
    assert "no limit is recorded, not judged" in hand.open("/bench/430-1/checked").content.decode()


def test_the_shops_own_runout_judges_the_other_kinds(make_batch, bench_hand, hand):
    ShopSettings.objects.create(runout_limit_nm=25_400)
    steel = Family.objects.create(kind="square", nominal_nm=INCH // 4, teeth=3, material="HSS")
    line = make_batch(1, number=430, of=steel).lines.get()
    ground(line, bench_hand)
    refused = hand.send("/bench/430-1/check", **READ | {"runout_sides": ".0019"})
    assert "is outside .0010\u202fin or less" in refused.context["form"].errors["runout_sides"][0]


def test_nothing_is_released_unless_that_is_chosen(line, bench_hand, hand):
    ground(line, bench_hand)
    refused = hand.send(WHERE, **READ | {"passed": None} | nth(line))
    assert refused.context["form"].errors["passed"] == ["Choose what becomes of them."]


def test_a_drop_needs_the_way_its_distance_was_taken(line, bench_hand, hand):
    """By hand at r = 3 mm, .25 mm, 12°: the ways differ by up to w/r, 4.8 degrees."""
    ground(line, bench_hand)
    refused = hand.send(WHERE, **READ | {"drop_way": ""} | nth(line))
    assert "Choose how the distance was taken" in refused.context["form"].errors["drop_way"][0]


@pytest.mark.parametrize(
    ("anvil", "teeth", "fits"), [(6_000, 3, True), (10_800, 5, True), (12_857, 7, True), (6_000, 5, False)]
)
def test_a_v_anvil_serves_the_teeth_that_fit_its_angle(line, bench_hand, hand, gauges, anvil, teeth, fits):
    """180° - 360°/N: 60, 108 and 128.57 degrees (shared/13)."""
    ground(line, bench_hand)
    Gauge.objects.filter(what="v-anvil").update(anvil_cdeg=anvil)
    Family.objects.update(teeth=teeth)
    answer = hand.send(WHERE, **READ | nth(line), method="v-anvil", gauge=gauges["v-anvil"].pk)
    assert (answer.status_code == 302) is fits
    if not fits:
        assert "5 teeth need 108°" in answer.context["form"].errors["gauge"][0]


def test_too_close_to_the_customers_smallest_needs_a_word(line, bench_hand, hand, gauges):
    ground(line, bench_hand)
    Line.objects.filter(pk=line.pk).update(smallest_nm=6_116_000, tolerance_nm=100_000)
    gauges["v-anvil"].uncertainty_nm = 2_000
    gauges["v-anvil"].save()
    refused = hand.send(WHERE, **READ, **nth(line), gauge=gauges["v-anvil"].pk)
    assert "too close to call against" in refused.content.decode()


def test_the_relief_is_worked_out_with_its_uncertainty(line, bench_hand, hand, gauges):
    ground(line, bench_hand)
    hand.send(WHERE, **READ, **nth(line), gauge=gauges["v-anvil"].pk, indicator=gauges["indicator"].pk)
    row = FinalCheck.objects.get(in_full=True)
    # the section by hand: height of the land at w is (r - d)^2 = (r - w tan a)^2 + w^2
    r, w, d = 0.2408 * 25.4 / 2, 0.254, 0.0018 * 25.4
    by_hand = math.degrees(math.atan((r - math.sqrt((r - d) ** 2 - w * w)) / w))
    assert row.relief_cdeg == round(by_hand * 100)
    assert row.drop_way == "tangent"
    told = found(1)["primary relief"]
    assert told["cdeg"] == row.relief_cdeg
    # half of .001 mm over .254 mm is worth about atan(.0005/.254) = .113 degrees
    assert told["half_digit_cdeg"] == pytest.approx(11, abs=1)
    assert told["expanded_cdeg"] > 0
    assert "± " in hand.open("/bench/417-1/checked").content.decode()


def test_the_handbooks_drop_gives_its_angle_back():
    """1/2 in cutter, .020 in: the handbook prints .0034 in for 12 degrees (geometry paper, from memory)."""
    found = find_relief(86_360, 508_000, "tangent", 12_700_000, None, None)
    assert found.cdeg / 100 == pytest.approx(12, abs=0.15)


def test_the_relief_is_said_while_it_is_typed(line, bench_hand, hand, gauges):
    ground(line, bench_hand)
    said = hand.open("/bench/417-1/relief", **READ, indicator=gauges["indicator"].pk)
    assert "primary relief" in said.content.decode()
    assert hand.open("/bench/417-1/relief", drop=".00").content.decode().strip() == ""
    assert "fit no relief" in hand.open("/bench/417-1/relief", **READ | {"drop": ".12"}).content.decode()


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


def test_a_method_that_does_not_fit_unequal_index_is_refused(line, bench_hand, hand):
    ground(line, bench_hand)
    Family.objects.update(unequal_index=True)
    assert hand.open(WHERE).context["form"]["method"].value() == "swept"
    refused = hand.send(WHERE, **READ, **nth(line), method="v-anvil")
    assert "evenly spaced teeth" in refused.content.decode()


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
    ground(line, bench_hand, parts="lead")
    refused = hand.send("/bench/441-1/check", passed="yes", diameter=".2480", lead=".06")
    assert "diameter as received: .2480\u202fin is outside .2493\u202fin to .2503\u202fin" in refused.content.decode()
    assert hand.send("/bench/441-1/check", passed="yes", diameter=".2498", lead=".06").status_code == 302
    assert found(1)["diameter as received"]["state"] == "inside"
    assert Reading.objects.get(quantity="lead").nm == parse(".06 in").nm


def test_a_matched_set_is_held_to_its_tolerance(line, bench_hand, hand):
    ground(line, bench_hand)
    Line.objects.update(matched=True, match_tolerance_nm=5_080)
    refused = hand.send(WHERE, **READ, **nth(line, p11=".2411"))
    assert "matched set: .0003\u202fin is outside .0002\u202fin or less" in refused.content.decode()
    assert hand.send(WHERE, **READ, **nth(line, p11=".2410")).status_code == 302
    assert found(1)["matched set"]["state"] == "inside"


def test_an_overdue_gauge_is_said_at_entry_and_after(line, bench_hand, hand):
    ground(line, bench_hand)
    old = Gauge.objects.create(
        name="Old mic", what="v-anvil", anvil_cdeg=6_000, resolution_nm=1_000, calibrated_until="2020-01-31"
    )
    form_page = hand.send(WHERE, **READ, gauge=old.pk).content.decode()
    assert "Old mic: overdue since 31 Jan 2020" in form_page
    hand.send(WHERE, **READ, **nth(line), gauge=old.pk)
    assert (
        "Old mic: overdue since 31 Jan 2020. The report will say so."
        in hand.open("/bench/417-1/checked").content.decode()
    )


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
    with django_assert_num_queries(20):
        hand.open("/bench/500-1/check")
    check(by=bench_hand, pieces=pieces_of(line), expected={}, typed={"diameter": parse(".2408 in")})
    with django_assert_num_queries(8):
        assert hand.open("/bench/500-1/checked").status_code == 200


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


def test_a_micrometer_is_never_offered_as_the_indicator(line, bench_hand, hand, gauges):
    """Core and flute length go by the micrometer as the diameter does; so does the diameter at the back."""
    micrometer, indicator = gauges["v-anvil"], gauges["indicator"]
    inspect(
        by=bench_hand,
        pieces=pieces_of(line),
        expected={},
        damage="nothing",
        gauge=micrometer,
        indicator=indicator,
        typed={
            "diameter": parse(".2498 in"),
            "tir": parse(".0002 in"),
            "core": parse(".150 in"),
            "flute_length": parse(".75 in"),
        },
    )
    move(pieces=pieces_of(line), to="ready_to_grind", by=bench_hand)
    grind(by=bench_hand, pieces=pieces_of(line), expected={}, grinds=["sides"])
    offered = hand.open(WHERE).context["form"].initial
    assert (offered["gauge"], offered["indicator"]) == (micrometer.pk, indicator.pk)


def test_nor_is_it_from_the_familys_last_check(make_batch, bench_hand, hand, gauges):
    micrometer, first = gauges["v-anvil"], make_batch(1, number=416).lines.get()
    ground(first, bench_hand)
    check(
        by=bench_hand,
        pieces=pieces_of(first),
        expected={},
        gauge=micrometer,
        typed={"diameter": parse(".2408 in"), "back_diameter": parse(".2408 in")},
    )
    ground(make_batch(1, number=418).lines.get(), bench_hand)
    assert "indicator" not in hand.open("/bench/418-1/check").context["form"].initial


def test_a_gauge_that_was_retired_meanwhile_is_kept_with_its_readings(line, bench_hand, hand, gauges):
    ground(line, bench_hand)
    sent = hand.fill(WHERE, **READ, gauge=gauges["v-anvil"].pk, indicator=gauges["indicator"].pk)
    Gauge.objects.update(in_use=False)
    again = hand.client.post(WHERE, sent)  # the diameters of the 6th and the 11th are missing
    assert again.status_code == 422
    assert "gauge" not in again.context["form"].errors
    assert f'value="{gauges["v-anvil"].pk}" selected' in again.content.decode()
    assert hand.client.post(WHERE, sent | nth(line)).status_code == 302
    assert set(Reading.objects.filter(final_check__isnull=False).values_list("gauge_name", flat=True)) == {
        "v-anvil 1",
        "indicator 1",
    }


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
        sure=True,
    )
    assert (row.grind.revision, row.grind.grinds) == (1, "end")
    assert (Grind.objects.filter(piece=piece).count(), Grind.every.filter(piece=piece).count()) == (1, 2)
