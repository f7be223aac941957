"""Measuring on a photo by touch: four taps, a lens under the finger, keys for the last pixel."""

import json

import pytest
from playwright.sync_api import expect

from regrind.bench.models import Photo
from tests.bench.photo_maker import photo_of
from tests.bench.tray import pieces_of

from .job_steps import Hand

SIZES = {"tablet": (1024, 768), "phone": (320, 640)}
WIDER = "document.documentElement.scrollWidth - innerWidth"


@pytest.mark.parametrize("device", sorted(SIZES))
def test_four_taps_and_the_known_size_give_a_reading(
    open_device, bench_hand, make_batch, settings, tmp_path, axe, device
):
    settings.MEDIA_ROOT = tmp_path / "photos"
    line = make_batch(1).lines.get()
    photo = photo_of(by=bench_hand, line=line, piece=pieces_of(line)[0])
    width, height = SIZES[device]
    hand = Hand(open_device("tablet", viewport={"width": width, "height": height}, device_scale_factor=1))
    hand.sign_in("Bea")
    hand.open(f"/bench/photo/{photo.pk}/measure")
    page = hand.page
    box = page.locator(".stage img").bounding_box()
    for number, (across, down) in enumerate(((0.1, 0.2), (0.9, 0.2), (0.5, 0.4), (0.5, 0.7))):
        expect(page.locator("[name=point]").nth(number)).to_be_checked()
        page.touchscreen.tap(box["x"] + across * box["width"], box["y"] + down * box["height"])
    first = float(page.locator("#id_scale_1_x").input_value())
    assert first == pytest.approx(0.1 * photo.width, abs=1.5)
    page.get_by_label("Known size, one end", exact=True).check()
    page.get_by_role("button", name="One pixel right").tap()
    assert float(page.locator("#id_scale_1_x").input_value()) == pytest.approx(first + 1)
    assert page.evaluate(WIDER) <= 0
    hand.fill(known=".25 in")
    assert axe(page) == []
    hand.press("Work out")
    expect(page.locator("[role=status]")).to_contain_text("Wear land")
    hand.press("Save reading")
    values = json.loads(Photo.objects.latest("pk").measured)
    scale, damage = values["scale_2"][0] - values["scale_1"][0], values["damage_2"][1] - values["damage_1"][1]
    assert values["nm"] == pytest.approx(6_350_000 * damage / scale, rel=0.01)


def test_the_lens_shows_what_lies_under_the_finger(open_device, bench_hand, make_batch, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "photos"
    line = make_batch(1).lines.get()
    photo = photo_of(by=bench_hand, line=line)
    hand = Hand(open_device("desk"))
    hand.sign_in("Bea")
    hand.open(f"/bench/photo/{photo.pk}/measure")
    box = hand.page.locator(".stage img").bounding_box()
    hand.page.mouse.move(box["x"] + 40, box["y"] + 40)
    hand.page.mouse.down()
    hand.page.mouse.move(box["x"] + 60, box["y"] + 80)
    lens = hand.page.locator(".lens")
    expect(lens).to_be_visible()
    assert lens.evaluate("lens => lens.style.backgroundPosition") == f"{84 - 60 * 4}px {84 - 80 * 4}px"
    hand.page.mouse.up()
    expect(lens).to_be_hidden()
    assert float(hand.page.locator("#id_scale_1_y").input_value()) == pytest.approx(
        80 / box["height"] * photo.height, abs=0.2
    )


@pytest.mark.parametrize("device", sorted(SIZES))
def test_the_lens_stays_on_the_screen_and_off_the_finger(
    open_device, bench_hand, make_batch, settings, tmp_path, device
):
    settings.MEDIA_ROOT = tmp_path / "photos"
    photo = photo_of(by=bench_hand, line=make_batch(1).lines.get())
    width, height = SIZES[device]
    hand = Hand(open_device("desk", viewport={"width": width, "height": height}))
    hand.sign_in("Bea")
    hand.open(f"/bench/photo/{photo.pk}/measure")
    box = hand.page.locator(".stage img").bounding_box()
    for across, down in ((0.1, 0.2), (0.5, 0.4), (0.5, 0.7), (0.9, 0.6)):
        x, y = box["x"] + across * box["width"], box["y"] + down * box["height"]
        hand.page.mouse.move(x, y)
        hand.page.mouse.down()
        lens = hand.page.locator(".lens").bounding_box()
        assert hand.page.evaluate(WIDER) <= 0
        assert lens["x"] >= 0
        assert not (lens["x"] < x < lens["x"] + lens["width"] and lens["y"] < y < lens["y"] + lens["height"])
        hand.page.mouse.up()
