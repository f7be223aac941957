"""Runout as inspected, on the plan's page and at the final check: what no grinding took away is still there."""

import json
import re

import pytest

from regrind.bench.models import FinalCheck
from regrind.geometry.units import Typed, parse
from regrind.record.models import Line

from .tray import ground, pieces_of, ready_to_grind

pytestmark = pytest.mark.django_db
WHERE = "/bench/450-1/check"
READ = {"diameter": ".2408", "method": "v-anvil", "passed": "yes"}


def text_of(page) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page.content.decode()))


@pytest.mark.parametrize(("shank", "warned"), [(".0022", False), (".0023", True)])
def test_a_shank_that_runs_out_by_more_than_half_the_stock_is_told_by_the_page(
    make_batch, at_bench, inspect_typed, shank, warned
):
    """4 thou of damage and half a thou of finish allowance: half of the stock is 2.25 thou.

    Half the stock: common practice, from memory.
    """
    line = make_batch(1, number=450).lines.get()
    [piece] = pieces_of(line)
    typed = inspect_typed | {"shank_tir": shank, "sure": "on"}
    assert at_bench.post("/bench/450-1/inspect", pieces=[piece.pk], **typed).status_code == 302
    page = at_bench.get("/bench/450-1/plan")
    [sides] = [option for option in page.context["group"].options if option["sides"] and not option["end"]][:1]
    assert sides["removal_radial_mm"]
    assert round(max(sides["removal_radial_mm"]) / 25.4, 4) == 0.0045
    assert ("the shank runs out by more than half the stock" in text_of(page)) is warned


@pytest.fixture
def end_only(make_batch, bench_hand):
    """end_only(".0004 in") -> two pieces with that runout of the teeth, of which the end alone was ground."""

    def make(tir: str, second: str = ""):
        line = make_batch(2, number=450).lines.get()
        one, other = pieces_of(line)
        for piece, read in ((one, tir), (other, second)):
            typed = {"tir": parse(read)} if read else {}
            ready_to_grind(line, bench_hand, pieces=[piece], typed=typed, grinds="end")
        ground(line, bench_hand, parts="end")
        return line

    return make


def found(number: int) -> dict:
    row = FinalCheck.objects.get(piece__number=number)
    return {finding["what"]: finding for finding in json.loads(row.findings)}


def test_runout_that_was_left_alone_is_told_at_the_final_check(end_only, hand):
    end_only(".0004 in")
    assert re.search(r"Runout of the teeth, 1-1\s+\.0004 in", text_of(hand.open(WHERE)).replace("\u202f", " "))


def test_runout_is_not_told_where_the_sides_were_ground(make_batch, bench_hand, hand):
    line = make_batch(1, number=450).lines.get()
    ready_to_grind(line, bench_hand, typed={"tir": parse(".0004 in")})
    ground(line, bench_hand, parts="sides end")
    assert "Runout of the teeth" not in text_of(hand.open(WHERE))


def test_runout_left_alone_past_the_limit_stands_in_the_way_until_it_is_read_again_or_a_reason_given(end_only, hand):
    line = end_only(".0019 in")
    Line.objects.update(runout_limit_nm=12_700)
    [one, _] = pieces_of(line)
    refused = hand.send(WHERE, **READ, pieces=[one.pk])
    assert "is outside .0005\u202fin or less" in refused.context["form"].errors["runout_sides"][0]
    because = {"released_because": "the customer takes it"}
    assert hand.send(WHERE, **READ, **because, pieces=[one.pk]).status_code == 302
    assert found(1)["runout on the sides"]["source"].endswith("read at the inspection, the sides were left alone")


def test_runout_that_is_read_again_goes_before_the_inspections(end_only, hand):
    line = end_only(".0019 in")
    Line.objects.update(runout_limit_nm=12_700)
    [one, _] = pieces_of(line)
    assert hand.send(WHERE, **READ, runout_sides=".0003", pieces=[one.pk]).status_code == 302
    assert found(1)["runout on the sides"]["nm"] == 7_620


def test_runout_by_tooth_is_the_highest_less_the_lowest(make_batch, bench_hand, hand):
    line = make_batch(1, number=450).lines.get()
    each = [Typed(-n * 2_540, "", "in") for n in (0, 3, 1)]
    ready_to_grind(line, bench_hand, each_tooth=each, grinds="end", teeth=3)
    ground(line, bench_hand, parts="end")
    assert re.search(r"Runout of the teeth, 1-1\s+\.0003 in", text_of(hand.open(WHERE)).replace("\u202f", " "))
