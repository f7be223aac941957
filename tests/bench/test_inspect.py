"""An inspection: three things needed, the rest optional, one reading for like pieces, nothing stored by half."""

import pytest

from regrind.bench.models import Inspection, Reading
from regrind.bench.readings import each_mark
from regrind.record.models import Family, Piece
from regrind.shop.models import UnitChoice

pytestmark = pytest.mark.django_db
INCH = 25_400_000


@pytest.fixture
def line(make_batch):
    return make_batch(3).lines.get()


def ids_of(line):
    return list(line.pieces.order_by("number").values_list("pk", flat=True))


def test_the_first_piece_is_read_and_the_others_hold_no_readings(inspected, gauges):
    _line, ids = inspected(3)
    first, *others = Inspection.objects.order_by("pk")
    assert first.piece_id == ids[0]
    assert first.copied_from_id is None
    assert (first.diameter_nm, first.damage_nm, first.reach_nm) == (6_344_920, 101_600, 1_524_000)
    assert all(row.copied_from_id == first.pk and row.diameter_nm is None and not row.readings for row in others)
    assert set(Reading.objects.values_list("inspection", flat=True)) == {first.pk}
    assert set(Piece.objects.values_list("status", flat=True)) == {"inspected"}


def test_a_reading_keeps_its_gauge_as_it_stands_and_the_words_typed(at_bench, line, inspect_typed, gauges):
    gauge = gauges["v-anvil"]
    at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), gauge=gauge.pk, **inspect_typed)
    read = Reading.objects.get(quantity="diameter")
    assert (read.text, read.unit, read.nm) == (".2498", "in", 6_344_920)
    assert (read.gauge_name, read.resolution_nm, read.calibration) == (gauge.name, 1_000, "not calibrated")


def test_an_overdue_gauge_that_was_used_last_is_said_at_entry(at_bench, make_batch, line, inspect_typed, gauges):
    where = f"/bench/{line}/inspect"
    assert "the report will say so" not in at_bench.get(where).content.decode()
    at_bench.post(where, pieces=ids_of(line)[:1], gauge=gauges["v-anvil"].pk, **inspect_typed)
    said = "v-anvil 1: not calibrated. It can be used, and the report will say so."
    assert said in at_bench.get(where).content.decode()


def test_a_diameter_as_marked_was_read_off_no_gauge(at_bench, line, inspect_typed, gauges):
    at_bench.post(
        f"/bench/{line}/inspect",
        pieces=ids_of(line),
        gauge=gauges["v-anvil"].pk,
        **inspect_typed | {"diameter_source": "marked"},
    )
    row = Inspection.objects.get(copied_from=None)
    assert (row.diameter_source, row.diameter_nm, row.readings["diameter"].gauge) == ("marked", 6_344_920, None)


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("diameter", "0.2.5", "is not a length"),
        ("diameter", "", "Diameter is required"),
        ("diameter", "-.25", "is out of range"),
        ("diameter", "700 mm", "is out of range"),
        ("diameter", "0.02498", "Read as .0250"),
        ("damage_depth", "", "Write how deep"),
        ("reach", "", "Write how far back"),
        ("reach", "40 in", "is out of range"),
        ("tir", "5 in", "is out of range"),
        ("rake", "95", "from -30° to 40°"),
        ("rake", "ten", "is not an angle"),
        ("primary", "46", "from 0° to 45°"),
        ("method", "micrometer", "cannot span 3"),
        ("teeth", "1", "From 2 to 99 teeth fit here"),
        ("done_at", "2999-01-01T10:00", "is in the future"),
        ("done_at", "soon", "Write it as"),
        ("drop", ".001", "means nothing without the distance"),
        ("mark_1_depth", "4 thou", "Required for a mark"),
        ("note", "x" * 501, "at most 500 characters"),
        ("gauge", "999999", "That is not in the register"),
        ("damage", "melted", "Select a valid choice"),
        ("tooth_2", "-2 tenths", "Read every tooth"),
    ],
)
def test_what_is_wrong_is_said_beside_the_field_and_kept(at_bench, line, inspect_typed, field, typed, said):
    answer = at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), **inspect_typed | {field: typed})
    html = answer.content.decode()
    assert answer.status_code == 422
    assert said in html
    if field not in ("gauge", "damage") and typed:
        assert f'value="{typed}"' in html or (typed == "micrometer" and "selected" in html)
    assert Inspection.objects.count() == 0
    assert Reading.objects.count() == 0
    assert set(Piece.objects.values_list("status", flat=True)) == {"arrived"}


def test_a_bare_whole_number_is_asked_about_and_then_remembered_for_that_field_and_line(at_bench, line, inspect_typed):
    asked = at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), **inspect_typed | {"damage_depth": "5"})
    assert asked.status_code == 422
    assert 'data-choice="5 thou"' in asked.content.decode()
    at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line)[:1], **inspect_typed | {"damage_depth": "5 thou"})
    assert UnitChoice.objects.get(scope=f"line:{line.pk}", field="damage_depth").unit == "thou"
    again = at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line)[1:], **inspect_typed | {"damage_depth": "6"})
    assert again.status_code == 302
    assert Reading.objects.filter(quantity="damage_depth", nm=152_400).count() == 1


@pytest.mark.parametrize(("field", "typed", "read"), [("diameter", ".2100", ".2100"), ("damage_depth", ".04", ".0400")])
def test_a_figure_out_by_much_asks_for_a_tick_and_is_then_taken(at_bench, line, inspect_typed, field, typed, read):
    wrong = inspect_typed | {field: typed}
    asked = at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), **wrong)
    html = asked.content.decode()
    assert asked.status_code == 422
    assert f"Read as {read}" in html
    assert 'name="sure"' in html
    taken = at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), sure="on", **wrong)
    assert taken.status_code == 302
    assert Inspection.objects.count() == 3


def test_a_drop_gives_the_primary_relief(at_bench, line, inspect_typed):
    """Traversed sideways the land is a plain slope: tan 12° is .21256 in any table of tangents, times .4 mm."""
    typed = inspect_typed | {"drop": "0.08502 mm", "drop_over": "0.4 mm", "drop_way": "traversed"}
    at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), **typed)
    row = Inspection.objects.get(copied_from=None)
    assert (row.relief_cdeg, row.drop_way) == (1200, "traversed")
    assert "primary" not in row.readings  # it came from the drop, which is
    assert row.readings["drop"].text == "0.08502 mm"


def test_marks_are_kept_per_tooth(at_bench, line, inspect_typed):
    marks = {
        "mark_1_tooth": "2",
        "mark_1_to": ".06",
        "mark_1_depth": "4 thou",
        "mark_1_what": "chip",
        "mark_2_tooth": "1",
        "mark_2_from": ".01",
        "mark_2_to": ".3",
        "mark_2_wear_land": "6 thou",
        "wear_land_way": "square",
    }
    at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), **inspect_typed | marks)
    first, second = each_mark(Inspection.objects.get(copied_from=None))
    assert {what: row.nm for what, row in first.items()} == {"to": 1_524_000, "depth": 101_600}
    assert {what: row.nm for what, row in second.items()} == {"from": 254_000, "to": 7_620_000, "wear_land": 152_400}
    assert {(row.mark, row.tooth, row.description) for row in (*first.values(), *second.values())} == {
        (1, 2, "chip"),
        (2, 1, ""),
    }


def test_a_correction_is_a_new_revision_and_the_old_one_stays(at_bench, inspected, inspect_typed):
    line, ids = inspected(2)
    at_bench.post(f"/bench/{line}/inspect", pieces=ids[1:], **inspect_typed | {"diameter": ".2480"})
    rows = Inspection.objects.filter(piece=ids[1]).order_by("revision")
    assert [(row.revision, row.diameter_nm) for row in rows] == [(1, None), (2, 6_299_200)]


def test_a_stale_page_answers_409_and_shows_what_was_typed(at_bench, inspected, inspect_typed):
    line, ids = inspected(2)
    stale = at_bench.post(f"/bench/{line}/inspect", pieces=ids, seen="", **inspect_typed | {"diameter": ".2470"})
    assert stale.status_code == 409
    assert ".2470" in stale.content.decode()
    assert Inspection.objects.count() == 2


def test_the_same_form_sent_twice_is_kept_once(at_bench, line, inspect_typed):
    sent = {"pieces": ids_of(line), "seen": "", "once": "k" * 20, **inspect_typed}
    first = at_bench.client.post(f"/bench/{line}/inspect", sent)
    second = at_bench.client.post(f"/bench/{line}/inspect", sent)
    assert first.status_code == second.status_code == 302
    assert Inspection.objects.count() == 3


def test_no_piece_ticked_is_said(at_bench, line, inspect_typed):
    answer = at_bench.post(f"/bench/{line}/inspect", **inspect_typed)
    assert answer.status_code == 422
    assert "Tick the pieces that were inspected" in answer.content.decode()


def test_a_piece_of_another_line_is_not_taken(at_bench, make_batch, inspect_typed):
    batch = make_batch(1, 1)
    mine, other = batch.lines.order_by("number")
    answer = at_bench.post(f"/bench/{mine}/inspect", pieces=ids_of(other), **inspect_typed)
    assert answer.status_code == 422
    assert Inspection.objects.count() == 0


def test_a_step_drill_is_inspected_with_the_same_form(at_bench, make_batch, inspect_typed):
    drill = Family.objects.create(kind="stepdrill", nominal_nm=INCH // 2)
    line = make_batch(2, of=drill).lines.get()
    page = at_bench.get(f"/bench/{line}/inspect").content.decode()
    assert "diameter, point, steps" in page
    answer = at_bench.post(
        f"/bench/{line}/inspect",
        pieces=ids_of(line),
        diameter=".5",
        diameter_source="measured",
        damage="corners",
        reach=".03",
    )
    assert answer.status_code == 302
    assert Inspection.objects.count() == 2


def test_a_family_whose_teeth_nobody_knew_learns_them(at_bench, make_batch, inspect_typed):
    unknown = Family.objects.create(kind="square", nominal_nm=INCH // 4)
    line = make_batch(1, of=unknown).lines.get()
    at_bench.post(f"/bench/{line}/inspect", pieces=ids_of(line), **inspect_typed)
    unknown.refresh_from_db()
    assert unknown.teeth == 3
