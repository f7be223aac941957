"""The number pad: keys for gloves, beside the page or as a sheet from below, never over the field that is in use."""

import gzip
from pathlib import Path

import pytest
from playwright.sync_api import expect

from .job_steps import Hand

LEAST_PX = {"tablet": 96, "portrait": 96, "phone": 72}
WATCH_SHIFTS = """new PerformanceObserver(list => { for (const e of list.getEntries())
    if (!e.hadRecentInput) window.shifted = (window.shifted || 0) + e.value; })
    .observe({type: 'layout-shift', buffered: true})"""


@pytest.fixture
def inspecting(open_device, bench_hand, make_batch):
    """inspecting("tablet") -> the inspection page of a line of three, at a device."""
    line = make_batch(3).lines.get()

    def at(device: str, **options):
        hand = Hand(open_device(device, **options))
        hand.sign_in("Bea")
        hand.open(f"/bench/{line}/inspect")
        return hand.page

    return at


def press(page, *keys: str) -> None:
    for key in keys:
        page.locator(f".pad .key-{key}").tap()


def box(page, selector: str) -> dict:
    return page.locator(selector).bounding_box()


@pytest.mark.parametrize("device", sorted(LEAST_PX))
def test_a_length_is_entered_by_keys_that_a_glove_hits_and_the_field_stays_in_sight(inspecting, device):
    page = inspecting(device)
    page.evaluate(WATCH_SHIFTS)
    for name, keys, said in (
        ("diameter", ("point", "2", "4", "9", "8"), "0.2498 in = 6.34492 mm"),
        ("damage_depth", ("4", "thou"), "0.004 in = 0.1016 mm"),
        ("reach", ("point", "0", "6"), "0.06 in = 1.524 mm"),
    ):
        page.locator(f"#id_{name}").tap()
        press(page, *keys)
        expect(page.locator(f"#id_{name}_echo")).to_have_text(said)
        expect(page.locator(".pad .display")).to_contain_text(said)
        assert page.locator(f"#id_{name}").evaluate("f => document.activeElement === f && f.inputMode") == "none"
        assert is_hit(page, f"#id_{name}")
    assert page.evaluate("window.shifted || 0") < 0.1
    keys = page.locator(".pad .key:not(.key-hand)").all()
    shown = [key.bounding_box() for key in keys if key.is_visible()]
    assert len(shown) >= 21
    assert min(min(b["width"], b["height"]) for b in shown) >= LEAST_PX[device]


@pytest.mark.parametrize("device", ["sideways", "zoomed"])
def test_on_a_low_screen_the_field_and_its_reading_stay_in_sight_above_low_keys(inspecting, device):
    page = inspecting(device)
    for name, said in (("diameter", "4 thou"), ("reach", "4 thou")):
        page.locator(f"#id_{name}").tap()
        press(page, "4", "thou")
        expect(page.locator(".pad .display")).to_contain_text(said)
        expect(page.locator(".pad .display")).to_contain_text("0.1016 mm")
        assert is_hit(page, f"#id_{name}")
    boxes = [key.bounding_box() for key in page.locator(".pad .key:not(.key-hand)").all() if key.is_visible()]
    assert len(boxes) >= 22
    assert min(min(b["width"], b["height"]) for b in boxes) >= 47.9
    assert box(page, ".pad")["height"] < page.viewport_size["height"] * 0.55


def is_hit(page, selector: str) -> bool:
    """Whether a finger on any corner of the field would touch it: nothing lies over it, and it is on the screen."""
    return page.locator(selector).evaluate("""f => { const b = f.getBoundingClientRect();
        return [[b.left + 4, b.top + 4], [b.right - 4, b.bottom - 4], [b.right - 4, b.top + 4]].every(
            ([x, y]) => document.elementFromPoint(x, y) === f); }""")


LATE_CLICK = """key => new Promise(done => {
    const tell = (type, pointerId) => key.dispatchEvent(new PointerEvent(type,
        {bubbles: true, cancelable: true, pointerId, pointerType: "touch", isPrimary: true, detail: 1}));
    tell("pointerdown", 71); tell("pointerup", 71);
    setTimeout(() => { tell("click", 71); done(); }, 400);
})"""


def test_a_click_that_comes_late_on_a_slow_tablet_writes_no_second_figure(inspecting):
    page = inspecting("tablet")
    field = page.locator("#id_diameter")
    field.tap()
    page.locator(".pad .key-4").evaluate(LATE_CLICK)
    expect(field).to_have_value("4")
    page.locator(".pad .key-5").evaluate("key => key.click()")  # an aid's click, no touch before it
    expect(field).to_have_value("45")


def test_back_clear_unit_slash_and_dash_write_what_they_say(inspecting):
    page = inspecting("tablet")
    field = page.locator("#id_flute_length")
    page.get_by_text("Gauges, tooth and relief").tap()
    field.tap()
    press(page, "1", "sign", "1", "slash", "4")
    expect(field).to_have_value("1-1/4")
    press(page, "mm", "in")
    expect(field).to_have_value("1-1/4 in")
    press(page, "8")  # a digit goes before the unit, not after it
    expect(field).to_have_value("1-1/48 in")
    press(page, "back", "back", "2", "thou", "in", "back")  # at the end a unit goes as one
    expect(field).to_have_value("1-1/2")
    press(page, "clear", "thou")  # a unit alone is no length
    expect(field).to_have_value("")


def test_the_sign_of_a_tooth_turns_and_next_goes_from_tooth_to_tooth(inspecting):
    page = inspecting("tablet")
    page.locator("label:has(#part-runout)").tap()
    page.locator("#id_tooth_1").tap()
    press(page, "0", "next", "2", "tenths", "sign", "next", "4", "sign")
    assert [page.locator(f"#id_tooth_{n}").input_value() for n in (1, 2, 3)] == ["0", "-2 tenths", "-4"]
    press(page, "sign")
    expect(page.locator("#id_tooth_3")).to_have_value("4")


def test_next_passes_what_is_folded_away_and_ends_at_the_button_that_saves(inspecting):
    page = inspecting("phone")
    page.locator("#id_diameter").tap()
    for name in ("damage_depth", "reach"):
        press(page, "next")
        assert page.evaluate("document.activeElement.name") == name
    press(page, "next")
    expect(page.get_by_role("button", name="Save inspection")).to_be_focused()
    expect(page.locator(".pad")).to_be_hidden()
    expect(page.locator(".error")).to_have_count(0)  # what came under the finger was not pressed


@pytest.mark.parametrize("device", ["portrait", "phone"])
def test_the_button_over_the_sheet_is_pressed_by_one_tap(inspecting, device):
    """The sheet goes when its field is left; the button that the finger came down on must not go from under it."""
    page = inspecting(device)
    page.locator("#id_diameter").tap()
    press(page, "4", "thou")
    with page.expect_navigation():
        page.get_by_role("button", name="Save inspection").click(delay=60)
    expect(page.locator(".error").first).to_be_visible()


def test_the_key_for_letters_gives_the_tablets_own_keyboard_until_the_field_is_left(inspecting):
    page = inspecting("portrait")
    field = page.locator("#id_diameter")
    field.tap()
    press(page, "board")
    expect(page.locator(".pad")).to_be_hidden()
    expect(field).to_be_focused()
    assert field.evaluate("f => f.inputMode") == "text"
    page.locator("#id_reach").tap()
    assert field.evaluate("f => f.inputMode") == "none"
    expect(page.locator(".pad")).to_be_visible()


def test_a_left_hand_has_the_pad_at_the_left_and_the_tablet_remembers_it(inspecting):
    page = inspecting("tablet")
    assert box(page, ".pad")["x"] > 640
    page.get_by_label("Number pad left").tap()
    page.reload()
    assert box(page, ".pad")["x"] == 0
    assert box(page, "#id_diameter")["x"] > box(page, ".pad")["width"]
    assert box(page, ".key-next")["x"] < box(page, ".key-1")["x"]


def test_a_left_handed_person_finds_the_pad_at_the_left_at_any_tablet(inspecting, bench_hand):
    bench_hand.left_handed = True
    bench_hand.save(update_fields=["left_handed"])
    assert box(inspecting("tablet"), ".pad")["x"] == 0


def test_a_key_without_a_field_fills_the_first_empty_one(inspecting):
    page = inspecting("tablet")
    press(page, "point", "2")
    expect(page.locator("#id_diameter")).to_have_value(".2")


def test_at_a_desk_the_pad_stays_away_until_it_is_asked_for_and_the_keyboard_does_all(inspecting):
    page = inspecting("desk")
    page.locator("#id_diameter").click()
    expect(page.locator(".pad")).to_be_hidden()
    page.keyboard.type(".2498", delay=20)
    assert page.locator("#id_diameter").evaluate("f => f.inputMode") == "decimal"
    ask = page.get_by_role("button", name="Number pad", exact=True)
    ask.click()
    expect(page.locator(".pad")).to_be_visible()
    page.locator(".pad .key-in").click()
    expect(page.locator("#id_diameter")).to_have_value(".2498 in")
    ask.click()
    expect(page.locator(".pad")).to_be_hidden()


def test_half_a_number_shows_no_error_while_it_is_typed(inspecting):
    page = inspecting("tablet")
    page.locator("#id_diameter").tap()
    for key in ("point", "2", "point", "slash"):
        press(page, key)
        page.wait_for_timeout(350)
        expect(page.locator("#id_diameter_echo button, .error")).to_have_count(0)
        assert page.locator("#id_diameter").get_attribute("aria-invalid") is None


@pytest.mark.parametrize("device", ["tablet", "phone"])
def test_the_pad_has_no_barrier(inspecting, axe, device):
    page = inspecting(device)
    page.locator("#id_diameter").tap()
    press(page, "4")
    expect(page.locator("#id_diameter_echo button").first).to_be_visible()
    assert axe(page) == []


def test_all_scripts_together_weigh_under_60_kb():
    scripts = [*Path("static/js").glob("*.js"), *Path("static/vendor").glob("*.js")]
    assert len(scripts) > 3
    assert sum(len(gzip.compress(script.read_bytes())) for script in scripts) <= 60_000
