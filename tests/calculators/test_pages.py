"""The bench book answers its worked examples, says what is wrong beside the field, and never falls over."""

import html
import re
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import reverse

from regrind.calculators.pages import PAGES
from regrind.geometry.gauging import read_vee

WAYS = [(what, way.code) for what, page in PAGES.items() for way in page.ways]
HOSTILE = [
    "1e999",
    "nan",
    "1e400",
    "-1",
    "0",
    "9" * 70,
    "<script>alert(1)</script>",
    "٣",
    "1/0",
    ".5 in; drop",
    "\u202e.5",
    "9" * 15,
    "-9",
    "100 mm",
    ".000001 mm",
    "1e-400",
    "  ",
    "=1+1",
]


@pytest.fixture
def hand(client, bench_hand):
    client.force_login(bench_hand)
    return client


def ask(hand, what, /, **typed):
    return hand.get(reverse("calculators:page", args=[what]), typed)


def shown(response) -> str:
    """The page as it is read: no tags, plain spaces."""
    text = html.unescape(re.sub(r"<[^>]*>", " ", response.content.decode()))
    return re.sub(r"[\s\u202f\u00a0]+", " ", text)


def form_of(what, code):
    return PAGES[what].way(code).form


def names_of(what, code):
    """Every field of a page, those for standard uncertainties too."""
    return form_of(what, code)(unit="mm").fields


def example(what, code, unit="mm", /, **changed):
    return {"by": code, "unit": unit, **form_of(what, code).example(unit), **changed}


def test_the_book_lists_every_page(hand):
    text = hand.get(reverse("calculators:index")).content.decode()
    assert all(reverse("calculators:page", args=[what]) in text for what in PAGES)


def test_a_page_or_a_way_that_is_not_there_is_not_found(hand):
    assert ask(hand, "nothing").status_code == 404
    assert ask(hand, "relief", by="nothing").status_code == 404


@pytest.mark.parametrize("role", ["front_desk", "bench_hand", "owner"])
def test_everyone_who_is_signed_in_may_use_it(client, request, role):
    client.force_login(request.getfixturevalue(role))
    assert ask(client, "relief").status_code == 200


def test_nobody_else_may(client, db):
    assert ask(client, "relief").status_code == 302


@pytest.mark.parametrize(("what", "code"), WAYS)
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_a_page_opens_with_a_worked_example(hand, what, code, unit):
    response = ask(hand, what, by=code, unit=unit)
    assert response.status_code == 200
    result = response.context["result"]
    text = shown(response)
    assert "A worked example" in text
    assert result.figures[0].value in response.content.decode()
    assert "<svg" in response.content.decode()
    for line in result.working:
        assert re.sub(r"\s+", " ", line.formula) in text
        assert line.basis
        assert re.sub(r"\s+", " ", line.basis) in text


@pytest.mark.parametrize(("what", "code"), WAYS)
def test_the_uncertainty_comes_from_the_digits_and_goes_with_them(hand, what, code):
    digits = [name for name in form_of(what, code).base_fields if name.endswith("_digit")]
    assert digits
    with_digits = ask(hand, what, **example(what, code)).context["result"]
    without = ask(hand, what, **example(what, code, **dict.fromkeys(digits, ""))).context["result"]
    assert any(figure.sure.startswith("±") for figure in with_digits.figures)
    assert not any(figure.sure.startswith("±") for figure in without.figures)


@pytest.mark.parametrize(("what", "code"), WAYS)
def test_a_link_carries_what_was_typed(hand, what, code):
    first = ask(hand, what, **example(what, code))
    again = hand.get(first.context["links"]["mm"])
    assert again.context["result"] == first.context["result"]
    assert not again.context["is_example"]
    carried = parse_qs(urlsplit(first.context["link"]).query)
    given = {name: [value] for name, value in example(what, code).items() if value}
    assert carried == given


@pytest.mark.parametrize(("what", "code"), WAYS)
def test_the_other_unit_changes_no_number(hand, what, code):
    first = ask(hand, what, **example(what, code))
    other = hand.get(first.context["links"]["in"])
    assert other.status_code == 200
    for name, value in first.context["form"].cleaned_data.items():
        assert getattr(other.context["form"].cleaned_data[name], "nm", None) == getattr(value, "nm", None)


@pytest.mark.parametrize(("what", "code"), WAYS)
def test_answer_as_you_type_is_a_fragment_of_the_page(hand, what, code):
    whole = ask(hand, what, **example(what, code))
    fragment = hand.get(reverse("calculators:page", args=[what]), example(what, code), headers={"HX-Request": "true"})
    assert "<html" not in fragment.content.decode()
    assert "<form" not in fragment.content.decode()
    answer = fragment.content.decode().split('<div class="error"')[0]
    assert answer.strip() in whole.content.decode()
    assert "HX-Request" in fragment["Vary"]
    assert "HX-Request" in whole["Vary"]
    assert "HX-Push-Url" not in fragment


def test_what_is_wrong_is_said_beside_its_field_while_typing_and_goes_again(hand):
    """Each field has one place for its error, whole page or fragment; htmx swaps it by its id."""

    def slots(**changed):
        fragment = hand.get(
            reverse("calculators:page", args=["relief"]),
            example("relief", "drop", **changed),
            headers={"HX-Request": "true"},
        )
        assert fragment.status_code == 200
        return dict(
            re.findall(
                r'<div class="error" id="id_(\w+)_error" hx-swap-oob="true">(.*?)</div>',
                fragment.content.decode(),
                re.DOTALL,
            )
        )

    assert set(slots()) == set(names_of("relief", "drop"))
    assert set(slots().values()) == {""}
    wrong = slots(drop="0.2.5")
    assert "is not a length" in wrong.pop("drop")
    assert set(wrong.values()) == {""}
    assert "smaller than the radius" in slots(distance="6 mm")["distance"]
    assert 'data-choice="5 mm"' in slots(drop="5")["drop"]
    page = ask(hand, "relief", **example("relief", "drop", drop="0.2.5")).content.decode()
    assert all(page.count(f'id="id_{name}_error"') == 1 for name in names_of("relief", "drop"))


@pytest.mark.parametrize(("what", "code"), WAYS)
def test_no_script_is_needed(hand, what, code):
    body = ask(hand, what, by=code).content.decode().split("<main")[1]
    assert re.search(r'<form[^>]* method="get"[^>]* action="/calculators/', body)
    assert "Calculate</button>" in body
    assert "<script" not in body
    assert " style=" not in body
    for page in PAGES[what].ways:
        assert len(PAGES[what].ways) == 1 or f"?by={page.code}&amp;unit=" in body


def test_it_is_made_to_print(hand):
    assert "css/calculators.css" in ask(hand, "relief").content.decode()
    css = Path("static/css/calculators.css").read_text()
    assert "@page" in css.split("@media print")[1]


# --- the worked examples of independent models (numeric models of section, helix and gauge), by hand, or of tables


@pytest.mark.parametrize(
    ("way", "drop"), [("tangent", "0.05433"), ("land", "0.05375"), ("arc", "0.05388"), ("traversed", "0.07053")]
)
def test_10_mm_at_0_4_and_10_degrees_in_each_way(hand, way, drop):
    """Independent models of the section: D 10, w 0.4, 10°."""
    typed = example("relief", "aim", diameter="10 mm", distance="0.4 mm", relief="10", way=way)
    assert f"d = {drop} mm" in shown(ask(hand, "relief", **typed))
    back = example("relief", "drop", diameter="10 mm", distance="0.4 mm", drop=f"{drop} mm", way=way)
    assert ask(hand, "relief", **back).context["result"].figures[0].value == "10.00°"


def test_a_drop_agrees_with_the_printed_table(hand):
    """Half an inch, .020 in along the tangent: .0024 in at 9° and .0034 in at 12° (a handbook's table, from memory)."""
    for relief, mm, inch, printed in (("9", "0.05991", ".002359", ".0024"), ("12", "0.08734", ".003439", ".0034")):
        typed = example("relief", "aim", "in", diameter=".5", distance=".020", relief=relief)
        text = shown(ask(hand, "relief", **typed))
        assert f"d = {inch} in = {mm} mm" in text
        assert f"{printed} in" in text


def test_the_stylus_stands_where_the_helix_modelled_in_space_puts_it(hand):
    """6.35 mm, 30°, 12°, e 1.5 mm: .201 mm above centre, 27.6° if ignored; 1.472 below where the hands differ."""
    said = {"diameter": "6.35 mm", "relief": "12", "helix": "30", "gap": "1.5 mm"}
    text = shown(ask(hand, "stylus", **example("stylus", "cup", **said)))
    for words in ("Stylus tip above centre", "0.201 mm", "27.6°", "10.4° per mm", "tip 0.66012 mm", "α′ = 11.68°"):
        assert words in text
    typed = example("stylus", "cup", **said, hand="left", wheel_width="0 mm", stylus_width="0 mm")
    differ = shown(ask(hand, "stylus", **typed))
    for words in ("Stylus tip below centre", "1.472 mm", "−3.6°", "the heel rubs"):
        assert words in differ


def test_a_left_hand_cut_is_told_of_the_mirrored_setup(hand):
    text = shown(ask(hand, "stylus", **example("stylus", "cup", cut="left", hand="left")))
    assert "mirrored set-up: unmirrored its face looks up" in text
    assert "unmirrored" not in shown(ask(hand, "stylus", **example("stylus", "cup")))


def test_a_straight_wheel_of_3_inches_at_7_degrees(hand):
    """A handbook's table, from memory: a 3 in wheel stands .183 in high at 7°; here 1.5 sin 7° = .182804."""
    typed = example("stylus", "straight", "in", wheel="3.0", relief="7", edge_above="0")
    assert "H = .182804 in" in shown(ask(hand, "stylus", **typed))


def test_a_straight_wheel_of_150_leaves_half_a_millimetre_hollow(hand):
    """R 75, 10°, w 0.5, r 50: the heel drops about 0.0017 mm less than on a flat land (0.00164 exactly)."""
    typed = example("stylus", "straight", wheel="150 mm", relief="10", land="0.5 mm", diameter="100 mm")
    assert "0.00164 mm less than on a flat land" in shown(ask(hand, "stylus", **typed))


def test_three_flutes_in_a_v_of_60_degrees_stand_one_and_a_half_diameters_high(hand):
    text = shown(ask(hand, "odd-flute", **example("odd-flute", "vee", teeth="3", height="15.0 mm")))
    assert "D = 10.00000 mm" in text
    assert "60.00°" in text
    assert "it would read from 7.500 mm to 8.660 mm" in text


def test_a_v_reads_less_than_a_tool_with_runout_sweeps(hand):
    """One tooth of a 10 mm tool 0.010 mm high: the V reads 10.0067, the tool sweeps 10.020 (independent model)."""
    typed = example("odd-flute", "mean", tooth_1="0", tooth_2="-0.010 mm", tooth_3="-0.010 mm")
    response = ask(hand, "odd-flute", **typed)
    assert response.context["result"].figures[0].value.replace("\u202f", " ") == "10.020 mm"


def test_the_chord_of_a_three_flute_and_the_gauge_pin(hand):
    """10 sin 60° = 8.6603, by hand; a 10 mm pin and a tooth 0.012 higher sweep 10.024."""
    assert "D = 10.00000 mm" in shown(ask(hand, "odd-flute", **example("odd-flute", "chord", chord="8.660254 mm")))
    result = ask(hand, "odd-flute", **example("odd-flute", "gauge-pin")).context["result"]
    assert result.figures[0].value.replace("\u202f", " ") == "10.024 mm"
    assert result.figures[1].value.replace("\u202f", " ") == "0.005 mm"


def test_five_flutes_of_10_mm_over_an_8_mm_pin(hand):
    """By hand: 5 + 5 cos 36° + sqrt(16 - (5 sin 36°)²) + 4 = 15.7585."""
    result = ask(hand, "odd-flute", **example("odd-flute", "pin")).context["result"]
    assert result.figures[0].value.replace("\u202f", " ") == "10.000 mm"


def test_zero_rake_agrees_with_the_independent_model(hand):
    """6.35 mm, core 3.81 mm, 8°: rho 1.3745, zero at 5.9551 mm, 2.903° at 6.096 and -2.381° at 5.842 mm."""
    text = shown(ask(hand, "zero-rake", **example("zero-rake", "face")))
    for words in ("r_c = 1.905 mm", "D₀ = 5.955", "γ = 2.903°", "β′ = 28.998°"):
        assert words in text
    assert re.search(r"ρ = 1\.374[45]\d* mm", text)
    assert "γ = −2.381°" in shown(ask(hand, "zero-rake", **example("zero-rake", "face", after="5.842 mm")))


def test_the_land_grows_and_its_heel_drops_as_the_independent_model_says(hand):
    """0.0508 off the radius: land 0.4695, drop at the heel 0.0630 mm, helix 29.60° at 6.2484."""
    text = shown(ask(hand, "zero-rake", **example("zero-rake", "face", after="6.2484 mm")))
    assert re.search(r"land 0\.469[45]\d mm", text)
    assert re.search(r"drop at its heel 0\.06(30[0-4]|29[5-9])\d* mm", text)
    assert "β′ = 29.60" in text


def test_the_regrinds_left_are_counted_to_the_first_limit(hand):
    """Radial .127 a time from 6.35: 6.096 has rake, 5.842 has none (its zero is 5.955): one. 5.5 allows three."""
    result = ask(hand, "zero-rake", **example("zero-rake", "face")).context["result"]
    left = {figure.label: figure.value for figure in result.figures}
    assert left["Regrinds left"] == "1"
    assert left["By hard limits alone"] == "3"
    short = ask(hand, "zero-rake", **example("zero-rake", "face", usable="13.0 mm")).context["result"]
    assert [f.value for f in short.figures if f.label == "Regrinds left"] == ["0"]


def test_a_measured_face_makes_the_rake_a_hard_limit(hand):
    text = shown(ask(hand, "zero-rake", **example("zero-rake", "face", arc="1.3745 mm")))
    assert "the rake is a hard limit" in text
    assert "By hard limits alone" not in text


def test_a_wheel_of_100_mm_at_18_m_s_turns_3437_times_a_minute(hand):
    """n = v / (pi D), by hand: 18 * 60 / (pi * 0.1) = 3437.7, rounded down."""
    response = ask(hand, "wheel-speed", **example("wheel-speed", "rpm"))
    assert response.context["result"].figures[0].value.startswith("3437")
    assert "never a permission" in shown(response)


def test_a_wheel_is_not_run_above_its_marking_or_without_one(hand):
    above = ask(hand, "wheel-speed", **example("wheel-speed", "rpm", marked="3000"))
    assert above.status_code == 422
    assert above.context["result"] is None
    assert "3000 rpm at most" in above.context["form"].errors["speed"][0]
    assert "3437" not in shown(above)
    faster = ask(hand, "wheel-speed", **example("wheel-speed", "surface", rpm="4001"))
    assert "at most the marked maximum, 4000 rpm" in faster.context["form"].errors["rpm"][0]
    without = ask(hand, "wheel-speed", **example("wheel-speed", "rpm", marked=""))
    assert "needed" in without.context["form"].errors["marked"][0]


def test_a_marking_in_m_s_holds_for_the_wheel_as_new(hand):
    """35 m/s on 100 mm as new is 6684 rpm; worn to 80 mm it is given no more, 28.0 m/s."""
    said = example("wheel-speed", "rpm", wheel="80 mm", speed="20 m/s", marked="", marked_speed="35 m/s")
    assert "needed" in ask(hand, "wheel-speed", **said).context["form"].errors["new"][0]
    small = ask(hand, "wheel-speed", **(said | {"new": "70 mm"})).context["form"]
    assert "at least" in small.errors["new"][0]
    marked = ask(hand, "wheel-speed", **(said | {"new": "100 mm"})).context["result"].figures[1]
    assert marked.value.startswith("6684")
    assert marked.other.startswith("28.0")


def test_the_wrong_abrasive_is_warned_of(hand):
    wrong = shown(ask(hand, "wheel-speed", **example("wheel-speed", "rpm", material="HSS")))
    assert "CBN is for high-speed steel" in wrong
    assert "wears away fast" not in shown(ask(hand, "wheel-speed", **example("wheel-speed", "rpm")))


def test_feet_a_minute_are_read_as_such(hand):
    """3543.3 ft/min are 18 m/s (0.3048 m to the foot)."""
    typed = example("wheel-speed", "rpm", "in", wheel="100 mm", speed="3543.307")
    assert ask(hand, "wheel-speed", **typed).context["result"].figures[0].value.startswith("3437")


def test_a_quarter_thousandth_that_scrapes_ten_thousandths_is_over_a_degree(hand):
    """asin(.00025 / .010) = 1.43°, by hand; as much feed again takes all of a .020 land."""
    response = ask(hand, "witness", **example("witness", "strip", "in"))
    assert response.context["result"].figures[0].value == "1.43°"
    assert "i′ = .000250 in" in shown(response)
    edge = ask(hand, "witness", **example("witness", "strip", "in", scraped_at="edge"))
    assert "Relief is reduced by" in shown(edge)
    assert "α′ = 10.57°" in shown(edge)


@pytest.mark.parametrize("what", ["stylus", "wheel-speed", "witness"])
def test_pages_at_the_wheel_carry_their_cautions(hand, what):
    text = shown(ask(hand, what)).lower()
    for words in ("marked maximum", "guards", "eyes", "cobalt", "dust", "reverse", "maker", "local codes", "trained"):
        assert words in text


# --- what is wrong is said beside its field


@pytest.mark.parametrize(
    ("what", "code", "field", "bad", "words"),
    [
        ("relief", "drop", "drop", "", "is needed"),
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
