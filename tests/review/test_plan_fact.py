"""Planned and actual: a bias that is not chance is shown and offered, accepted once, stored, and gone from then on."""

import random
from dataclasses import replace
from datetime import timedelta
from html import unescape

import pytest
from django.utils import timezone

from regrind.bench.models import FinalCheck
from regrind.record.defaults import accepted
from regrind.record.models import Customer, FamilyDefault, FamilyMonth, Piece
from regrind.record.rollup_rebuild import rebuild
from regrind.review.families import all_rows
from regrind.review.family_views import senders_of, smallest_sizes
from regrind.review.filters import ReviewFilter
from regrind.review.piece_facts import MOST, Fact, Setup, read_facts
from regrind.review.plan_fact import compare, offers
from tests.bench.tray import Hand
from tests.events import make_event
from tests.review.measured import measure

ALLOWANCES = {"finish_radial": 12_700, "finish_end": 50_800}


FACT = Fact(1, "1-1-1", None, 0, "ground", True, False, 750)


def off_by(*off_nm: int) -> list[Fact]:
    """Ground pieces whose diameter lost so much more than was predicted."""
    return [
        replace(
            FACT,
            key=n,
            came_nm=6_350_000,
            left_nm=6_150_000 - off,
            taken_nm=200_000 + off,
            predicted_nm=200_000,
            planned_nm=6_150_000,
            wheel=7,
        )
        for n, off in enumerate(off_nm)
    ]


def removal(facts, **more):
    return next(line for line in compare(facts, [], {}, "in", more.get("since", {})) if line.quantity == "removal")


def test_a_steady_bias_is_said_and_offered_as_what_can_be_read():
    facts = off_by(*[25_000, 26_000, 24_500, 25_500, 26_500, 25_000, 24_000, 25_800, 25_200])
    lines = compare(facts, [], {7: "D64"}, "in", {})
    assert [(line.quantity, line.scope, line.bias.finding) for line in lines] == [
        ("removal", "this family", "bias"),
        ("size", "this family", "bias"),
        ("removal", "D64", "bias"),
    ]
    [offer] = offers(lines, ALLOWANCES, "in")
    assert (offer.allowance, offer.now_nm, offer.cases) == ("finish_radial", 12_700, 9)
    assert offer.value_nm == 25_400  # 12.7 + 25.3 / 2 µm is 25.3 µm: .0010 in
    assert offers(compare(facts, [], {}, "mm", {}), ALLOWANCES, "mm")[0].value_nm == 25_000


def test_chance_few_and_what_cannot_be_read_are_not_offered():
    chance = random.Random(6)
    for facts, said in (
        (off_by(*[25_000] * 7), "too few"),
        (off_by(*[1_000] * 12), "small"),
        (off_by(*[round(chance.gauss(0, 20_000)) for _ in range(40)]), "chance"),
    ):
        assert removal(facts).bias.finding == said
        assert offers([removal(facts)], ALLOWANCES, "in") == []


def test_a_radius_that_comes_out_larger_than_planned_is_told_and_changes_no_default():
    """Twelve radii about .02 mm above 0.5 mm: more than chance, and no allowance stands behind a radius."""
    facts = [replace(FACT, key=n, corner_nm=520_000 + 1_000 * (n % 3), corner_planned_nm=500_000) for n in range(12)]
    lines = {line.quantity: line for line in compare([*facts, FACT], [], {}, "mm", {})}
    assert (lines["corner"].bias.n, lines["corner"].bias.finding) == (12, "bias")
    assert (lines["corner"].predicted, lines["corner"].actual) == (500_000, 521_000)
    assert offers([lines["corner"]], ALLOWANCES, "mm") == []


def test_an_allowance_never_goes_below_nothing():
    [offer] = offers([removal(off_by(*[-60_000] * 12))], ALLOWANCES, "in")
    assert offer.value_nm == 0


def test_minutes_are_predicted_by_the_setups_before_and_told_by_wheel():
    day = timezone.now()
    steady = [Setup(3000, 5, 1, day + timedelta(days=n)) for n in range(12)]
    slower = [Setup(4500, 5, 2, day + timedelta(days=20 + n)) for n in range(10)]
    lines = {line.scope: line for line in compare([], [*steady, *slower], {1: "D64", 2: "D46"}, "in", {})}
    assert lines["D64"].bias.finding == "chance"
    assert lines["D46"].bias.finding == "bias"
    assert lines["this family"].bias.n == 19
    assert lines["D46"].predicted < lines["D46"].actual == 900


def test_a_small_lot_that_takes_longer_a_piece_is_no_bias():
    """Ten minutes to set up and four for each, in lots of one to eight: each setup is predicted to the hundredth."""
    day = timezone.now()
    setups = [Setup(1000 + 400 * m, m, 1, day + timedelta(days=n)) for n, m in enumerate([3, 1, 8, 2, 5, 1, 1, 7] * 3)]
    line, _ = compare([], setups, {1: "D64"}, "in", {})
    assert (line.bias.n, line.bias.mean, line.bias.finding) == (21, 0, "chance")
    assert line.predicted == line.actual


@pytest.fixture
def at_desk(client, owner):
    client.force_login(owner)
    return Hand(client)


def sent(family, value_nm: int | str = 25_400, **more) -> dict:
    return {"what": "finish_radial", "value_nm": value_nm, "cases": 12, "off_nm": 12_500} | more


def test_what_is_offered_is_accepted_kept_with_who_and_no_longer_offered(at_desk, biased, owner):
    where = f"/review/{biased.pk}"
    page = at_desk.open(where)
    [(offer, words)] = page.context["offers"]
    assert (offer.value_nm, offer.cases, offer.off_nm) == (25_400, 12, 12_500)
    assert words in unescape(page.content.decode())
    key = page.content.decode().split('name="once" value="')[1].split('"')[0]
    answer = at_desk.client.post(f"{where}/accept", sent(biased, once=key))
    again = at_desk.client.post(f"{where}/accept", sent(biased, once=key))
    assert (answer.status_code, answer["Location"]) == (again.status_code, again["Location"]) == (302, f"{where}#plan")
    [row] = FamilyDefault.objects.all()
    assert (row.value_nm, row.cases, row.off_nm, row.by) == (25_400, 12, 12_500, owner)
    page = at_desk.open(where)
    assert page.context["offers"] == []
    assert "Oda" in page.content.decode()


def test_a_default_is_taken_back_and_both_stay_in_the_record(at_desk, biased):
    where = f"/review/{biased.pk}/accept"
    at_desk.client.post(where, sent(biased, once="a"))
    assert at_desk.client.post(where, sent(biased, "", once="b")).status_code == 302
    assert accepted(biased) == {}
    assert FamilyDefault.objects.count() == 2
    assert at_desk.client.post(where, sent(biased, "", once="c")).status_code == 422


@pytest.mark.parametrize(
    "wrong",
    [
        {"value_nm": "30000"},
        {"what": "stylus"},
        {"value_nm": "-5"},
        {"cases": "x"},
        {"value_nm": "NaN"},
        {"what": "finish_end"},
    ],
)
def test_what_the_page_does_not_offer_is_refused(at_desk, biased, wrong):
    answer = at_desk.client.post(f"/review/{biased.pk}/accept", sent(biased, once="a") | wrong)
    assert answer.status_code == 422
    assert not FamilyDefault.objects.exists()


def test_a_part_of_the_record_offers_no_default(at_desk, biased):
    assert at_desk.open(f"/review/{biased.pk}", since="2000-01-01").context["offers"] == []


def test_facts_are_read_as_they_stand(biased):
    facts = read_facts(biased, ReviewFilter())
    assert (len(facts.pieces), facts.cut) == (15, False)
    assert [f.number for f in facts.pieces] == [str(p) for p in Piece.objects.order_by("-pk").select_related("batch")]
    ground = [f for f in facts.pieces if f.result == "ground"]
    assert {(f.taken_nm - f.predicted_nm) // 10_000 for f in ground} == {2}
    assert {(f.hundredths, f.end_nm, f.end_predicted_nm) for f in ground} == {(600, 100_000, 100_000)}
    assert sum(f.past_limit for f in facts.pieces) == 3


def test_only_the_newest_are_drawn_and_it_is_said(biased, make_batch, monkeypatch):
    monkeypatch.setattr("regrind.review.piece_facts.MOST", 10)
    facts = read_facts(biased, ReviewFilter())
    assert (len(facts.pieces), facts.cut) == (10, True)
    assert MOST == 500


def test_a_limit_on_the_page_is_of_whoever_sent_the_part_that_is_inspected(biased, customer, make_batch):
    other = Customer.objects.create(name="Other Works", smallest_nm=6_000_000)
    Customer.objects.filter(pk=customer.pk).update(smallest_nm=5_842_000)
    FamilyMonth.objects.create(family=biased, customer=other, month="2020-01-01")  # its pieces went elsewhere
    assert [sender.pk for sender in senders_of(biased, ReviewFilter())] == [customer.pk]
    make_batch(1, of=biased, owner=other)
    rebuild()
    assert [words for _, words in smallest_sizes(senders_of(biased, ReviewFilter()), biased)] == [
        "smallest, Other Works",
        f"smallest, {customer.name}",
    ]
    assert [sender.name for sender in senders_of(biased, ReviewFilter(customer=other))] == ["Other Works"]


def test_a_slip_that_is_no_regrind_counts_in_no_comparison_as_in_no_mean(biased):
    """A diameter read of another tool: the roll-ups leave it out, and so does plan against fact."""
    check = FinalCheck.objects.order_by("pk").first()
    slip = FinalCheck.objects.create(
        piece=check.piece, revision=2, event=make_event(check.by), grind=check.grind, passed=True
    )
    measure(slip, 60_000_000)
    rebuild()
    [row] = all_rows(ReviewFilter(), only=biased)
    measured = [f for f in read_facts(biased, ReviewFilter()).pieces if f.taken_nm is not None]
    assert len(measured) == row.sums.stock_n == 11
