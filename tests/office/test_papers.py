"""What the papers say, read back with another library, against the record: by rule, in inch and millimetres."""

import re
from datetime import date

import pytest
from django.utils import timezone
from django.utils.dateformat import format as date_format

from regrind.bench.checking.actions import check
from regrind.bench.grinding.actions import grind
from regrind.bench.models import FinalCheck, Inspection, Plan
from regrind.bench.planning.actions import decide
from regrind.bench.planning.groups import group_pieces
from regrind.bench.readings import Angle
from regrind.geometry.units import parse
from regrind.office.actions import send_parcel
from regrind.office.issuing import Stock, draft
from regrind.office.papers import report_pieces
from regrind.office.papers.common import coating_now, gather
from regrind.receiving.actions import follow
from regrind.record.models import Batch, Customer, Family, Line, Piece
from regrind.record.moves import move
from regrind.record.rates import keep_rates
from regrind.record.rollup_rebuild import rebuild
from tests.events import make_event

from .conftest import pieces_of, words

pytestmark = pytest.mark.django_db


def said(kind, number, **stock):
    return words(draft(kind, number, **stock).draw())


def inch(nm, places=4):
    """Inch as ASME Y14.5 writes it: no zero before the point, zeros kept at the end."""
    text = f"{nm / 25_400_000:.{places}f}"
    return text.removeprefix("0")


def mm(nm, places=3):
    return f"{nm / 1_000_000:.{places}f}"


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


def test_a_return_label_says_what_was_measured(make_batch, finish):
    line = make_batch(12, number=417).lines.get()
    Line.objects.update(customer_tool_number="EM-0250-3F")
    finish(line)
    row, text = FinalCheck.objects.filter(copied_from=None).get(), said("label", "417-1")
    nominal = 6_350_000
    assert f".2500 → {inch(row.diameter_nm)} in" in text
    assert f"{mm(nominal)} → {mm(row.diameter_nm)} mm" in text
    assert "−.0095 in (−0.241 mm)" in text  # .2405 less .2500; minus as the sign U+2212
    assert "Relief 12.0° Drop .0034 in (0.086 mm) at .0200 in" in text
    assert "Runout .0003 in (0.008 mm)" in text
    for part in ("417-1", "EM-0250-3F", "12 pcs", "Corner: sharp", "3 teeth", "Cutting length .6780 in"):
        assert part in text
    assert "AlTiN" not in text
    assert "Coating: ground off on the flank" in text


def test_a_millimetre_customer_reads_millimetres_first(make_batch, finish, metric):
    customer, family = metric
    line = make_batch(4, number=418, of=family, owner=customer).lines.get()
    finish(line, "7.982 mm", "7.800 mm", corner="re-formed", corner_size=parse("0.4 mm"))
    text = said("label", "418-1")
    assert "8.000 → 7.800 mm" in text
    assert ".3150 → .3071 in" in text
    assert "−0.200 mm (−.0079 in)" in text
    assert "radius re-formed, 0.400 mm (.0157 in)" in text
    report = said("report", "418")
    assert "7.800 (.3071)" in report
    assert "Ø" not in report.replace("⌀", "")


@pytest.mark.parametrize(("resolution_nm", "now"), [(25_400, " .241 in"), (2_540, " .2407 in"), (500, " .24067 in")])
def test_measured_figures_print_at_the_gauge_s_resolution(make_batch, finish, gauges, resolution_nm, now):
    gauge = gauges["v-anvil"]
    gauge.resolution_nm = resolution_nm
    gauge.save(update_fields=["resolution_nm"])
    finish(make_batch(1, number=419).lines.get(), "0.2498 in", "0.24067 in")
    assert now in said("label", "419-1").split("→")[1]
    assert now.removesuffix(" in") + " (6.1" in said("report", "419")


def test_pieces_of_two_sizes_get_a_label_each_and_one_a_piece_on_demand(make_batch, finish):
    line = make_batch(6, number=420).lines.get()
    pieces = pieces_of(line)
    finish(line, after="0.2405 in", pieces=pieces[:4])
    finish(line, after="0.2355 in", pieces=pieces[4:])
    labels = draft("label", "420-1").values
    assert [(label.pieces, label.diameter.nm) for label in labels] == [(4, 6_108_700), (2, 5_981_700)]
    assert [label.description.split(": ")[0] for label in labels] == ["1-1 to 1-4", "1-5, 1-6"]
    each = draft("label", "420-1", stock=Stock(each=True)).values
    assert not any("1-1" in label.description for label in each)
    assert [label.number for label in each] == [f"420-1-{k}" for k in range(1, 7)]
    assert [label.diameter.assumed for label in each] == [False, True, True, True, False, True]
    assert [label.measured_on for label in each] == ["", *["420-1-1"] * 3, "", "420-1-5"]
    assert [label.runout is None for label in each] == [False, True, True, True, False, True]
    text = said("label", "420-1-3")
    assert ".2500 → .2405 in assumed" in text
    assert "⌀ measured on 420-1-1" in text
    assert "Runout" not in text  # nobody read it on this piece
    assert "as measured on" not in said("label", "420-1-1")


def test_where_the_pieces_of_a_tube_differ_the_label_names_both_ends(make_batch, finish, bench_hand, gauges):
    line = make_batch(3, number=421).lines.get()
    pieces = finish(line, "0.2498 in", "0.2405 in")
    move(pieces=pieces, to="ready_to_grind", by=bench_hand)
    move(pieces=pieces, to="ground", by=bench_hand)
    check(
        by=bench_hand,
        pieces=pieces,
        expected=dict.fromkeys([p.pk for p in pieces], 1),
        corner="sharp",
        typed={"diameter": parse("0.2404 in")},
        diameters={pieces[2].pk: parse("0.2409 in")},
        gauge=gauges["v-anvil"],
    )
    assert ".2500 → .2404–.2409 in" in said("label", "421-1")


def test_what_is_not_ground_says_so_and_why(make_batch, look, bench_hand):
    line = make_batch(3, number=422).lines.get()
    pieces = pieces_of(line)
    look(pieces)
    decide(
        by=bench_hand,
        pieces=pieces[:2],
        expected={},
        decision="not_ground",
        result="returned_unground",
        reason="core cracked",
    )
    decide(by=bench_hand, pieces=pieces[2:], expected={}, decision="not_ground", result="scrap", reason="shank bent")
    text = said("label", "422-1")
    assert text.count("NOT REGROUND") == 2
    for part in ("Returned unground", "core cracked", "2 pcs", "Scrap", "shank bent", "1 pc"):
        assert part in text
    report = said("report", "422")
    for part in ("Not reground, with reason", "1-1, 1-2", "core cracked", "shank bent"):
        assert part in report


def test_a_drill_s_label_gives_point_angle_and_length(make_batch, bench_hand, gauges, wheel, holding):
    drill = Family.objects.create(kind="drill", nominal_nm=5_105_400, material="HSS")
    line = make_batch(3, number=423, of=drill).lines.get()
    pieces = pieces_of(line)
    for to in ("inspected", "ready_to_grind", "ground"):
        move(pieces=pieces, to=to, by=bench_hand)
    check(
        by=bench_hand,
        pieces=pieces,
        expected={},
        typed={"overall": parse("3.5 in")},
        angles={"point_angle": Angle(11_800, "118")},
        gauge=gauges["micrometer"],
        indicator=gauges["indicator"],
    )
    text = said("label", "423-1")
    assert "Point 118.0°" in text
    assert "Overall 3.5000 in (88.900 mm)" in text
    assert "→" not in text


def test_an_arrival_tag_is_a_line_s_with_order_and_rush(make_batch):
    make_batch(5, number=424)
    Batch.objects.update(order_number="PO 88", rush=True)
    text = said("tag", "424-1")
    for part in ("424-1", "5 pcs", "RUSH", "PO 88", "Brookfield Tooling", "AlTiN"):
        assert part in text
    assert "424-1-3" in said("tag", "424-1-3")


def test_a_line_with_one_missing_piece_counts_its_tag_without_it(make_batch, bench_hand):
    line = make_batch(2, number=425).lines.get()
    move(pieces=pieces_of(line)[1:], to="missing", by=bench_hand, result="missing", reason="not in the box")
    [tag] = draft("tag", "425-1").values
    assert (tag.number, tag.pieces) == ("425-1", 1)


def in_words(number):
    """The numbers that `1-2, 1-4 to 1-6` names."""
    for part in number.split(", "):
        first, _, last = part.partition(" to ")
        low = int(first.split("-")[1])
        yield from range(low, int(last.split("-")[1]) + 1 if last else low + 1)


@pytest.mark.parametrize("count", [1, 40, 400])
def test_the_report_lists_every_piece_and_adds_up(make_batch, finish, count):
    line = make_batch(count, number=426).lines.get()
    finish(line)
    report = draft("report", "426").values
    assert sum(piece.count for one in report.lines for piece in one.pieces) == count == report.lines[0].ground
    text = said("report", "426")
    assert report.lines[0].pieces[0].number == "1-1"
    named = [k for one in report.lines[0].pieces for k in in_words(one.number)]
    assert named == list(range(1, count + 1))
    for piece in report.lines[0].pieces:
        assert f"{piece.number} " in text
    assert text.count("End of returned-tool report 426") == 1


def test_the_report_names_people_instruments_and_what_was_assumed(make_batch, finish):
    finish(make_batch(3, number=427).lines.get())
    text = said("report", "427")
    for part in (
        "Measured by Bea",
        "Released by Bea",
        "v-anvil 1",
        "not calibrated",
        "1-2, 1-3 taken to be like the first piece",
        "ground in one setup with the first piece, not measured afterwards",
    ):
        assert part in text
    piece = draft("report", "427").values.lines[0].pieces
    assert piece[0].after.radius.nm == 3_054_350
    assert piece[0].removed_radial.nm == 118_110  # half of .2498 less .2405, which is .00465 in
    assert ".00465" in text or ".0047" in text
    assert piece[1].after.diameter is None


def test_a_marked_diameter_is_printed_as_assumed(make_batch, look, bench_hand):
    line = make_batch(1, number=428).lines.get()
    look(pieces_of(line), "0.25 in", diameter_source="marked")
    decide(by=bench_hand, pieces=pieces_of(line), expected={}, decision="grind", diameter_nm=6_100_000, grinds="sides")
    assert ".2500 (6.350) assumed" in said("report", "428")
    assert "as marked on the tool" in said("report", "428")
    assert "assumed" in said("job_sheet", "428")


def test_regrinds_left_stand_only_where_the_customer_wants_them(make_batch, finish):
    finish(make_batch(1, number=429).lines.get())
    plan = Plan.objects.get()
    Plan.objects.bulk_create(
        [
            Plan(
                piece=plan.piece,
                revision=2,
                event=make_event(plan.by),
                decision="grind",
                regrinds_left=4,
                diameter_nm=plan.diameter_nm,
                cut_back_nm=plan.cut_back_nm,
            )
        ]
    )
    assert "about 4" not in said("report", "429")
    Customer.objects.update(regrinds_left_on_report=True)
    assert "about 4" in said("report", "429")


def test_a_followed_tool_has_its_life_over_two_visits(make_batch, finish, front_desk):
    first = make_batch(2, number=430).lines.get()
    tool = follow(by=front_desk, piece=pieces_of(first)[0])
    finish(first, "0.2498 in", "0.2450 in")
    second = make_batch(1, number=431).lines.get()
    Piece.objects.filter(line=second).update(tool=tool)
    finish(second, "0.2448 in", "0.2400 in")
    text = said("report", "431")
    assert f"Life of {tool.tag}" in text
    for figure in (".2498", ".2450", ".2448", ".2400"):
        assert figure in text
    assert ".2400" not in said("report", "430")  # an earlier report does not grow a later visit


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
    Customer.objects.update_or_create(name="Brookfield Tooling", defaults={"contact": "Łukasz Żółć"})
    batch = make_batch(1, number=440)
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


@pytest.mark.parametrize("each", [False, True])
def test_labels_ask_as_often_for_400_pieces_as_for_one(make_batch, finish, django_assert_max_num_queries, each):
    counts = []
    for number, size in ((444, 1), (445, 10), (446, 400)):
        finish(make_batch(size, number=number).lines.get())
        for kind in ("label", "tag"):
            with django_assert_max_num_queries(20) as asked:
                draft(kind, f"{number}-1", stock=Stock(each=each))
            counts.append((kind, len(asked)))
    assert len(set(counts)) == 2


def test_nothing_read_on_one_piece_is_printed_on_another(make_batch, finish):
    finish(make_batch(5, number=447).lines.get())
    first, *others = draft("report", "447").values.lines[0].pieces
    assert first.before.diameter.nm == 6_344_920
    assert first.after.clearance.drop.nm == 86_360
    for piece in others:
        assert (piece.before.diameter, piece.after.diameter, piece.after.clearance, piece.after.runout) == (None,) * 4
    assert Inspection.objects.filter(copied_from__isnull=False).count() == 4


@pytest.fixture
def worked(look, bench_hand):
    """worked(line) -> its pieces inspected and planned as worked out, the recommended option kept."""

    def act(line, **more):
        pieces = pieces_of(line)
        look(pieces, "0.2498 in", typed={"flute_length": parse("0.75 in"), **more})
        [group] = group_pieces(line, pieces)
        decide(by=bench_hand, pieces=pieces, expected={}, decision="grind", chosen=group.answer["recommended"])
        return Plan.objects.filter(piece__line=line, copied_from=None).get(), group.answer

    return act


def test_the_report_gives_the_overall_length_before_where_it_was_read(make_batch, worked):
    worked(make_batch(2, number=448).lines.get(), overall=parse("2.49 in"))
    first, second = draft("report", "448").values.lines[0].pieces
    assert first.before.overall_length.nm == 63_246_000
    assert second.before.overall_length is None


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
    stop = card_figure(card, "Travel stop, from the end as it stands").length
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


def test_a_report_says_what_all_the_customers_tools_saved_against_buying_new(make_batch, finish, owner, family):
    """Twelve good ones at 7.50 against new ones at 30.00: 12 × 22.50. Nothing while no price of a new one is known."""
    finish(make_batch(12, number=417).lines.get())
    assert "buying new" not in said("report", "417")
    Line.objects.update(unit_price_minor=750)
    keep_rates(by=owner, scope=(family.pk, ""), amounts={("new", ""): 3000}, from_day=date(2000, 1, 1), seen=0)
    rebuild()
    make_batch(3, number=418)
    rebuild()
    text = said("report", "417")
    assert "15 tools received. Of 12 finished, 12 were reground without a complaint." in text
    assert "saved you 270.00 USD after our charges, counting the 12 tools whose new price we know" in text


def test_the_report_tells_the_flank_that_was_ground_in_an_earlier_setup(make_batch, look, bench_hand, gauges):
    line = make_batch(1, number=417).lines.get()
    look(pieces_of(line))
    decide(
        by=bench_hand,
        pieces=pieces_of(line),
        expected={},
        decision="grind",
        diameter_nm=parse("0.2405 in").nm,
        cut_back_nm=508_000,
        usable_nm=17_000_000,
        grinds="sides end",
    )
    grind(by=bench_hand, pieces=pieces_of(line), expected={}, grinds=["sides"], follows=True)
    [piece] = pieces_of(line)
    grind(by=bench_hand, pieces=[piece], expected={piece.pk: 1}, grinds=["end"])
    check(
        by=bench_hand,
        pieces=pieces_of(line),
        expected={},
        typed={"diameter": parse("0.2405 in")},
        gauge=gauges["v-anvil"],
    )
    rows = gather(pieces_of(line))
    [piece] = pieces_of(line)
    assert rows.ground == {piece.pk: ("sides", "end")}
    assert report_pieces.removed(piece, rows).nm == (6_344_920 - 6_108_700) // 2
    assert "sides and end" in said("report", "417")
    assert coating_now(rows, piece) == "ground off on the flank"
