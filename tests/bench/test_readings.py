"""A reading is kept in one place, with the text as typed; the plan is built of it and stored by the action itself."""

import json

import pytest
from django.db import IntegrityError, transaction

from regrind.bench.inspecting.actions import inspect
from regrind.bench.models import FinalCheck, Inspection, Plan, Reading
from regrind.bench.planning.actions import decide
from regrind.bench.planning.allowances import usual_of
from regrind.bench.planning.case import build_case
from regrind.bench.planning.groups import group_pieces
from regrind.bench.readings import Angle, Entry, Mark, fetch_readings, make_reading
from regrind.bench.revisions import newest
from regrind.geometry.case import read
from regrind.geometry.inputs import EndMark
from regrind.geometry.inputs import Mark as DrawnMark
from regrind.geometry.units import parse
from regrind.shop.events import Conflict, Refusal
from regrind.shop.fields.lengths import LengthField
from regrind.shop.models import ShopSettings

from .tray import pieces_of

pytestmark = pytest.mark.django_db
TYPED = {"diameter": ".2498 in", "core": ".150 in", "flute_length": "3/4 in", "end_depth": "10 thou"}
TYPED |= {"drop": ".0025 in", "drop_over": ".02 in"}  # 11.76° along the ground land


@pytest.fixture
def line(make_batch):
    return make_batch(3, number=417).lines.get()


@pytest.fixture
def seen(line, bench_hand, gauges) -> Inspection:
    """Everything that an inspection can hold."""
    rows = inspect(
        by=bench_hand,
        pieces=pieces_of(line),
        expected={},
        damage="depth",
        method="v-anvil",
        typed={name: parse(text) for name, text in TYPED.items()},
        angles={"rake": Angle(750, "7,5")},
        each_tooth=[parse(text) for text in ("0 in", "-2 tenths", "-4 tenths")],
        gauge=gauges["v-anvil"],
        indicator=gauges["indicator"],
        drop_way="land",
        marks=[
            Mark(1, 2, parse(".06 in"), depth=parse("4 thou"), description="chip"),
            Mark(2, 1, parse(".3 in"), start=parse(".01 in"), wear_land=parse("6 thou")),
        ],
    )
    return rows[0]


def test_no_measurement_and_no_typed_text_stands_beside_its_reading(seen):
    for model in (Inspection, FinalCheck):
        assert not [field for field in model._meta.concrete_fields if isinstance(field, LengthField)]
    kept = json.dumps(list(Inspection.objects.values()), default=str)
    assert not [row.text for row in seen.readings.values() if row.text in kept]


def test_each_reading_says_what_where_and_with_what(seen):
    rows = {row.field: row for row in Reading.objects.filter(inspection=seen)}
    assert {name: rows[name].text for name in TYPED} == TYPED
    assert (rows["rake"].cdeg, rows["rake"].nm, rows["rake"].text, rows["rake"].unit) == (750, None, "7,5", "deg")
    assert [(rows[f"tooth_{n}"].tooth, rows[f"tooth_{n}"].nm) for n in (1, 2, 3)] == [(1, 0), (2, -5_080), (3, -10_160)]
    assert {(rows[name].mark, rows[name].tooth, rows[name].description) for name in ("mark_1_to", "mark_1_depth")} == {
        (1, 2, "chip")
    }
    assert {name: row.gauge_name for name, row in rows.items() if row.gauge_name} == {
        "diameter": "v-anvil 1",
        "core": "v-anvil 1",
        "flute_length": "v-anvil 1",
        "end_depth": "indicator 1",
        "drop": "indicator 1",
        "tooth_1": "indicator 1",
        "tooth_2": "indicator 1",
        "tooth_3": "indicator 1",
        "mark_1_depth": "indicator 1",
        "mark_2_wear_land": "indicator 1",
    }


def test_the_same_is_not_read_twice_and_is_a_length_or_an_angle(seen):
    again = make_reading(seen, Entry("diameter", parse(".2499 in")), None)
    both = make_reading(seen, Entry("land", parse(".01 in")), None)
    both.cdeg = 100
    for wrong in (again, both):
        with pytest.raises(IntegrityError), transaction.atomic():
            wrong.save()


def test_many_rows_are_read_in_one_query(seen, line, django_assert_num_queries):
    rows = list(newest(Inspection, pieces_of(line)).values())
    with django_assert_num_queries(1):
        fetch_readings(rows)
        assert [row.diameter_nm for row in rows] == [6_344_920, None, None]
        assert {(row.copied_from or row).diameter_nm for row in rows} == {6_344_920}


def test_the_case_is_built_of_the_readings_and_knows_their_fields(seen, line):
    drawn = build_case(line, seen, usual_of(line.family))
    case = drawn.case
    assert (case.measured.diameter_nm, case.measured.tooth_readings_nm) == (6_344_920, (0, -5_080, -10_160))
    assert (case.tool.core_diameter_nm, case.tool.rake_deg, case.tool.primary_relief_deg) == (3_810_000, 7.5, 11.76)
    assert case.marks == (
        DrawnMark("damage[0]", 2, 0, 1_524_000, 101_600, None, "chip"),
        DrawnMark("damage[1]", 1, 254_000, 7_620_000, None, 152_400),
    )
    assert case.end_marks == (EndMark(254_000, "end"),)
    assert {
        path: drawn.fields[path]
        for path in (
            "tool.core_diameter",
            "tool.primary_relief_deg",
            "measured.tooth_readings[1]",
            "damage[1].wear_land",
            "damage[2].end_depth",
        )
    } == {
        "tool.core_diameter": "core",
        "tool.primary_relief_deg": "drop",
        "measured.tooth_readings[1]": "tooth_2",
        "damage[1].wear_land": "mark_2_wear_land",
        "damage[2].end_depth": "end_depth",
    }
    assert not set(drawn.fields) & {"tool.secondary_relief_deg", "measured.method[0]", "tool.helix_deg"}
    assert case.uncertainty.tooth_reading_nm == round(1_000 / 12**0.5)  # the indicator reads a micrometre


def test_the_action_stores_what_it_worked_out_itself(seen, line, bench_hand):
    [group] = group_pieces(line, pieces_of(line))
    decide(
        by=bench_hand,
        pieces=pieces_of(line),
        expected={},
        decision="grind",
        chosen=group.preferred,
        shown=dict.fromkeys(group.inspections, group.mark),
    )
    first = Plan.objects.get(copied_from=None)
    assert json.loads(first.answer) == group.answer
    assert read(json.loads(first.case)) == group.inputs
    assert first.inspection == seen


def test_the_action_refuses_figures_that_were_not_those_shown(seen, line, bench_hand):
    [group] = group_pieces(line, pieces_of(line))
    shown = dict.fromkeys(group.inspections, group.mark)
    ShopSettings.objects.update_or_create(pk=1, defaults={"finish_radial_nm": 250_000})
    with pytest.raises(Conflict, match="not those that you decided on"):
        decide(by=bench_hand, pieces=pieces_of(line)[1:], expected={}, decision="grind", chosen=0, shown=shown)
    assert not Plan.objects.exists()


def test_an_option_that_the_action_did_not_find_is_refused(seen, line, bench_hand):
    with pytest.raises(Refusal, match="not among those worked out"):
        decide(by=bench_hand, pieces=pieces_of(line), expected={}, decision="grind", chosen=300)
    assert not Plan.objects.exists()


def test_pieces_decided_on_apart_keep_the_figures_of_their_whole_group(seen, line, bench_hand):
    """The piece that was read was ground before; the others follow it, whether or not it is ticked."""
    first, second, _ = pieces_of(line)
    type(first).objects.filter(pk=first.pk).update(before_here=1)
    [group] = group_pieces(line, pieces_of(line))
    decide(
        by=bench_hand, pieces=[second], expected={}, decision="ask", reason="worth it?", shown={second.pk: group.mark}
    )
    assert json.loads(Plan.objects.get().answer) == group.answer


FAULTS = {
    "core": {"core": ".26"},
    "mark_3_to": {"mark_3_tooth": "1", "mark_3_to": ".8", "mark_3_depth": "4 thou"},
    "end_depth": {"end_depth": ".76"},
    "secondary": {"primary": "12", "secondary": "10"},
    "damage_depth": {"damage_depth": ".09", "sure": ""},
}


@pytest.mark.parametrize("field", FAULTS)
def test_what_the_plan_cannot_take_is_said_beside_the_field_it_came_from(at_bench, line, inspect_typed, field):
    ids = [piece.pk for piece in pieces_of(line)]
    answer = at_bench.post("/bench/417-1/inspect", pieces=ids, **inspect_typed | FAULTS[field])
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert set(answer.context["form"].errors) <= {field}
