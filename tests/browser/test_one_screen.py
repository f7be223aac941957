"""What decides stands on one screen of a tablet, on its side and upright, without scrolling."""

import pytest

from .job_steps import Hand

SIZES = {"on its side": {"width": 1024, "height": 768}, "upright": {"width": 820, "height": 1180}}
IN_SIGHT = """names => { const bar = document.querySelector('.bar.actions').getBoundingClientRect();
    return names.filter(name => { const box = document.querySelector(name).getBoundingClientRect();
        return box.top < 0 || box.bottom > Math.min(bar.top, innerHeight) || box.right > innerWidth; }); }"""


@pytest.fixture
def tablet(open_device, bench_hand):
    """tablet("upright") -> somebody of the bench at a tablet of that size."""

    def at(size: str) -> Hand:
        hand = Hand(open_device("tablet", viewport=SIZES[size], device_scale_factor=1))
        hand.sign_in("Bea")
        return hand

    return at


@pytest.mark.parametrize("size", sorted(SIZES))
def test_ten_like_tools_are_inspected_on_one_screen(tablet, make_batch, size):
    line, hand = make_batch(10).lines.get(), tablet(size)
    hand.open(f"/bench/{line}/inspect")
    needed = ["h1", ".pieces", "#id_diameter", "#id_damage_depth", "#id_reach", "#id_diameter_source_1"]
    assert hand.page.evaluate(IN_SIGHT, needed) == []
    hand.page.evaluate("document.querySelector('.pieces').style.marginBottom = '700px'")  # and what is not there shows
    assert hand.page.evaluate(IN_SIGHT, needed) == [
        "#id_diameter",
        "#id_damage_depth",
        "#id_reach",
        "#id_diameter_source_1",
    ]
