"""The plan under a finger: options tapped on the chart, the common size moved by a thumb, all drawn by the server."""

import re

import pytest
from playwright.sync_api import expect

from regrind.geometry.units import parse
from regrind.record.models import Piece
from tests.bench.tray import inspect, pieces_of

from .job_bench import EXAMPLE
from .job_steps import Hand

DEVICES = ["tablet", "portrait", "phone"]


@pytest.fixture
def bench(open_device, bench_hand):
    def at(device: str, **options) -> Hand:
        hand = Hand(open_device(device, **options))
        hand.sign_in("Bea")
        return hand

    return at


@pytest.fixture
def unlike(make_batch, bench_hand):
    """A line of three, inspected apart: .2408, .2390 and .2370 in is the most that each comes clean at, or near it."""
    line = make_batch(3).lines.get()
    for piece, diameter in zip(pieces_of(line), (".2498", ".2480", ".2460"), strict=True):
        inspect(
            by=bench_hand,
            pieces=[piece],
            expected={},
            damage="depth",
            typed={"diameter": parse(f"{diameter} in"), "damage_depth": parse("4 thou"), "reach": parse("0.7 in")},
        )
    return line


def example(hand: Hand, line) -> None:
    hand.open(f"/bench/{line}/inspect")
    hand.fill(**EXAMPLE)
    hand.choose(wear_land_way="cutting")
    hand.press("Save inspection")


@pytest.mark.parametrize("device", DEVICES)
def test_an_option_is_tapped_on_the_chart_and_that_one_is_kept(bench, make_batch, device, axe):
    line, hand = make_batch(1).lines.get(), bench(device)
    example(hand, line)
    before = hand.figures("Diameter after")
    point = hand.page.locator("svg a[aria-label='Option 3']")
    area = point.locator(".tap-area").bounding_box()
    assert min(area["width"], area["height"]) >= 48
    point.tap()
    expect(hand.page.locator("svg a[aria-label='Option 3'][aria-current]")).to_be_visible()
    assert hand.figures("Diameter after") != before
    assert hand.page.locator("[name=option]").input_value() == "2"
    assert axe(hand.page) == []
    hand.fill(reason="short is fine, by phone")
    hand.press("Plan this option")
    assert hand.page.get_by_text(hand.figures("Diameter after").split()[0]).first.is_visible()
    assert Piece.objects.get().status == "ready_to_grind"


@pytest.mark.parametrize("device", DEVICES)
def test_the_common_size_is_moved_by_a_thumb_or_by_steps_and_taken(bench, unlike, device, axe):
    hand = bench(device)
    hand.open(f"/bench/{unlike}/plan")
    thumb, bar = hand.page.get_by_label("The size, in steps"), hand.page.locator(".sizebar > svg")
    last = int(thumb.get_attribute("max"))
    hand.page.get_by_role("link", name="Show .2350").tap()
    expect(bar).to_have_attribute("aria-label", "3 of 3 pieces come clean at .2350\u202fin")
    assert thumb.bounding_box()["height"] >= 48
    for at in range(last):
        clean = int(bar.get_attribute("aria-label").split()[0])
        hand.page.get_by_role("link", name="Larger").tap()
        expect(thumb).to_have_value(str(at + 1))
        assert int(bar.get_attribute("aria-label").split()[0]) < clean
    expect(hand.page.get_by_role("link", name="Larger")).to_have_count(0)
    thumb.press("Home")
    expect(thumb).to_have_value("0")
    expect(bar).to_have_attribute("aria-label", "3 of 3 pieces come clean at .2350\u202fin")
    assert axe(hand.page) == []
    hand.press(re.compile(r"^Plan .+, \d+ pieces?$"))
    assert set(Piece.objects.values_list("status", flat=True)) == {"ready_to_grind"}


def test_without_javascript_the_steps_are_links(bench, unlike):
    hand = bench("tablet", java_script_enabled=False)
    hand.open(f"/bench/{unlike}/plan")
    hand.follow("Show .2350\u202fin")
    hand.follow("Larger")
    assert "at=1" in hand.page.url
    assert hand.page.locator("[name=sizes][checked]").count() == 1


def test_the_drawn_stock_is_made_thicker_in_place(bench, make_batch):
    line, hand = make_batch(1).lines.get(), bench("tablet")
    example(hand, line)
    hand.page.get_by_role("link", name="Draw the stock thicker").tap()
    expect(hand.page.get_by_text("as thick")).to_be_visible()
