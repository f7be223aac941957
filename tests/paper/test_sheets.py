"""Every sheet, for 1, 40 and 400 pieces and three ways of writing: read back, complete, and clear of itself."""

import io
import os
import re
from dataclasses import replace
from datetime import date
from decimal import ROUND_HALF_EVEN, Decimal

import pytest
from pypdf import PdfReader

from regrind.paper import job_sheet, label, report, review, setup_card, slip, text
from regrind.paper.values import BoxLine, Length, Style
from tests.paper import papers
from tests.paper.reading import overlaps, pages, raster, read_codes, sign_boxes, sizes_of, words

STYLES = [Style("in"), Style("mm", ",", "A4"), Style("mm", ".", "letter")]
SIZES = [1, 40, 400]
PAPERS = {
    "job sheet": (job_sheet, papers.job),
    "report": (report, papers.report),
    "slip": (slip, papers.slip),
    "setup card": (setup_card, lambda _size, style, **changes: papers.setup(style, **changes)),
    "review": (review, papers.review),
}
SIDE = 40


def by_rule(nm, unit, places, mark="."):
    """A length as ASME Y14.5 writes inches and ISO 80000-1 millimetres, from decimal arithmetic alone."""
    whole = Decimal(nm) / Decimal(25_400_000 if unit == "in" else 1_000_000)
    text = str(whole.quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN)).replace("-", "−")
    return text.replace("0.", ".", 1) if unit == "in" and abs(whole) < 1 else text.replace(".", mark)


def both(value, style):
    inch, mm = by_rule(value.nm, "in", value.places_in), by_rule(value.nm, "mm", value.places_mm, style.decimal_mark)
    return (inch, mm) if style.unit == "in" else (mm, inch)


@pytest.fixture(scope="module")
def drawn():
    """Each paper drawn once and kept: many tests look at the same sheets."""
    papers_drawn = {}

    def draw(name, size, style):
        if (name, size, style) not in papers_drawn:
            module, make = PAPERS[name]
            papers_drawn[name, size, style] = module.draw(make(size, style))
        return papers_drawn[name, size, style]

    return draw


every_paper = pytest.mark.parametrize("name", PAPERS)
every_size = pytest.mark.parametrize("size", SIZES)
every_style = pytest.mark.parametrize(
    "style", STYLES, ids=lambda style: f"{style.unit}{style.decimal_mark}{style.page}"
)


@pytest.mark.parametrize("page", ["A4", "letter"])
def test_the_head_of_a_rush_order_keeps_each_date_on_one_line(page):
    """The widest dates of the year in five columns."""
    head = papers.heading(style=Style("mm", ",", page), rush=True, arrived=date(2026, 11, 20), due=date(2026, 5, 28))
    lines = PdfReader(io.BytesIO(job_sheet.draw(papers.job(head=head)))).pages[0].extract_text()
    for day in ("20 Nov 2026", "28 May 2026"):
        assert day in lines.replace("\u00a0", " ")


def free_below(pdf, page):
    """The height in points between a page's lowest words and its foot."""
    return min(bottom for _, _, bottom, _, _ in sign_boxes(pdf, page) if bottom > 46) - 46


def test_a_long_table_begins_below_its_heading_on_the_first_page():
    """ReportLab's own way is to keep a heading with all of its table: the first page stayed empty."""
    box = tuple(BoxLine(f"417-{number}", 2, papers.WHAT) for number in range(1, 61))
    aside = tuple(papers.not_ground(f"417-3-{number}") for number in range(1, 61))
    note = "\n".join("A line of the note." for _ in range(80))
    for pdf in (
        slip.draw(papers.slip(40)),
        slip.draw(papers.slip(1, note=note)),
        review.draw(papers.review(60)),
        job_sheet.draw(papers.job(1, box=box)),
        report.draw(papers.report(1, not_ground=aside)),
    ):
        assert len(pages(pdf)) > 1
        assert free_below(pdf, 0) < 45


def test_why_stands_on_the_page_of_its_line():
    read = pages(slip.draw(papers.slip(40)))
    assert len(read) > 2
    for page in read:
        assert page.count("Missing: 1") == page.count("EM-0250-3F")


@pytest.mark.parametrize("lines", range(30, 60))
def test_the_end_mark_has_no_page_for_itself(lines):
    pdf = review.draw(papers.review(1, note="\n".join("Word." for _ in range(lines))))
    assert "Word." in pages(pdf)[-1]
    assert all(overlaps(sign_boxes(pdf, page)) == [] for page in range(len(pages(pdf))))


@pytest.mark.parametrize("terms", range(6, 21))
def test_a_line_of_the_job_sheet_begins_wherever_its_first_piece_has_room(terms):
    job = papers.job(1)
    line = replace(job.setups[0].lines[0], section=None, note="")
    wishes = tuple("Keep the length" for _ in range(terms))
    pdf = job_sheet.draw(replace(job, terms=wishes, setups=(replace(job.setups[0], lines=(line,)),)))
    begun = next(index for index, page in enumerate(pages(pdf)) if "Line 417-3" in page)
    assert "417-3-1" in pages(pdf)[begun]
    assert begun == 0 or "Setup 1" in pages(pdf)[begun] or free_below(pdf, begun - 1) < 90


@pytest.mark.parametrize("terms", range(20, 40))
def test_a_setup_is_not_torn_from_its_figures(terms):
    """All names of the card stand on one page, below the setup's title."""
    read = pages(job_sheet.draw(papers.job(1, terms=tuple("Keep the length" for _ in range(terms)))))
    names = ("Setup 1", "Work holding", "Primary relief", "Travel stop", "Infeed finishing")
    assert any(all(name in page for name in names) for page in read)


@pytest.mark.parametrize("terms", range(20, 44))
def test_pieces_without_a_setup_stand_below_their_title(terms):
    job = papers.job(1, terms=tuple("Keep the length" for _ in range(terms)))
    unplanned = replace(job.setups[0], card=None, planned=False, title="Not planned yet")
    read = pages(job_sheet.draw(replace(job, setups=(unplanned,))))
    assert any("Not planned yet" in page and "417-3-1" in page for page in read)


@every_paper
@every_size
@every_style
def test_every_page_says_whose_it_is_which_and_how_many(drawn, name, size, style):
    read = pages(drawn(name, size, style))
    module, make = PAPERS[name]
    head = make(size, style).head
    for number, page in enumerate(read, start=1):
        assert f"{module.TITLE} {head.number} · revision 1 · 24 Nov 2025" in page
        assert head.shop.name in page
        assert f"Page {number} of {len(read)}" in page
        assert ("— End of" in page) == (number == len(read))


@every_size
@every_style
def test_a_job_sheet_gives_each_pieces_figures_in_both_units(drawn, size, style):
    text = words(drawn("job sheet", size, style))
    sheet = papers.job(size, style)
    for piece in sheet.setups[0].lines[0].pieces:
        figures = [
            piece.diameter_now,
            piece.removal_radial,
            piece.diameter_after,
            piece.cut_back,
            piece.travel_stop,
            piece.usable_after,
        ]
        row = " ".join(f"{first} ({second})" for first, second in (both(value, style) for value in figures))
        assert f"{piece.number} grind {row}" in text
    assert f"In the box: {size} piece" in text
    for part in [
        "⌀ as ground Runout Length By",
        "Square end mill 1/4, 3 flute",
        "EM-0250-3F",
        "No more than .015 under nominal",
        "Two racks.",
        "RUSH",
        "Notes from the bench",
        "PO 88123",
    ]:
        assert part in text


@every_size
@every_style
def test_a_report_gives_each_piece_before_and_now_in_both_units(drawn, size, style):
    text = words(drawn("report", size, style))
    for piece in papers.report(size, style).lines[0].pieces:
        start = text.index(f"{piece.number} ground before")
        row = text[start : text.index("reground twice", start)]
        for state in (piece.before, piece.after):
            for value in (state.diameter, state.difference, state.overall_length, state.usable_length, state.runout):
                if value is not None:
                    first, second = both(value, style)  # a difference here is below nominal: its minus is its own
                    assert f"{first} ({second})" in row
        for value in (piece.removed_radial, piece.cut_back):
            assert "{} ({})".format(*both(value, style)) in row
        assert "assumed" in row
        assert "corner chipped → now square" in row
        assert "coating AlTiN → ground off on the flank" in row


@every_style
def test_the_first_page_of_a_report_answers_in_ten_seconds(drawn, style):
    first = pages(drawn("report", 40, style))[0]
    for part in [
        "41 received",
        "40 ground",
        "1 returned unground",
        "EM-0250-3F",
        "Not reground, with reason",
        "Chip into the flute face",
        "Measured by",
        "Tomasz Wójcik, 24 Nov 2025",
        "Released by",
        "Ελένη Μαυρίδη",
        "Your order",
        "Regrinds left: about 2",
    ]:
        assert part in first


@every_style
def test_a_report_names_instruments_their_calibration_and_what_was_assumed(drawn, style):
    text = words(drawn("report", 1, style))
    for part in [
        "V-anvil micrometer",
        "G4",
        "in calibration, calibrated until 1 Mar 2026",
        "Test indicator",
        "calibration overdue since 1 Sep 2025",
        "Assumed, not measured",
        "Core diameter: .150 in, from the family",
        "Life of K7M3QP",
    ]:
        assert part in text


def test_a_difference_above_nominal_says_so():
    values = papers.report(1)
    state = replace(values.lines[0].pieces[0].after, difference=papers.inch(0.0012))
    piece = replace(values.lines[0].pieces[0], after=state)
    line = replace(values.lines[0], difference=papers.inch(0.0012), pieces=(piece,))
    text = words(report.draw(replace(values, lines=(line,))))
    assert text.count("+.0012 (+0.030)") == 2


def test_regrinds_left_are_printed_only_where_the_shop_gives_them():
    values = papers.report(3)
    text = words(report.draw(replace(values, lines=(replace(values.lines[0], regrinds_left=""),))))
    assert "egrinds left" not in text


@every_style
def test_a_slip_counts_in_out_and_why_and_gives_prices_only_on_demand(drawn, style):
    text = words(drawn("slip", 40, style))
    mark = style.decimal_mark
    group = "," if mark == "." else " "
    for part in [
        "Your order PO 88123",
        "Parcel 1 of 2",
        "480 pieces in this parcel",
        "Total 520 400 40 40 40",
        f"6{mark}50 65{mark}00",
        f"Total USD 2{group}625{mark}00",
        "To follow",
        "4 at the coater",
        "Missing: 1",
    ]:
        assert part in text
    for line in papers.slip(40, style).lines:
        assert f"{line.number} EM-0250-3F" in text
    bare = words(slip.draw(papers.slip(2, style, priced=False)))
    assert "USD" not in bare
    assert f"6{mark}50" not in bare


def test_a_row_for_several_pieces_leaves_room_for_exceptions_and_drops_empty_columns():
    one = papers.JobPiece("all", diameter_after=papers.inch(0.24), count=9)
    line = papers.JobLine("417-3", "Cutter", (one,), write_ins=("Length", "Point", "By"))
    text = words(job_sheet.draw(papers.job(1, setups=(papers.JobSetup("Setup", (line,)),))))
    assert "Piece Next To ⌀ in (mm) Length Point By all 9 pieces grind .2400 (6.096) Piece ____" in text
    assert "Cut back" not in text


def test_nothing_that_is_taken_off_is_said_in_words():
    style = Style("in")
    assert text.taken(Length(0), style) == "none"
    assert text.taken(Length(304_800), style) == text.stacked(Length(304_800), style)
    assert text.taken(None, style) == text.UNKNOWN


def test_a_report_counts_its_pieces_where_it_lists_them_all():
    made = papers.report(3)
    scrap = papers.ReportPiece("417-3-4", "scrap", why="Bent shank")
    line = replace(made.lines[0], received=4, ground=3, pieces=(*made.lines[0].pieces, scrap))
    first = pages(report.draw(replace(made, lines=(line,))))[0]
    assert "4 received 3 ground 1 scrap" in first
    assert "1 returned unground Line" not in first


def test_a_slip_that_does_not_add_up_is_refused_by_line():
    good = papers.slip(1).lines[0]
    short = replace(good, received=14)
    with pytest.raises(ValueError, match="line 417-1: 14 received, but 13"):
        slip.draw(replace(papers.slip(1), lines=(short,)))


@every_style
def test_a_setup_card_gives_every_setting(drawn, style):
    text = words(drawn("setup card", 1, style))
    card = papers.card()
    lengths = [figure.length for part in card.parts for figure in part.figures if figure.length]
    for value in (card.wheel_truing, *lengths):
        first, second = both(value, style)
        units = ("in", "mm") if style.unit == "in" else ("mm", "in")
        assert f"{first} {units[0]} ({second} {units[1]})" in text
    for part in [
        "5C collet",
        "Cup D126 resin",
        "3600 rev/min, 19 m/s; marked maximum 4200",
        "above centre",
        "From the shank",
        "right-hand cut, right-hand helix",
        "29.0° assumed",
        "12.0°, ± 5.5°",
        "14 passes of .0003 in",
        "1. Tooth face down",
        "Rough all pieces",
        "A computed speed is never a permission",
    ]:
        assert part in text


def test_a_setup_card_warns_of_speed_and_of_a_reversed_wheel_only_when_it_must():
    calm = words(setup_card.draw(papers.setup(cautions=())))
    assert "DO NOT RUN" not in calm
    assert "nut can unscrew" not in calm
    assert "nut can unscrew" in words(setup_card.draw(papers.setup()))
    fast = papers.WheelSpeed(5000, 4200)
    assert "DO NOT RUN: 5000 rev/min is above" in words(setup_card.draw(papers.setup(speed=fast)))
    unknown = papers.WheelSpeed(3000, None)
    assert "Read it on the wheel" in words(setup_card.draw(papers.setup(speed=unknown)))


@every_paper
@every_size
@every_style
def test_nothing_overlaps_and_nothing_leaves_the_margins(drawn, name, size, style):
    pdf = drawn(name, size, style)
    count = len(PdfReader(io.BytesIO(pdf)).pages)
    some = range(count) if os.environ.get("REGRIND_FULL") else sorted({0, count // 2, count - 1})
    wide, high = (612, 792) if style.page == "letter" else (595.3, 841.9)
    for page in some:
        boxes = sign_boxes(pdf, page)
        assert overlaps(boxes) == []
        assert min(box[1] for box in boxes) >= SIDE
        assert max(box[3] for box in boxes) <= wide - SIDE
        assert min(box[2] for box in boxes) >= 20
        assert max(box[4] for box in boxes) <= high - 24


@every_paper
def test_the_same_values_give_the_same_bytes(name):
    module, make = PAPERS[name]
    assert module.draw(make(7, STYLES[1])) == module.draw(make(7, STYLES[1]))


@every_paper
def test_fonts_are_ours_and_embedded_and_no_sign_is_small(drawn, name):
    sizes = set()
    for page in PdfReader(io.BytesIO(drawn(name, 40, STYLES[0]))).pages:
        for font in page["/Resources"]["/Font"].values():
            made = font.get_object()
            assert "ShopSans" in made["/BaseFont"]
            assert "/FontFile2" in made["/FontDescriptor"]
        page.extract_text(visitor_text=lambda text, _c, _m, _f, size: sizes.add(size) if text.strip() else None)
    assert min(sizes) >= 6.0


@every_paper
def test_paper_is_black_alone(drawn, name):
    for page in PdfReader(io.BytesIO(drawn(name, 40, STYLES[0]))).pages:
        content = page.get_contents().get_data().decode("latin-1")
        colours = re.findall(r"(?:[\d.]+ ){3}(?:rg|RG)\b|(?:[\d.]+ ){4}[kK]\b|[\d.]+ [gG]\b", content)
        assert set(colours) <= {"0 0 0 rg ", "0 0 0 rg", "0 0 0 RG", "0 g", "1 g", "0 G"}


def test_scanning_a_job_sheet_opens_its_batch(drawn):
    assert read_codes(raster(drawn("job sheet", 40, STYLES[0]), 200)) == ["B417"]


def test_labels_and_sheets_print_a_length_alike():
    made = label.draw([label_of(papers.after_of(3))])
    assert ".2487" in words(made)
    assert ".2487" in words(report.draw(papers.report(3)))


def label_of(diameter):
    from regrind.paper.values import ReturnLabel

    return ReturnLabel("417-3", papers.DAY, "Hollis", diameter=diameter)


@every_style
def test_a_setup_card_is_read_with_dirty_gloves_beside_a_grinder(style):
    """Its figures stand at 10 points or more, and each caution begins a line of its own."""
    pdf = setup_card.draw(papers.setup(style))
    sizes = sizes_of(pdf)
    for figure in ("right-hand cut, right-hand helix", "Cup D126 resin", "29.0° assumed"):
        assert min(size for words_shown, size in sizes if figure in words_shown) >= 10
    lines = [line.strip() for page in PdfReader(io.BytesIO(pdf)).pages for line in page.extract_text().splitlines()]
    for caution in setup_card.card_cautions(papers.card()):
        first = " ".join(caution.split()[:4])
        assert any(line.removeprefix("•").strip().replace("\u00a0", " ").startswith(first) for line in lines), caution
    assert read_codes(raster(pdf, 300)) == ["BS1"]
