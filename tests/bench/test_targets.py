"""Where pieces of one line differ in what is planned, and where a plan goes against what the customer keeps."""

import re

import pytest

from regrind.bench.planning.wishes import say_against_wish, say_option_against_wish
from regrind.record.models import Customer

from .tray import ground, pieces_of, ready_to_grind

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch):
    return make_batch(12, number=417).lines.get()


def test_the_check_says_which_piece_is_planned_to_which_size(line, bench_hand, hand):
    """The worked example's first and second option: 6.1163 mm and 6.2629 mm, .2408 in and .2466 in."""
    pieces = pieces_of(line)
    ready_to_grind(line, bench_hand, pieces=[pieces[0], *pieces[2:6]])
    ready_to_grind(line, bench_hand, pieces=[pieces[1], *pieces[6:]], option=1)
    ground(line, bench_hand)
    page = hand.open("/bench/417-1/check")
    labels = {figure.label: figure.nm for figure in page.context["planned"]}
    assert [f"{nm / 25.4e6:.4f}" for label, nm in labels.items() if label.startswith("Planned diameter of")] == [
        "0.2408",
        "0.2466",
    ]
    assert "Planned diameter of 1-2, 1-7 to 1-12" in labels
    assert "Usable length, planned of 1-1, 1-3 to 1-6" in labels
    hints = re.findall(r'id="id_diameter\w*_hint">([^<]+)<', page.content.decode())
    assert hints == ["1-1: planned .2408\u202fin", "1-2: planned .2466\u202fin", "1-11: planned .2466\u202fin"]


def test_pieces_of_one_size_are_checked_without_a_hint(line, bench_hand, hand):
    ground(line, bench_hand)
    page = hand.open("/bench/417-1/check")
    assert page.context["planned"][0].label == "Planned diameter"
    assert "planned .2408" not in page.content.decode()


@pytest.mark.parametrize(
    ("keep", "cut_back_nm", "off_radius_nm", "sentence"),
    [
        ("length", 8_698_000, None, "The customer wants to keep the length, and this takes 8.698\u202fmm off the end."),
        (
            "diameter",
            None,
            105_000,
            "The customer wants to keep the diameter, and this takes 0.210\u202fmm off the diameter.",
        ),
        ("length", 0, 105_000, ""),
        ("diameter", 8_698_000, 0, ""),
        ("", 8_698_000, 105_000, ""),
    ],
)
def test_what_is_taken_off_against_the_wish_is_said(keep, cut_back_nm, off_radius_nm, sentence):
    assert say_against_wish(keep, cut_back_nm, off_radius_nm, "mm") == sentence


def test_an_option_that_takes_less_is_told_beside_it():
    end = {"cut_back_mm": 8.698, "sides": False}
    sides = {"cut_back_mm": 0.0, "sides": True, "removal_radial_mm": [0.1, 0.105]}
    said = say_option_against_wish("length", end, [end, sides], "mm")
    assert said.endswith("takes 8.698\u202fmm off the end. Another option takes none.")
    assert say_option_against_wish("length", sides, [end, sides], "mm") == ""
    assert say_option_against_wish("diameter", sides, [sides], "mm").endswith("takes 0.210\u202fmm off the diameter.")


def test_the_grind_page_warns_where_the_length_was_to_be_kept(line, bench_hand, hand):
    Customer.objects.update(keep="length")
    ready_to_grind(line, bench_hand)
    assert "The customer wants to keep the length, and this takes .0120\u202fin off the end." in (
        hand.open("/bench/417-1/grind").content.decode()
    )


def test_the_lines_page_warns_where_the_length_was_to_be_kept(line, bench_hand, hand):
    Customer.objects.update(keep="length")
    ready_to_grind(line, bench_hand)
    assert "wants to keep the length, and this takes" in hand.open("/bench/417-1/").content.decode()
