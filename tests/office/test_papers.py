"""What the papers say, read back with another library, against the record: by rule, in inch and millimetres."""

import re
from datetime import date

import pytest
from django.utils import timezone
from django.utils.dateformat import format as date_format

from regrind.bench.models import Inspection
from regrind.bench.planning.actions import decide
from regrind.bench.planning.groups import group_pieces
from regrind.geometry.units import parse
from regrind.office.actions import record_answer, send_parcel
from regrind.office.issuing import draft
from regrind.record.models import Batch, Customer, Family, Piece

from .conftest import pieces_of
from .paper_words import said

pytestmark = pytest.mark.django_db


def test_every_date_on_every_paper_is_written_in_one_way(make_batch, finish, gauges, front_desk):
    """Also that of a calibration, which the bench wrote down in words."""
    batch = make_batch(2, number=417)
    batch.due = date(2030, 5, 6)
    batch.save()
    for gauge in gauges.values():
        gauge.calibrated_until = date(2031, 3, 4)
        gauge.save()
    finish(batch.lines.get())
    send_parcel(by=front_desk, batch=batch, pieces=pieces_of(batch.lines.get()))
    today = date_format(timezone.localdate(), "j M Y")
    for kind, number, day in (
        ("report", "417", "calibrated until 4 Mar 2031"),
        ("job_sheet", "417", "6 May 2030"),
        ("setup_card", "417-1", "6 May 2030"),
        ("label", "417-1", today),
        ("slip", "417/1", f"Fay, {today}"),
    ):
        text = said(kind, number)
        assert day in text
        assert not re.search(r"\d{4}-\d\d-\d\d", text), (kind, text)


@pytest.mark.parametrize("count", [1, 40, 400])
def test_the_job_sheet_stands_at_any_state(make_batch, finish, look, count):
    line = make_batch(count, number=432).lines.get()
    fresh = said("job_sheet", "432")
    assert "⌀ now" in fresh
    assert "inspect" in fresh
    look(pieces_of(line))
    assert ".2498" in said("job_sheet", "432")
    assert f"{count}" in fresh


def test_the_job_sheet_gives_the_plan_s_figures_and_the_terms(make_batch, finish):
    line = make_batch(12, number=433).lines.get()
    finish(line)
    Customer.objects.update(always_ask=True, step_nm=127_000)
    text = said("job_sheet", "433")
    for part in (
        "1-1 to 1-12",
        "12 pieces",
        ".2405 (6.109)",
        ".0200 (0.508)",
        "Always ask before grinding",
        "Sizes on steps of .0050 in (0.127 mm)",
        "⌀ not below .2300 in (5.842 mm)",
        "D64 cup",
        "marked maximum 6000",
        "End of job sheet 433",
    ):
        assert part in text


def test_a_form_cutter_s_sides_are_left_alone_on_the_job_sheet(make_batch):
    family = Family.objects.create(kind="rougher", nominal_nm=19_050_000, teeth=4)
    make_batch(1, number=434, of=family)
    assert "Sides not ground: form-relieved" in said("job_sheet", "434")


def test_pieces_that_alternate_do_not_pretend_to_be_a_run(make_batch, look):
    line = make_batch(6, number=435).lines.get()
    pieces = pieces_of(line)
    look(pieces[::2])
    look(pieces[1::2], "0.2490 in")
    rows = draft("job_sheet", "435").values.setups[0].lines[0].pieces
    assert [row.number for row in rows] == ["1-1, 1-3, 1-5", "1-2, 1-4, 1-6"]


def test_the_setup_card_leaves_blank_what_nobody_recorded(make_batch, look, bench_hand, finish):
    line = make_batch(2, number=436).lines.get()
    look(pieces_of(line))
    decide(by=bench_hand, pieces=pieces_of(line), expected={}, decision="grind", diameter_nm=6_100_000, grinds="sides")
    blank = said("setup_card", "436-1")
    assert "D64" not in blank
    assert "Work holding" in blank
    finish(make_batch(1, number=437).lines.get())
    text = said("setup_card", "437-1")
    for part in ("D64 cup", "Work head, 6 mm collet", "Grind to", "Infeed", "by hand"):
        assert part in text


def test_a_complaint_is_named_on_report_and_job_sheet(make_batch, finish):
    old = pieces_of(make_batch(1, number=438).lines.get())[0]
    line = make_batch(1, number=439).lines.get()
    Piece.objects.filter(line=line).update(complaint_of=old, complaint="chatters at 8000")
    finish(line)
    for kind in ("report", "job_sheet"):
        assert "438-1-1: chatters at 8000" in said(kind, "439")


def test_names_of_many_letters_and_a_long_note_print(make_batch, finish):
    batch = make_batch(1, number=440)
    Customer.objects.update(name="Łukasz Żółć")
    Batch.objects.update(note="Παράδειγμα Пример " * 250, order_number="<Z4> & co")
    finish(batch.lines.get())
    text = said("job_sheet", "440")
    for part in ("Łukasz Żółć", "Παράδειγμα Пример", "<Z4> & co", "End of job sheet"):
        assert part in text


@pytest.mark.parametrize("kind", ["job_sheet", "report"])
def test_queries_do_not_grow_with_the_pieces(make_batch, finish, django_assert_max_num_queries, kind):
    counts = []
    for number, size in ((441, 1), (442, 10), (443, 400)):
        finish(make_batch(size, number=number).lines.get())
        with django_assert_max_num_queries(40) as asked:
            draft(kind, str(number))
        counts.append(len(asked))
    assert len(set(counts)) == 1


def test_nothing_read_on_one_piece_is_printed_on_another(make_batch, finish):
    finish(make_batch(5, number=447).lines.get())
    first, *others = draft("report", "447").values.lines[0].pieces
    assert first.before.diameter.nm == 6_344_920
    assert first.after.clearance.drop.nm == 63_500
    for piece in others:
        assert (piece.before.diameter, piece.after.diameter, piece.after.clearance, piece.after.runout) == (None,) * 4
    assert Inspection.objects.filter(copied_from__isnull=False).count() == 4


def test_what_the_plan_assumed_is_marked_on_every_paper_that_shows_it(make_batch, worked):
    plan, answer = worked(make_batch(4, number=450).lines.get())
    assumed = {default["field"] for default in answer["defaults"]}
    assert {"core_diameter", "primary_relief_deg"} <= assumed
    report = said("report", "450")
    assert "core diameter" in report
    assert "from tables and common practice" in report
    job = draft("job_sheet", "450").values
    row = job.setups[0].lines[0].pieces[0]
    assert (row.diameter_after.nm, row.cut_back.nm, row.usable_after.nm, row.count) == (
        plan.diameter_nm,
        plan.cut_back_nm,
        plan.usable_nm,
        4,
    )
    assert plan.grinds.startswith("sides")
    assert card_figure(job.setups[0].card, "Primary relief").assumed
    assert job.setups[0].lines[0].section.core.assumed
    [relief] = [default["value"] for default in answer["defaults"] if default["field"] == "primary_relief_deg"]
    assert f"{relief:.1f}° assumed" in said("setup_card", "450-1")


def card_figure(card, label):
    """The figure of a card whose label begins so."""
    return next(figure for part in card.parts for figure in part.figures if figure.label.startswith(label))


def test_the_setup_card_s_travel_stop_counts_from_the_end_as_it_stands(make_batch, worked, wheel, holding):
    plan, _ = worked(make_batch(2, number=451).lines.get())
    [card] = draft("setup_card", "451-1").values.cards
    assert plan.grinds.startswith("sides")
    stop = card_figure(card, "Travel stop, from the end before it is ground").length
    assert stop.nm == plan.usable_nm + plan.cut_back_nm
    assert card_figure(card, "Drop to aim for").note.endswith("for ± 1°")
    assert (card.wheel, card.speed.rpm) == ("", None)  # no wheel was used on this family yet


def test_the_wheel_that_the_family_was_last_ground_with_is_proposed_and_says_so(make_batch, finish, look, bench_hand):
    finish(make_batch(1, number=452).lines.get())
    line = make_batch(2, number=453).lines.get()
    look(pieces_of(line))
    decide(by=bench_hand, pieces=pieces_of(line), expected={}, decision="grind", diameter_nm=6_100_000, grinds="sides")
    assert "D64 cup, 11V9, D64, resin (last used)" in said("setup_card", "453-1")
    assert "last used" not in said("setup_card", "452-1")


def test_pieces_that_the_customer_let_be_ground_stand_with_their_setup(make_batch, look, bench_hand, wheel):
    """Their newest plan is the one that asked: the answer sends them on, and the job sheet gives them a setup."""
    line = make_batch(2, number=455).lines.get()
    pieces = pieces_of(line)
    look(pieces, "0.2498 in", typed={"flute_length": parse("0.75 in")})
    [group] = group_pieces(line, pieces)
    chosen = group.answer["recommended"]
    decide(by=bench_hand, pieces=pieces, expected={}, decision="ask", chosen=chosen, reason="worth it at 8.25?")
    assert "Not planned yet" in said("job_sheet", "455")
    waiting = list(line.pieces.select_related("batch"))
    record_answer(by=bench_hand, line=line, pieces=waiting, who="Ms Lund", how="phone", agreed="yes", decision="grind")
    text = said("job_sheet", "455")
    assert "Not planned yet" not in text
    assert "Setup 1" in text
    assert "Infeed roughing" in said("setup_card", "455-1")
