"""What cannot be is said beside its field, and nothing makes a page of the bench book fall over."""

import html
import re

import pytest
from django.urls import reverse

from regrind.geometry.gauging import read_vee
from tests.calculators.book_pages import HOSTILE, WAYS, ask, example, names_of, shown


@pytest.mark.parametrize(
    ("what", "code", "field", "bad", "words"),
    [
        ("relief", "drop", "drop", "", "is required"),
        ("relief", "drop", "drop", "0.2.5", "is not a length"),
        ("relief", "drop", "drop", "4.9 mm", "must be below 4.6 mm"),
        ("relief", "drop", "distance", "6 mm", "smaller than the radius"),
        ("relief", "drop", "diameter", "0", "from 0.100 mm to 500.000 mm"),
        ("relief", "drop", "way", "sideways", "is not one of these"),
        ("relief", "aim", "relief", "50", "from 0° to 45°"),
        ("relief", "aim", "distance", "0.7 mm", "must stay on the land, at most 0.6 mm"),
        ("stylus", "cup", "gap", "30 mm", "where the edge leaves the stylus"),
        ("stylus", "cup", "helix", "71", "from 0° to 70°"),
        ("stylus", "cup", "after", "0.2 mm", "above the tip"),
        ("stylus", "straight", "edge_above", "6 mm", "smaller than"),
        ("stylus", "straight", "land", "40 mm", "smaller than the radius"),
        ("odd-flute", "vee", "teeth", "4", "odd number of teeth"),
        ("odd-flute", "mean", "tooth_1", "-0.001 mm", "one of them is 0"),
        ("odd-flute", "mean", "tooth_2", "", "is missing"),
        ("odd-flute", "mean", "vee_2", "", "is missing"),
        ("odd-flute", "mean", "teeth", "4", "is not one of these"),
        ("odd-flute", "chord", "steps", "3", "whole number from 1 to 2"),
        ("odd-flute", "pin", "reading", "7.0 mm", "above 8"),
        ("odd-flute", "gauge-pin", "tooth_1", "20 mm", "must be from"),
        ("zero-rake", "face", "core", "6.35 mm", "smaller than the diameter"),
        ("zero-rake", "face", "after", "3 mm", "above the core"),
        ("zero-rake", "face", "arc", "0.1 mm", "to reach from edge to core"),
        ("zero-rake", "face", "secondary", "12", "above the primary relief"),
        ("wheel-speed", "rpm", "marked", "0", "from 1 to 200000 rpm"),
        ("wheel-speed", "rpm", "speed", "fast", "from 0.1 to 200 m/s"),
        ("witness", "strip", "feed", "1 mm", "from 0 to 0.25 mm"),
        ("witness", "strip", "land", "0.1 mm", "at least the strip"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field(hand, what, code, field, bad, words):
    response = ask(hand, what, **example(what, code, **{field: bad}))
    assert response.status_code == 422
    errors = response.context["form"].errors
    assert words in " ".join(errors[field]).replace("\u202f", " ")
    assert list(errors) == [field]
    found = re.search(rf'id="id_{field}_error">(.*?)</div>', response.content.decode(), re.DOTALL)
    assert found
    assert html.escape(errors[field][0]) in found.group(1)
    if bad:
        assert html.escape(bad) in response.content.decode() or field in ("way", "teeth")


def test_a_range_is_named_in_the_unit_of_the_page(hand):
    response = ask(hand, "relief", **example("relief", "drop", "in", distance=".3"))
    assert ".2500" in response.context["form"].errors["distance"][0]


# --- nothing makes it fall over


def check_sound(response):
    """Answered, nothing of what was typed run or echoed raw, and no figure that is no number."""
    assert response.status_code in (200, 422)
    assert "<script>alert" not in response.content.decode()
    said = re.sub(r"“[^”]*”|(?<=[=?&])[^ ]*", "", shown(response))
    assert not {"nan", "inf", "-inf"} & set(said.replace("\u2212", "-").split())


@pytest.mark.parametrize(("what", "code"), WAYS)
def test_hostile_input_in_one_field_is_answered(hand, what, code):
    for count, name in enumerate(names_of(what, code)):
        for bad in HOSTILE[count % 3 :: 3]:
            check_sound(ask(hand, what, **example(what, code, **{name: bad})))


@pytest.mark.parametrize(("what", "code"), WAYS)
def test_hostile_input_in_every_field_is_answered(hand, what, code):
    for bad in HOSTILE:
        check_sound(ask(hand, what, by=code, unit=bad, **dict.fromkeys(names_of(what, code), bad)))


@pytest.mark.parametrize(("what", "code"), WAYS)
def test_a_hundred_thousand_characters_are_too_long(hand, what, code):
    everything = dict.fromkeys(names_of(what, code), "9" * 100_000)
    response = ask(hand, what, by=code, **everything)
    assert response.status_code == 422
    assert len(response.context["link"]) < 400


def test_control_characters_are_turned_away(hand):
    for sign in "\x00\x07\x1b":
        assert ask(hand, "relief", diameter=f"1{sign}").status_code == 400


def test_repeated_and_missing_fields_are_answered(hand):
    address = reverse("calculators:page", args=["relief"])
    assert hand.get(f"{address}?drop=.001&drop=.002").status_code == 422
    assert hand.post(address).status_code == 405


@pytest.mark.parametrize(("code", "rows"), [("mean", 2), ("gauge-pin", 1)])
def test_the_places_for_readings_follow_the_number_of_teeth(hand, code, rows):
    """Chosen anew the fragment brings as many places as teeth, for htmx to swap; else it leaves them alone."""

    def fragment(**changed):
        return hand.get(
            reverse("calculators:page", args=["odd-flute"]),
            example("odd-flute", code, **changed),
            headers={"HX-Request": "true"},
        ).content.decode()

    assert 'id="by-tooth"' not in fragment()
    five = fragment(teeth="5")
    assert five.count('id="by-tooth" hx-swap-oob="true"') == 1
    assert len(re.findall(r'<input[^>]* name="(?:vee|tooth)_[1-5]"', five)) == 5 * rows
    assert "3 of 5 teeth were read" in five
    page = ask(hand, "odd-flute", **example("odd-flute", code, teeth="7")).content.decode()
    assert len(re.findall(r'<input[^>]* name="(?:vee|tooth)_[1-7]"', page)) == 7 * rows


def test_five_readings_of_a_v_anvil_give_the_mean_and_the_swept_diameter(hand):
    """One of five teeth of a 10 mm tool .010 high: read_vee shows 10.0106, 10 and 10.0047; their mean is 10.004."""
    radii = [5.01, 5.0, 5.0, 5.0, 5.0]
    typed = {f"vee_{k}": f"{read_vee(radii, k):.6f} mm" for k in range(1, 6)}
    typed |= {f"tooth_{k}": "0" if k == 1 else "-0.010 mm" for k in range(1, 6)}
    result = ask(hand, "odd-flute", **example("odd-flute", "mean", teeth="5", **typed)).context["result"]
    left = {figure.label: figure.value.replace("\u202f", " ") for figure in result.figures}
    assert left == {
        "Diameter swept": "10.020 mm",
        "Mean diameter": "10.004 mm",
        "Runout, highest to lowest": "0.010 mm",
    }


def test_a_v_anvil_that_shows_its_height_and_no_indicator_give_the_mean(hand):
    """Three teeth of 10 mm stand 15 mm high in a V of 60 degrees (by hand: 1.5 D)."""
    typed = {f"vee_{k}": "15.0 mm" for k in (1, 2, 3)} | dict.fromkeys(("tooth_1", "tooth_2", "tooth_3"), "")
    result = ask(hand, "odd-flute", **example("odd-flute", "mean", shows="height", **typed)).context["result"]
    assert [figure.value.replace("\u202f", " ") for figure in result.figures] == ["10.000 mm"]
