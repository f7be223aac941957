"""Labels and tags say what was measured, ground or not, in the customer’s unit."""

import pytest

from regrind.bench.checking.actions import check
from regrind.bench.models import FinalCheck
from regrind.bench.planning.actions import decide
from regrind.bench.readings import Angle
from regrind.geometry.units import parse
from regrind.office.issuing import Stock, draft
from regrind.record.models import Batch, Family, Line
from regrind.record.moves import move

from .conftest import pieces_of
from .paper_words import inch, mm, said

pytestmark = pytest.mark.django_db


def test_a_return_label_says_what_was_measured(make_batch, finish):
    line = make_batch(12, number=417).lines.get()
    Line.objects.update(customer_tool_number="EM-0250-3F")
    finish(line)
    row, text = FinalCheck.objects.filter(copied_from=None).get(), said("label", "417-1")
    assert f"now {inch(row.diameter_nm)} in nominal .2500" in text
    assert f"now {mm(row.diameter_nm)} mm" in text
    assert "from nominal −.0095 in" in text  # .2405 less .2500; minus as the sign U+2212
    assert "Drop .0025 in at .0200 in along tangent" in text
    assert "Relief 11.9° · Runout .0003 in" in text
    for part in ("417-1", "EM-0250-3F", "12 pcs", "Corner: sharp", "3 flutes", "Cutting length .6780 in"):
        assert part in text
    assert "AlTiN" not in text
    assert "Coating: ground off on the flank" in text


def test_a_millimetre_customer_reads_millimetres_first(make_batch, finish, metric):
    customer, family = metric
    line = make_batch(4, number=418, of=family, owner=customer).lines.get()
    finish(line, "7.982 mm", "7.800 mm", corner="re-formed", corner_size=parse("0.4 mm"))
    text = said("label", "418-1")
    assert "now 7.800 mm" in text
    assert "mm nominal 8.000 now .3071 in" in text
    assert "from nominal −0.200 mm" in text
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
    assert now in said("label", "419-1").split("now")[1]
    assert now.removesuffix(" in") + " (6.1" in said("report", "419")


def test_pieces_of_two_sizes_get_a_label_each_and_one_a_piece_on_demand(make_batch, finish):
    line = make_batch(6, number=420).lines.get()
    pieces = pieces_of(line)
    finish(line, after="0.2405 in", pieces=pieces[:4])
    finish(line, after="0.2355 in", pieces=pieces[4:])
    labels = draft("label", "420-1").values
    assert [(label.pieces, label.diameter.nm) for label in labels] == [(4, 6_108_700), (2, 5_981_700)]
    assert [(label.number, label.named) for label in labels] == [
        ("420-1-1", "420-1-1 to 1-4"),
        ("420-1-5", "420-1-5, 1-6"),
    ]
    assert "420-1-5, 1-6" in said("label", "420-1")
    each = draft("label", "420-1", stock=Stock(each=True)).values
    assert not any(label.named for label in each)
    assert [label.number for label in each] == [f"420-1-{k}" for k in range(1, 7)]
    assert [label.diameter.assumed for label in each] == [False, True, True, True, False, True]
    assert [label.measured_on for label in each] == ["", *["420-1-1"] * 3, "", "420-1-5"]
    assert [label.runout is None for label in each] == [False, True, True, True, False, True]
    text = said("label", "420-1-3")
    assert "now .2405 in nominal .2500 Not measured: assumed, as 420-1-1" in text
    assert "Runout" not in text  # nobody read it on this piece
    assert "assumed" not in said("label", "420-1-1")


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
    assert "now .2404–.2409 in" in said("label", "421-1")


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
    assert "3 pcs, measured on 1-1" in text
    assert "now" not in text


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


def test_all_labels_and_tags_of_a_box_come_in_one_file_in_its_order(make_batch, finish, desk):
    batch = make_batch(3, 2, number=427)
    first, second = batch.lines.all()
    finish(first, pieces=pieces_of(first)[:2])
    finish(second)
    assert [one.number for one in draft("tag", "427").values] == ["427-1", "427-2"]
    assert [one.number for one in draft("label", "427").values] == ["427-1-1", "427-2"]
    page = desk.get("/office/427/papers").content.decode()
    assert "All tags in one file" in page
    assert "All return labels in one file" in page
    answer = desk.press("label", "427", stock="50x25", start=1)
    assert answer.status_code == 302
    assert desk.get(answer["Location"]).content.startswith(b"%PDF")


def test_two_tubes_of_a_line_never_carry_the_same_code(make_batch, finish):
    """Also where the first went out before the second was ground: only a whole line has the line's own code."""
    line = make_batch(6, number=428).lines.get()
    pieces = pieces_of(line)
    finish(line, pieces=pieces[:3])
    early = [one.number for one in draft("label", "428-1").values]
    finish(line, after="0.2386 in", pieces=pieces[3:])
    late = [one.number for one in draft("label", "428-1").values]
    assert early == ["428-1-1"]
    assert late == ["428-1-1", "428-1-4"]


def test_a_label_says_the_corner_and_the_way_of_the_drop_or_that_nobody_recorded_them(make_batch, finish):
    finish(make_batch(2, number=429).lines.get(), corner="")
    assert "Corner: not recorded" in said("label", "429-1")
    finish(make_batch(1, number=430).lines.get(), corner="broken")
    assert "Corner: broken" in said("label", "430-1")
    assert "along tangent" in said("label", "430-1")
