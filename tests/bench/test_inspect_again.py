"""Correcting an inspection, more rows and teeth on demand, what cannot be, gauges out of date, kinds told in words."""

import json
import re
from datetime import date

import pytest

from regrind.bench.models import Inspection, Reading
from regrind.bench.readings import each_mark
from regrind.record.models import Family

pytestmark = pytest.mark.django_db
INCH = 25_400_000


@pytest.fixture
def line(make_batch):
    return make_batch(3).lines.get()


def ids_of(line):
    return list(line.pieces.order_by("number").values_list("pk", flat=True))


MARKS = {
    "mark_2_tooth": "2",
    "mark_2_to": ".06",
    "mark_2_depth": "4 thou",
    "mark_2_what": "chip",
    "mark_4_tooth": "1",
    "mark_4_from": ".01",
    "mark_4_to": ".3",
    "mark_4_wear_land": "6 thou",
}
SQUARE = {"wear_land_way": "square"}


def test_a_correction_opens_with_what_was_typed(at_bench, line, inspect_typed, gauges):
    ids = ids_of(line)
    typed = (
        inspect_typed
        | MARKS
        | SQUARE
        | {"rake": "7.5", "note": "dull", "tir": "3 tenths", "gauge": gauges["v-anvil"].pk}
    )
    assert at_bench.post(f"/bench/{line}/inspect", pieces=ids, **typed).status_code == 302
    html = at_bench.get(f"/bench/{line}/inspect?piece={ids[0]}").content.decode()
    for name in ("diameter", "damage_depth", "reach", "rake", "note", "tir"):
        assert f'name="{name}" value="{typed[name]}"' in html, name
    for name, text in MARKS.items():  # the rows that were left empty between them are gone
        row = name.replace("mark_2", "mark_1").replace("mark_4", "mark_2")
        assert f'name="{row}" value="{text}"' in html, name
    assert f'<option value="{gauges["v-anvil"].pk}" selected>' in html
    assert "Saving corrects that" in html


def test_a_piece_kept_as_first_is_corrected_from_an_empty_page(at_bench, inspected):
    line, ids = inspected(2)
    html = at_bench.get(f"/bench/{line}/inspect?piece={ids[1]}").content.decode()
    assert "as first piece" in html
    assert 'value=".2498"' not in html


def test_more_marks_can_be_asked_for_and_nothing_typed_is_lost(at_bench, line, inspect_typed):
    page = at_bench.post(
        f"/bench/{line}/inspect",
        pieces=ids_of(line)[:2],
        more="marks",
        rows="6",
        **{f"mark_{n}_wear_land": "" for n in range(1, 7)} | inspect_typed | MARKS,
    )
    html = page.content.decode()
    assert page.status_code == 200
    assert 'name="mark_12_to"' in html
    assert 'name="mark_13_to"' not in html
    assert 'name="mark_2_what" value="chip"' in html
    assert html.count("checked") == 2 + 3  # two pieces; measured, a depth; the part that is shown
    assert Inspection.objects.count() == 0
    far = inspect_typed | {"rows": "12", "mark_12_tooth": "3", "mark_12_to": ".1", "mark_12_depth": "2 thou"}
    far |= {"deepest_tooth": "3"}
    assert at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), **far).status_code == 302
    [mark] = each_mark(Inspection.objects.get(copied_from=None))
    assert (mark["to"].tooth, mark["to"].mark) == (3, 1)


def test_a_tool_of_unknown_teeth_gets_a_field_for_each_once_they_are_counted(at_bench, make_batch, inspect_typed):
    line = make_batch(1, of=Family.objects.create(kind="square", nominal_nm=INCH // 4)).lines.get()
    assert "Not counted yet" in at_bench.get(f"/bench/{line}/inspect").content.decode()
    page = at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), more="teeth", **inspect_typed)
    assert 'name="tooth_3"' in page.content.decode()
    assert 'name="tooth_4"' not in page.content.decode()


def test_readings_for_fewer_teeth_than_the_tool_has_are_refused(at_bench, line, inspect_typed):
    typed = inspect_typed | {"teeth": "5", "tooth_1": "0", "tooth_2": "-1 tenth", "tooth_3": "-1 tenth"}
    answer = at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), **typed)
    assert answer.status_code == 422
    assert answer.content.decode().count("Read every tooth, or none") == 2


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        (
            {"mark_1_tooth": "1", "mark_1_to": ".9", "mark_1_depth": "2 thou", "deepest_tooth": "1"},
            "mark_1_to",
            "beyond the flute length",
        ),
        ({"reach": ".9"}, "reach", "beyond the flute length"),
        (
            {
                "core": ".2",
                "damage_depth": ".024",
                "reach": ".06",
                "mark_1_tooth": "1",
                "mark_1_to": ".05",
                "mark_1_depth": ".0252",
                "deepest_tooth": "0",
            },
            "mark_1_depth",
            "reaches the core",
        ),
        ({"primary": "12", "secondary": "10"}, "secondary", "must be above the primary relief, 12"),
    ],
)
def test_what_cannot_be_is_asked_about_beside_its_field_and_kept_where_it_is_right(
    at_bench, make_batch, inspect_typed, typed, field, said
):
    family = Family.objects.create(kind="square", nominal_nm=INCH // 4, teeth=3, flute_length_nm=INCH * 3 // 4)
    line = make_batch(1, of=family).lines.get()
    sent = inspect_typed | {"damage": "depth"} | typed
    asked = at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), **sent)
    html = asked.content.decode()
    assert asked.status_code == 422
    beside = html[html.index(f'id="id_{field}_error"') :]
    assert said in beside[:400]
    assert Inspection.objects.count() == 0
    assert at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), sure="on", **sent).status_code == 302


@pytest.mark.parametrize(
    ("field", "right", "slip"),
    [
        ("diameter", ".2498", "2.498"),
        ("diameter", ".2498", ".02498"),
        ("damage_depth", ".004", ".04"),
        ("tir", ".0008", ".008"),
        ("shank_tir", ".0010", ".010"),
        ("flute_length", ".75", "7.5"),
        ("flute_length", ".75", ".075"),
        ("core", ".150", ".015"),
        ("core", ".150", "1.5"),
        ("land", ".010", ".1"),
        ("end_depth", ".02", ".2"),
        ("reach", ".3", "3.0"),
        ("land", ".010", ".0005"),
        ("overall", "2.500", "25.00"),
    ],
)
def test_a_moved_point_or_a_lost_zero_is_asked_about(at_bench, line, inspect_typed, field, right, slip):
    slipped = at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), **inspect_typed | {field: slip})
    assert slipped.status_code == 422
    assert "If that is right" in slipped.content.decode()
    kept = at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), **inspect_typed | {field: right})
    assert kept.status_code == 302


def test_an_overall_length_is_held_against_the_tool_when_new_and_against_its_flute(at_bench, make_batch, inspect_typed):
    family = Family.objects.create(kind="square", nominal_nm=INCH // 4, teeth=3, overall_nm=INCH * 5 // 2)
    line = make_batch(1, of=family).lines.get()
    for typed, said in (
        ("2.75", "2.7500 in for a tool that is 2.5000 in long when new?"),
        ("1.45", "1.4500 in for"),
        (".7", "no longer than the flute"),
    ):
        page = at_bench.post(
            f"/bench/{line}/inspect", pieces=ids_of(line), **inspect_typed | {"overall": typed, "flute_length": ".75"}
        )
        assert page.status_code == 422
        assert said in page.content.decode().replace("\u202f", " ").replace("\u00a0", " "), typed
    kept = at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), **inspect_typed | {"overall": "2.45"})
    assert kept.status_code == 302
    assert Reading.objects.get(quantity="overall").gauge_name == ""


def test_a_gauge_out_of_date_says_so_where_it_is_chosen_and_on_the_reading(at_bench, line, inspect_typed, gauges):
    gauge = gauges["v-anvil"]
    type(gauge).objects.filter(pk=gauge.pk).update(calibrated_until=date(2020, 1, 31))
    assert (
        f"{gauge.name}: calibration overdue since 31 Jan 2020"
        in at_bench.get(f"/bench/{line}/inspect").content.decode()
    )
    at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), gauge=gauge.pk, **inspect_typed)
    assert Reading.objects.get(quantity="diameter").calibration == "calibration overdue since 31 Jan 2020"


def test_the_depth_of_a_mark_is_a_reading_off_its_gauge_and_its_place_is_not(at_bench, line, inspect_typed, gauges):
    gauge = next(iter(gauges.values()))
    at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), indicator=gauge.pk, **inspect_typed | MARKS | SQUARE)
    named = {row.field: row.gauge_name for row in Reading.objects.filter(mark__gt=0)}
    assert named == {
        "mark_1_depth": gauge.name,
        "mark_2_wear_land": gauge.name,
        "mark_1_to": "",
        "mark_2_to": "",
        "mark_2_from": "",
    }


def test_a_kind_that_is_not_computed_is_told_in_words(at_bench, make_batch):
    line = make_batch(2, of=Family.objects.create(kind="stepdrill", nominal_nm=INCH // 2)).lines.get()
    html = at_bench.get(f"/bench/{line}/inspect").content.decode()
    for label in ("Point", "Steps"):
        assert re.search(rf"{label}\s*</label>", html)
    for name in ("core", "rake", "tir", "mark_1_to", "method"):
        assert f'name="{name}"' not in html
    at_bench.post(
        f"/bench/{line}/inspect",
        pieces=ids_of(line),
        diameter=".4995",
        diameter_source="measured",
        damage="corners",
        reach=".03",
        seen_1="lips chipped",
        seen_2="worn taper",
    )
    assert json.loads(Inspection.objects.get(copied_from=None).observations) == {
        "Point": "lips chipped",
        "Steps": "worn taper",
    }
    assert "lips chipped" in at_bench.get(f"/bench/piece/{line}-1").content.decode()
    assert 'value="lips chipped"' in at_bench.get(f"/bench/{line}/inspect?piece={ids_of(line)[0]}").content.decode()


def test_a_form_cutter_has_no_diameter_that_is_asked_for(at_bench, make_batch):
    line = make_batch(1, of=Family.objects.create(kind="form")).lines.get()
    answer = at_bench.post(
        f"/bench/{line}/inspect",
        pieces=ids_of(line),
        diameter_source="marked",
        damage="nothing",
        seen_0="worn on the left",
    )
    assert answer.status_code == 302
    assert Inspection.objects.get().diameter_nm is None
