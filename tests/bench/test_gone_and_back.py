"""A page that was opened before a piece went on and came back is not of that piece any more; nor is its undo."""

import re

import pytest

from regrind.bench.checking.actions import check
from regrind.bench.grinding.actions import grind
from regrind.bench.inspecting.actions import inspect
from regrind.bench.models import FinalCheck, Grind, Inspection, Plan
from regrind.geometry.units import parse
from regrind.record.models import Piece
from regrind.shop.models import Person, ShopSettings
from tests.events import undo_newest

from .tray import ground, pieces_of, plan_by_example, ready_to_grind, send_undo

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch):
    return make_batch(1, number=417).lines.get()


@pytest.fixture
def cara(db):
    return Person.objects.create_user("Cara", "a long password", bench=True)


def where() -> str:
    return Piece.objects.get().status


@pytest.mark.parametrize("page", ["/bench/417-1/check", "/bench/417-1/", "/bench/setups"])
def test_undo_does_not_reach_past_what_another_tablet_did_since(line, bench_hand, cara, hand, page):
    ground(line, bench_hand)
    shown = hand.open(page)
    check(by=cara, pieces=pieces_of(line), expected={}, typed={"diameter": parse("0.2408 in")})
    answer = send_undo(hand, shown)
    assert answer.status_code == 422
    assert where() == "released"
    assert "A later step depends on this: Checked" in answer.content.decode()
    assert "by Cara" in answer.content.decode()


@pytest.mark.parametrize("page", ["/bench/417-1/check", "/bench/417-1/", "/bench/setups"])
def test_undo_of_what_the_page_showed(line, bench_hand, hand, page):
    ground(line, bench_hand)
    assert send_undo(hand, hand.open(page)).status_code == 302
    assert where() == "ready_to_grind"


def test_a_grind_typed_by_a_plan_that_was_taken_back_is_not_kept_under_another(line, bench_hand, cara, hand):
    ready_to_grind(line, bench_hand)
    sent = hand.fill("/bench/417-1/grind", minutes="10")
    undo_newest(pieces_of(line), cara)
    mine = pieces_of(line)
    plan_by_example(mine, cara, expected={mine[0].pk: 1}, chosen=1)
    answer = hand.client.post("/bench/417-1/grind", sent)
    assert answer.status_code == 409
    assert "1-1 is ready to grind again" in answer.content.decode()
    assert not Grind.objects.exists()


def test_a_whole_tray_typed_by_a_plan_that_was_taken_back_is_not_kept(line, bench_hand, cara, hand):
    ready_to_grind(line, bench_hand)
    address = re.search(r'href="(/bench/setups/\w+)"', hand.open("/bench/setups").content.decode())[1]
    sent = hand.fill(address, minutes="10")
    undo_newest(pieces_of(line), cara)
    mine = pieces_of(line)
    plan_by_example(mine, cara, expected={mine[0].pk: 1})
    assert hand.client.post(address, sent).status_code == 409
    assert not Grind.objects.exists()


def test_a_check_of_a_grind_that_was_taken_back_is_not_kept_for_the_next(line, bench_hand, cara, hand):
    ground(line, bench_hand)
    sent = hand.fill("/bench/417-1/check", diameter=".2408")
    undo_newest(pieces_of(line), cara)
    mine = pieces_of(line)
    grind(by=cara, pieces=mine, expected={mine[0].pk: 1}, grinds=["sides"])
    assert hand.client.post("/bench/417-1/check", sent).status_code == 409
    assert not FinalCheck.objects.exists()
    assert (
        hand.send("/bench/417-1/check", diameter=".2408", passed="yes").status_code == 302
    )  # the page as it stands now


def test_a_correction_does_not_pull_a_piece_back_that_was_ground_meanwhile(line, bench_hand, cara, hand):
    inspect(
        by=bench_hand, pieces=pieces_of(line), expected={}, typed={"diameter": parse("0.2498 in")}, damage="nothing"
    )
    sent = hand.fill("/bench/417-1/inspect", diameter=".2496", damage="nothing", pieces=[str(pieces_of(line)[0].pk)])
    mine = pieces_of(line)
    plan_by_example(mine, cara)
    grind(by=cara, pieces=pieces_of(line), expected={}, grinds=["sides"])
    assert hand.client.post("/bench/417-1/inspect", sent).status_code == 409
    assert where() == "ground"
    assert Inspection.objects.count() == 1


def inspected_plan(line, bench_hand, hand, **fields) -> dict:
    inspect(
        by=bench_hand,
        pieces=pieces_of(line),
        expected={},
        typed={"diameter": parse("0.2498 in"), "damage_depth": parse("4 thou"), "reach": parse(".06 in")},
        damage="depth",
        method="v-anvil",
    )
    page = hand.open("/bench/417-1/plan")
    html = page.content.decode()
    [piece] = pieces_of(line)
    return (
        {name: re.search(f'name="{name}" value="([^"]*)"', html)[1] for name in ("once", "seen", "group")}
        | {"pieces": [piece.pk], "option": page.context["picked"]}
        | fields
    )


@pytest.mark.parametrize("sent", [{"do": "keep"}, {"do": "ask", "reason": "too small?"}])
def test_a_plan_is_not_kept_with_figures_that_its_page_did_not_show(line, bench_hand, hand, sent):
    """The shop's allowance is changed in the office while the bench reads the options."""
    fields = inspected_plan(line, bench_hand, hand, **sent)
    ShopSettings.objects.update_or_create(pk=1, defaults={"finish_radial_nm": 250_000})
    answer = hand.client.post("/bench/417-1/plan", fields)
    assert answer.status_code == 409
    assert "the figures are not those that you decided on" in answer.content.decode()
    assert not Plan.objects.exists()
    assert where() == "inspected"


def test_a_piece_that_was_inspected_again_is_not_scrapped_by_what_was_read_before(line, bench_hand, cara, hand):
    fields = inspected_plan(line, bench_hand, hand, do="scrap", reason="nothing left of it")
    mine = pieces_of(line)
    inspect(by=cara, pieces=mine, expected={mine[0].pk: 1}, typed={"diameter": parse("0.2500 in")}, damage="nothing")
    answer = hand.client.post("/bench/417-1/plan", fields)
    assert answer.status_code == 409
    assert "Cara" in answer.content.decode()
    assert where() == "inspected"


def test_a_plan_whose_figures_stand_is_kept(line, bench_hand, hand):
    assert hand.client.post("/bench/417-1/plan", inspected_plan(line, bench_hand, hand, do="keep")).status_code == 302
    assert where() == "ready_to_grind"


def test_the_undo_of_a_page_is_of_its_setup_and_of_no_later_one(line, bench_hand, hand):
    ground(line, bench_hand)
    page = hand.open("/bench/setups")
    undo_newest(pieces_of(line), bench_hand)
    mine = pieces_of(line)
    grind(by=bench_hand, pieces=mine, expected={mine[0].pk: 1}, grinds=["sides"])
    answer = send_undo(hand, page)
    assert answer.status_code == 409
    assert "Bea has undone this already" in answer.content.decode()
    assert where() == "ground"


def test_a_setup_of_which_a_piece_went_on_is_not_undone_by_halves(make_batch, bench_hand, cara, hand):
    line = make_batch(2, number=418).lines.get()
    ground(line, bench_hand)
    page = hand.open("/bench/setups")
    check(by=cara, pieces=pieces_of(line)[:1], expected={}, typed={"diameter": parse("0.2408 in")})
    answer = send_undo(hand, page)
    assert answer.status_code == 422
    assert "A later step depends on this: Checked" in answer.content.decode()
    assert [piece.status for piece in pieces_of(line)] == ["released", "ground"]
