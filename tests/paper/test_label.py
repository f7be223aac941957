"""Labels decode on the printers they are made for, keep their quiet zone, and say all they should."""

import dataclasses
import io
import string

import pytest
from pypdf import PdfReader

from regrind.paper import label, qr
from regrind.paper.stock import page_dots, place
from regrind.paper.values import (
    ROLL_50X25,
    ROLL_62X29,
    SHEET_A4,
    SHEET_LETTER,
    Angle,
    Clearance,
    Label,
    ReturnLabel,
    Style,
)
from tests.paper.reading import black, overlaps, raster, read_codes, sign_boxes, words

from .label_makers import DAY, MAKERS, NAMES, ROLLS, a_drill, a_not_ground, a_return, an_arrival, inch


def test_a_return_label_says_all_of_it_in_inches():
    """On a sheet's label; a roll of 50 × 25 mm has room for the other unit of the diameter alone."""
    text, small = words(label.draw([a_return()], SHEET_A4)), words(label.draw([a_return()]))
    for part in (
        "now .2408 in",
        "now 6.116 mm from nominal −.0092 in",
        "Drop .0034 in at .020 in",
        "Relief 12.0° · Runout .0003",
    ):
        assert part in small
    for part in ("Overall 2.486 in", "Corner: now square", "Coating: ground off", "24 Nov 2025", "12 pcs"):
        assert part in small
    for part in [
        "now .2408 in nominal .2500",
        "now 6.116 mm from nominal −.0092 in (−0.234 mm)",
        "Relief 12.0°",
        "Drop .0034 in (0.086 mm) at .020 in",
        "Runout .0003 in (0.008 mm)",
        "Cutting length .678 in (17.22 mm)",
        "Overall 2.486 in (63.14 mm)",
        "3 teeth",
        "Corner: now square",
        "Coating: ground off on the flank",
        "12 pcs",
        "reground twice",
        "EM-0250-3F",
        "417-3",
        "24 Nov 2025",
        "Hollis Tool Grinding",
    ]:
        assert part in text


def test_a_millimetre_customer_reads_millimetres_first_with_their_decimal_mark():
    text = words(label.draw([a_return(style=Style("mm", ","))], SHEET_A4))
    for part in [
        "now 6,116 mm nominal 6,350",
        "now .2408 in from nominal −0,234 mm (−.0092 in)",
        "Relief 12,0°",
        "Runout 0,008 mm (.0003 in)",
        "Cutting length 17,22 mm (.678 in)",
    ]:
        assert part in text


def test_a_diameter_that_was_not_measured_says_so_as_large_as_any_words():
    made = a_return(diameter=inch(0.2408, assumed=True), measured_on="417-3-1")
    pdf = label.draw([made])
    assert "Not measured: assumed, as 417-3-1" in words(pdf)
    sizes = letter_sizes(pdf)
    assert sizes["Not measured: assumed, as 417-3-1"] > min(sizes.values())


def test_a_tube_of_some_pieces_names_them_as_large_as_its_number():
    pdf = label.draw([a_return("417-3-2", named="417-3-2 to 3-4")])
    assert "417-3-2 to 3-4" in words(pdf)
    assert letter_sizes(pdf)["417-3-2 to 3-4"] >= 6.5


def test_a_tube_of_unlike_diameters_says_both_ends():
    assert ".2408–.2410 in" in words(label.draw([a_return(diameter_to=inch(0.241))]))


def test_what_was_assumed_is_marked_so():
    text = words(
        label.draw(
            [a_return(clearance=Clearance(Angle(1200, assumed=True)), overall_length=inch(2.5, 1, assumed=True))],
            SHEET_A4,
        )
    )
    assert "Relief 12.0° assumed" in text
    assert "Overall 2.5 in (64 mm) assumed" in text


def test_a_drill_label_gives_point_angle_and_length():
    text = words(label.draw([a_drill()]))
    for part in ["Point 118°", "Overall 3.625 in (92.08 mm)", "⌀ .2010 in", "5.105 mm", "DR-7"]:
        assert part in text


def test_labels_for_what_was_not_ground_and_for_arrivals():
    text = words(label.draw([a_not_ground(), an_arrival()]))
    for part in [
        "NOT REGROUND",
        "Returned unground",
        "Chip reaches too far back",
        "RUSH",
        "PO 88123",
        "Due 1 Dec 2025",
        "Brightwater Pump Works",
        "12 pcs",
    ]:
        assert part in text


def test_what_is_not_known_is_not_printed():
    bare = ReturnLabel("417-3", DAY, "Hollis")
    text = words(label.draw([bare]))
    for part in ["Coating", "Corner", "Runout", "Relief", "reground", "None", "–"]:
        assert part not in text


@pytest.mark.parametrize("stock", [*ROLLS, SHEET_A4, SHEET_LETTER], ids=lambda stock: stock.name)
@pytest.mark.parametrize("maker", MAKERS, ids=lambda maker: maker.__name__)
@pytest.mark.parametrize("part_number", NAMES)
def test_nothing_overlaps_or_leaves_the_label(stock, maker, part_number):
    made = maker(part_number=part_number, description="Long " * 12, shop="Szlifiernia Wójcik " * 3)
    pdf = label.draw([made], stock)
    boxes = sign_boxes(pdf)
    assert len(boxes) > 60
    assert overlaps(boxes) == []
    edge = 2.4 if stock.grid is None else 0.0
    left, top = (stock.grid.left_mm + stock.inset_mm, stock.grid.top_mm) if stock.grid else (0, 0)
    page_top = raster(pdf, 72).height
    code = qr.side_dots(made.number, stock.dpi) * 72 / stock.dpi
    for sign, x0, y0, x1, y1 in boxes:
        x, y = left * 72 / 25.4, page_top - top * 72 / 25.4
        assert x0 >= x + edge, sign
        assert x1 <= x + (stock.width_mm - 2 * stock.inset_mm) * 72 / 25.4 - edge, sign
        assert y1 <= y - edge + 1, sign
        assert y0 >= y - stock.height_mm * 72 / 25.4 + edge - 1, sign
        assert x0 >= x + code or y1 <= y - code + 3.5, sign


def test_their_number_is_as_large_as_ours():
    boxes = sign_boxes(
        label.draw([a_return("8", part_number="8", coating="", corner="", teeth=None, diameter=None, difference=None)])
    )
    eights = sorted((round(top - bottom, 2) for sign, _, bottom, _, top in boxes if sign == "8"), reverse=True)
    numbers = [one for one in eights if 4 < one < 8][:2]
    assert len(numbers) == 2
    assert numbers[0] == numbers[1]


def letter_sizes(pdf):
    """The sizes in points that a label's letters are set in, by what is written."""
    sizes = {}
    PdfReader(io.BytesIO(pdf)).pages[0].extract_text(
        visitor_text=lambda words, _outer, _inner, _font, size: sizes.update({words.strip(): size})
    )
    return sizes


@pytest.mark.parametrize("stock", [ROLL_50X25, ROLL_62X29], ids=lambda stock: stock.name)
def test_the_new_diameter_takes_the_height_beside_the_code_and_the_lines_under_it_are_even(stock):
    """The words below the code must not hold the figure of the label small: it was 8 pt."""
    sizes = letter_sizes(
        label.draw([a_return(description="2-1, 2-3, 2-5: 1/4 in, 3 flutes, end mill, square, carbide, 30°")], stock)
    )
    assert sizes[".2408"] >= 9
    lines = {round(size, 3) for said, size in sizes.items() if said.startswith(("Relief", "Drop", "Runout", "Overall"))}
    assert len(lines) == 1
    assert lines.pop() > 3.9


@pytest.mark.parametrize("stock", [*ROLLS, SHEET_A4, SHEET_LETTER], ids=lambda stock: f"{stock.name} {stock.dpi}")
@pytest.mark.parametrize("part_number", [*NAMES, "9" * 40, ""])
@pytest.mark.parametrize("maker", MAKERS, ids=lambda maker: maker.__name__)
def test_our_number_is_two_millimetres_high_and_no_letter_under_five_points(stock, part_number, maker):
    """Read from the file: the digits of our number, and the size of every letter. The code still reads."""
    made = maker("10417-12-3", part_number=part_number, description="Long " * 12)
    pdf = label.draw([made], stock)
    assert min(letter_sizes(pdf).values()) >= 4.999
    boxes = sign_boxes(pdf)
    signs = "".join(box[0] for box in boxes)
    start = signs.index("10417-12-3")
    assert min(top - bottom for sign, _, bottom, _, top in boxes[start : start + 10] if sign != "-") >= 2 * 72 / 25.4
    assert read_codes(raster(pdf, stock.dpi, crop=around_the_first(stock))) == [qr.code_of(made.number)]


def around_the_first(stock):
    """The points of a page to the right of its first label and below it, for `raster` to leave out."""
    box, (wide, _) = place(stock, 1), page_dots(stock)
    right, below = wide - box.left - box.width, box.top - box.height
    return 0, below * 72 / stock.dpi, right * 72 / stock.dpi, 0


def test_small_zeros_have_no_slash_and_large_ones_do():
    """Ink in the middle of a zero is the slash: none of it in what stands under 8 points on a coarse printer."""
    pdf = label.draw([a_return(number="1-1", part_number="", difference=inch(-0.0102), corner="", coating="")])
    ink = black(raster(pdf, 1600))
    high, scale = ink.shape[0], 1600 / 72
    zeros = [box for box in sign_boxes(pdf) if box[0] == "0"]
    assert len(zeros) > 8
    for _, x0, y0, x1, y1 in zeros:
        middle = ink[int(high - (y0 + y1) / 2 * scale), int((x0 + x1) / 2 * scale)]
        assert bool(middle) is (y1 - y0 > 8 * 0.69)


HOSTILE = ["<b>x</b> & <para>", "a\x00b\x07c", "\u202eevil\u200f", "漢字 כתב", "a\nb\tc"]


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_text_prints_as_letters(hostile):
    pdf = label.draw([a_return(part_number=hostile, corner=hostile, shop=hostile, coating=hostile)])
    text = words(pdf)
    for sign in string.ascii_letters + "<>&":
        assert text.count(sign) >= hostile.count(sign)
    assert not set(text) & set("\x00\x07\u202e\u200f")


def test_a_page_of_text_on_a_label_ends_in_an_ellipsis_and_keeps_the_numbers():
    pdf = label.draw([a_not_ground(why="It was worn down to the core and more. " * 100)])
    text = words(pdf)
    assert "…" in text
    for part in ["417-3-9", "EM-0250-3F", "24 Nov 2025"]:
        assert part in text
    assert overlaps(sign_boxes(pdf)) == []


def test_the_same_values_give_the_same_bytes():
    made = [maker() for maker in MAKERS]
    assert label.draw(made) == label.draw(made)


@pytest.mark.parametrize("number", ["", "µ-1", "417\n3", "a" * 63])
def test_a_number_that_cannot_be_a_code_is_refused_by_name(number):
    with pytest.raises(ValueError, match="number"):
        label.draw([a_return(number)])


def test_refusals_name_what_is_wrong():
    with pytest.raises(ValueError, match="none to print"):
        label.draw([])
    with pytest.raises(ValueError, match="start: 31"):
        label.draw([a_return()], SHEET_LETTER, start=31)
    with pytest.raises(ValueError, match="stock"):
        label.draw([a_return()], dataclasses.replace(ROLL_50X25, height_mm=10))
    with pytest.raises(TypeError, match="Label"):
        label.draw([Label("417-3", DAY, "Hollis")])
