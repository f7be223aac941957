"""A ball and a corner radius on a tablet: three readings, the arc tapped, the profile drawn, an option kept."""

import pytest
from playwright.sync_api import expect

from regrind.bench.models import Plan
from regrind.record.models import Customer, Family, Piece

from .job_steps import Hand

WORN = {
    "ball": ("ball", {}, {"diameter": "9.99 mm", "damage_depth": "0.05 mm", "flute_length": "22 mm"}, "R 4.995"),
    "radius": (
        "radius",
        {"corner_radius_nm": 1_000_000},
        {"diameter": "9.99 mm", "damage_depth": "0.05 mm", "flute_length": "22 mm"},
        "R 1.000",
    ),
}


@pytest.fixture
def bench(open_device, bench_hand):
    def at(device: str) -> Hand:
        hand = Hand(open_device(device))
        hand.sign_in("Bea")
        return hand

    return at


@pytest.mark.parametrize("device", ["tablet", "phone"])
@pytest.mark.parametrize("kind", ["ball", "radius"])
def test_the_arc_is_tapped_and_the_same_radius_is_planned(bench, make_batch, axe, kind, device):
    code, more, typed, radius = WORN[kind]
    family = Family.objects.create(
        kind=code, nominal_nm=10_000_000, teeth=4, material="carbide", flute_length_nm=22_000_000, **more
    )
    line = make_batch(1, of=family, owner=Customer.objects.create(name="Stillwell", unit="mm")).lines.get()
    hand = bench(device)
    hand.open(f"/bench/{line}/inspect")
    key = hand.page.get_by_label("Damage ends at 60°")
    box = key.locator(".toothkey").bounding_box()
    assert min(box["width"], box["height"]) >= 44
    key.tap()
    expect(hand.page.locator("#id_reach")).to_have_value("60°")
    assert axe(hand.page) == []
    hand.fill(**typed)
    hand.press("Save inspection")
    profile = hand.page.locator("svg[aria-label^='Profile of the end']")
    expect(profile).to_be_visible()
    assert radius in profile.get_attribute("aria-label").replace("\u202f", " ")
    assert axe(hand.page) == []
    hand.press("Plan this option")
    assert Piece.objects.get().status == "ready_to_grind"
    assert Plan.objects.get().grinds == ("ball" if kind == "ball" else "end corner")
    hand.open(f"/bench/{line}/setup-card")
    expect(hand.page.locator(f".part[data-part={'ball' if kind == 'ball' else 'corner'}]")).to_be_visible()
    assert axe(hand.page) == []
