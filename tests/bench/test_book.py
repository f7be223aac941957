"""The bench book answers its worked examples, says what is wrong beside the field, and never falls over."""
import pytest
from django.urls import reverse

from regrind.bench.book.pages import PAGES

HOSTILE = ["1e999", "nan", "-1", "0", "9" * 70, "<script>", "٣", "1/0", ".5 in; drop"]


@pytest.fixture
def hand(client, bench_hand):
    client.force_login(bench_hand)
    return client


def read(client, what, **typed):
    response = client.get(reverse("bench:book_page", args=[what]), typed)
    assert response.status_code == 200
    return response


def shown(response) -> str:
    return response.content.decode().replace("\u202f", " ")


def test_the_book_lists_every_page(hand):
    text = hand.get(reverse("bench:book")).content.decode()
    assert all(reverse("bench:book_page", args=[what]) in text for what in PAGES)


def test_a_page_that_is_not_there_is_not_found(hand):
    assert hand.get(reverse("bench:book_page", args=["nothing"])).status_code == 404


@pytest.mark.parametrize("what", PAGES)
def test_a_page_opens_with_a_worked_example(hand, what):
    response = read(hand, what)
    assert not response.context["form"].errors
    assert response.context["answer"].figure.value


@pytest.mark.parametrize("what", PAGES)
@pytest.mark.parametrize("bad", HOSTILE)
def test_hostile_input_is_answered(hand, what, bad):
    fields = PAGES[what].form.base_fields
    for name in fields:
        read(hand, what, **{**PAGES[what].form.example, name: bad})
    read(hand, what, unit=bad, **dict.fromkeys(fields, bad))


def test_a_null_byte_is_turned_away(hand):
    response = hand.get(reverse("bench:book_page", args=["relief"]), {"diameter": "\x00"})
    assert response.status_code == 400


def test_answer_as_you_type_is_a_fragment_of_the_page(hand):
    response = hand.get(reverse("bench:book_page", args=["relief"]), headers={"HX-Request": "true"})
    assert "<html" not in response.content.decode()
    assert "HX-Request" in response["Vary"]


def test_a_drop_agrees_with_the_printed_table(hand):
    """Half an inch, .020 in along the tangent: .0024 in at 9° and .0034 in at 12° (a handbook's table of drops)."""
    said = {"diameter": ".5 in", "distance": ".02 in", "way": "tangent", "unit": "in"}
    assert ".0024 in" in shown(read(hand, "relief", relief="9", **said))
    assert ".0034 in" in shown(read(hand, "relief", relief="12", **said))


def test_a_drop_gives_its_relief_with_how_sure_it_is(hand):
    answer = read(hand, "relief", diameter="10 mm", distance="0.4 mm", way="land", drop="0.05375 mm",
                  digit=".0001 in", unit="mm").context["answer"]
    assert answer.figure.value == "10.00°"
    assert answer.sure.startswith("± 0.2")


def test_what_cannot_be_is_said_beside_its_field(hand):
    form = read(hand, "relief", diameter="1 mm", distance="2 mm", way="tangent", relief="9", unit="mm").context["form"]
    assert "smaller than the radius" in form.errors["distance"][0]


def test_a_wheel_of_100_mm_at_18_m_s_turns_3437_times_a_minute(hand):
    """n = v / (pi D), by hand: 18 * 60 / (pi * 0.1) = 3437.7, rounded down."""
    response = read(hand, "wheel-speed")
    assert response.context["answer"].figure.value.startswith("3437")
    assert "never a permission" in shown(response)


def test_a_wheel_is_not_run_above_its_marking_or_without_one(hand):
    said = {"wheel_diameter": "100 mm", "surface_speed": "18"}
    above = read(hand, "wheel-speed", marked_rpm="3000", **said).context
    assert above["answer"] is None
    assert "3000 rpm at most" in above["form"].errors["surface_speed"][0]
    assert "marked_rpm" in read(hand, "wheel-speed", **said).context["form"].errors


def test_zero_rake_agrees_with_the_slow_model(hand):
    """6.35 mm, core 3.81 mm, 8°: 5.9551 mm, and 2.903° at 6.096 mm (an independent model of the section)."""
    text = shown(read(hand, "zero-rake", unit="mm"))
    assert "5.955 mm" in text
    assert "2.903°" in text


def test_a_core_as_large_as_the_tool_is_said_beside_it(hand):
    form = read(hand, "zero-rake", diameter="6 mm", core="6 mm", rake="8").context["form"]
    assert "smaller than the diameter" in form.errors["core"][0]


def test_a_quarter_thousandth_that_scrapes_ten_thousandths_is_over_a_degree(hand):
    """asin(.00025 / .010) = 1.43°, by hand."""
    assert read(hand, "witness").context["answer"].figure.value == "1.43°"


def test_a_feed_wider_than_its_strip_is_said_beside_it(hand):
    form = read(hand, "witness", feed="1 mm", strip=".5 mm", scraped_at="edge").context["form"]
    assert "from 0 to 0.5 mm" in form.errors["feed"][0]


def test_the_stylus_stands_where_the_helix_modelled_in_space_puts_it(hand):
    """6.35 mm, 30°, 12°, e 1.5 mm: .201 mm above centre, 27.6° if ignored; 1.472 below where the hands differ."""
    text = shown(read(hand, "stylus", unit="mm"))
    assert "above centre" in text
    assert "0.201 mm" in text
    assert "27.6°" in text
    differ = shown(read(hand, "stylus", unit="mm", diameter="6.35 mm", relief="12", helix="30", gap="1.5 mm",
                        hands="differ", wheel_width="0 mm", stylus_width="0 mm"))
    assert "1.472 mm" in differ


def test_differing_hands_need_both_widths(hand):
    form = read(hand, "stylus", diameter="6.35 mm", relief="12", helix="30", gap="1.5 mm",
                hands="differ").context["form"]
    assert "needed" in form.errors["wheel_width"][0]


def test_five_flutes_of_10_mm_over_an_8_mm_pin_and_three_in_a_v(hand):
    """15.7585 mm over the pin (by hand: 5 + 5 cos 36° + sqrt(16 - (5 sin 36°)²) + 4); a 60° V: h = 1.5 D."""
    assert read(hand, "odd-flute", unit="mm").context["answer"].figure.value.replace("\u202f", " ") == "10.000 mm"
    vee = read(hand, "odd-flute", unit="mm", teeth="3", how="vee", reading="15.0 mm").context["answer"]
    assert vee.figure.value.replace("\u202f", " ") == "10.000 mm"


def test_a_reading_below_its_pin_is_said_beside_it(hand):
    form = read(hand, "odd-flute", teeth="5", how="pin", reading="7.0 mm", pin="8.0 mm").context["form"]
    assert "above 8" in form.errors["reading"][0]


def test_a_marking_in_m_s_holds_for_the_wheel_as_new(hand):
    """35 m/s on 100 mm as new is 6684 rev/min; worn to 80 mm it is given no more, 28.0 m/s."""
    said = {"wheel_diameter": "80 mm", "surface_speed": "20", "marked_m_s": "35"}
    assert "needed" in read(hand, "wheel-speed", **said).context["form"].errors["diameter_new"][0]
    small = read(hand, "wheel-speed", diameter_new="70 mm", **said).context["form"]
    assert "at least" in small.errors["diameter_new"][0]
    marked, speed = read(hand, "wheel-speed", diameter_new="100 mm", **said).context["answer"].more
    assert marked.value.startswith("6684")
    assert speed.value.startswith("28.0")
