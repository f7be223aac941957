"""What was ground on a line, one setup at a time."""

import pytest
from django.urls import reverse

from regrind.bench.grinding.actions import grind, share_minutes
from regrind.bench.models import Grind
from regrind.record.models import Family, Piece
from regrind.shop.events import Refusal

from .tray import INCH, ground, pieces_of, ready_to_grind

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch):
    return make_batch(3, number=417).lines.get()


@pytest.fixture
def rougher(db):
    return Family.objects.create(kind="rougher", nominal_nm=INCH * 3 // 4, teeth=4, material="carbide")


WHERE = "/bench/417-1/grind"


def test_the_page_offers_what_the_plan_says(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    form = hand.open(WHERE).context["form"]
    assert form["grinds"].value() == ["sides", "end"]
    assert len(form["pieces"].value()) == 3
    # the worked example of the plan: .1194 mm off the highest tooth, .3048 mm off the end
    assert form["infeed"].value() == ".0047\u202fin"
    assert form["end_taken"].value() == ".0120\u202fin"


def test_one_typed_entry_records_the_grind_of_a_whole_line(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    answer = hand.send(WHERE, minutes="42")
    assert answer["Location"] == reverse("bench:check", args=["417-1"])
    rows = list(Grind.objects.order_by("piece__number"))
    assert [row.piece.status for row in rows] == ["ground"] * 3
    assert sum(row.minutes_hundredths for row in rows) == 4200
    assert {(row.grinds, row.roughing, row.finishing) for row in rows} == {("sides end", "", "")}
    assert {row.by for row in rows} == {bench_hand}
    assert len({row.setup for row in rows}) == 1


def test_minutes_are_shared_out_so_that_they_add_up():
    assert share_minutes(1000, 3) == [334, 333, 333]
    assert sum(share_minutes(4275, 40)) == 4275


def test_the_cautions_are_on_the_page(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    page = hand.open(WHERE).content.decode()
    for word in (
        "marked maximum",
        "Guards",
        "Eye protection",
        "obalt",
        "off the stylus",
        "made for both directions",
        "No gloves",
        "wheel stopped",
        "wheel maker",
        "local rules",
        "never a permission",
    ):
        assert word in page


@pytest.mark.parametrize(("order", "status"), [("sides_first", 302), ("end_roughed", 302), ("end_first", 422)])
def test_finishing_the_end_first_is_asked_about_and_roughing_it_off_is_not(line, bench_hand, hand, order, status):
    ready_to_grind(line, bench_hand)
    answer = hand.send(WHERE, minutes="5", order=order)
    assert answer.status_code == status
    if status == 422:
        assert "sides go before the end" in answer.content.decode()
        assert hand.send(WHERE, minutes="5", order=order, order_sure="on").status_code == 302
    assert Grind.objects.filter(end_first=True).exists() == (status == 422)


def test_the_order_does_not_matter_where_the_sides_are_not_ground(line, bench_hand, hand):
    ready_to_grind(line, bench_hand, grinds="end")
    assert hand.send(WHERE, minutes="5", grinds=["end"], order="end_first").status_code == 302


def test_what_is_planned_and_not_ticked_has_to_be_spoken_of(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    refused = hand.send(WHERE, minutes="5", grinds=["sides"])
    assert refused.status_code == 422
    assert "The plan asks for the end as well" in refused.content.decode()
    assert hand.send(WHERE, minutes="5", grinds=["sides"], rest="left_out").status_code == 302
    assert not pieces_of(line, "ready_to_grind")


def test_a_second_setup_may_follow_and_the_pieces_stay_until_it_is_done(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    answer = hand.send(WHERE, minutes="30", grinds=["sides"], rest="follows")
    assert answer["Location"] == WHERE
    assert len(pieces_of(line, "ready_to_grind")) == 3
    assert hand.open(WHERE).context["form"]["grinds"].value() == ["end"]
    hand.send(WHERE, minutes="10")
    assert len(pieces_of(line, "ground")) == 3
    assert [row.grinds for row in Grind.objects.filter(piece__number=1)] == ["sides", "end"]


def test_the_end_in_a_setup_before_the_sides_is_asked_about(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    refused = hand.send(WHERE, minutes="5", grinds=["end"], rest="follows")
    assert "sides go before the end" in refused.content.decode()


def test_the_sides_of_a_rougher_are_refused_with_the_reason(make_batch, bench_hand, hand, rougher):
    line = make_batch(1, number=419, of=rougher).lines.get()
    pieces = ready_to_grind(line, bench_hand)
    with pytest.raises(Refusal, match="form-relieved"):
        grind(by=bench_hand, pieces=pieces, expected={}, grinds=["sides"])
    refused = hand.send("/bench/419-1/grind", minutes="5", grinds=["sides"])
    assert refused.status_code == 422
    assert "The sides are left alone: form-relieved" in refused.content.decode()
    assert not Grind.objects.exists()


def test_a_reamer_is_ground_on_its_chamfer(make_batch, bench_hand, hand):
    reamer = Family.objects.create(kind="reamer", nominal_nm=8_000_000, teeth=6, material="HSS")
    line = make_batch(2, number=420, of=reamer).lines.get()
    pieces = ready_to_grind(line, bench_hand)
    with pytest.raises(Refusal, match="diameter checked, not reduced"):
        grind(by=bench_hand, pieces=pieces, expected={}, grinds=["sides"])
    fields = hand.open("/bench/420-1/grind").context["form"].fields
    assert not {"order", "gashed"} & set(fields)
    assert fields["end_taken"].label == "Taken off the chamfer"
    assert hand.send("/bench/420-1/grind", minutes="5").status_code == 302
    assert set(Grind.objects.values_list("grinds", flat=True)) == {"chamfer"}


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("minutes", "-1", "greater than or equal to 0"),
        ("minutes", "5000", "less than or equal to 2000"),
        ("minutes", "NaN", "from 0 to 2000"),
        ("minutes", "soon", "from 0 to 2000"),
        ("minutes", "", "is required"),
        ("infeed", "0.2.5", "is not a length"),
        ("infeed", "1 in", "from .0000\u202fin to .3937\u202fin"),
        ("infeed", "5", "5 thou"),
        ("end_taken", "5 in", "out of range"),
        ("done_at", "2999-01-01T00:00", "future"),
        ("done_at", "2001-01-01T00:00", "before the box came"),
        ("done_at", "yesterday", "2026-01-31 14:30"),
        ("grinds", ["point"], "On this kind is ground"),
    ],
)
def test_wrong_input_is_said_beside_the_field_and_kept(line, bench_hand, hand, field, typed, said):
    ready_to_grind(line, bench_hand)
    answer = hand.send(WHERE, **({"minutes": "5"} | {field: typed}), note="second shift")
    page = answer.content.decode()
    assert answer.status_code == 422
    assert said in page
    assert "second shift" in page
    assert answer.context["form"].errors.keys() == {field}
    assert answer.context["form"][field].value() == typed
    assert not Grind.objects.exists()


def test_where_plans_differ_each_piece_keeps_its_own_planned_figures(line, bench_hand, hand):
    first, *others = pieces_of(line)
    ready_to_grind(line, bench_hand, pieces=[first])
    ready_to_grind(line, bench_hand, pieces=others, diameter_nm=6_000_000)
    assert hand.open(WHERE).context["form"]["infeed"].value() is None
    hand.send(WHERE, minutes="5")
    taken = dict(Grind.objects.values_list("piece__number", "infeed_radial_nm"))
    assert taken[1] == 119_380  # (.2500 in - .2408 in) / 2 with a mean .0002 in of runout: the worked example
    assert taken[2] == taken[3] == 119_380 + (6_116_320 - 6_000_000) // 2


def test_one_piece_of_a_line_can_be_ground_by_itself(line, bench_hand, hand):
    pieces = ready_to_grind(line, bench_hand)
    form = hand.open(WHERE, piece=str(pieces[1].pk)).context["form"]
    assert form["pieces"].value() == [str(pieces[1].pk)]
    hand.send(WHERE, minutes="5", pieces=[pieces[1].pk])
    assert [p.number for p in pieces_of(line, "ground")] == [2]


@pytest.mark.parametrize("count", [1, 10, 400])
def test_queries_do_not_grow_with_the_pieces(count, make_batch, bench_hand, hand, django_assert_num_queries):
    line = make_batch(count, number=500).lines.get()
    ready_to_grind(line, bench_hand)
    with django_assert_num_queries(QUERIES):
        hand.open("/bench/500-1/grind")


QUERIES = 19


def test_an_empty_page_says_what_to_do_first(line, hand):
    assert "Plan what is inspected first" in hand.open(WHERE).content.decode()


def test_a_ground_line_is_not_offered_again(line, bench_hand, hand):
    ground(line, bench_hand)
    assert hand.open(WHERE).context["form"].by_id == {}
    assert Piece.objects.filter(status="ground").count() == 3
