"""Every sheet, for 1, 40 and 400 pieces and three ways of writing: read back, complete, and clear of itself."""

import io
from dataclasses import replace
from decimal import ROUND_HALF_EVEN, Decimal

import pytest
from pypdf import PdfReader

from regrind.paper import job_sheet, label, report, setup_card, slip, text
from regrind.paper.values import Length, Style
from tests.paper import papers
from tests.paper.reading import pages, raster, read_codes, sizes_of, words

from .every_sheet import PAPERS, STYLES, every_paper, every_size_and_style, every_style


def by_rule(nm, unit, places, mark="."):
    """A length as ASME Y14.5 writes inches and ISO 80000-1 millimetres, from decimal arithmetic alone."""
    whole = Decimal(nm) / Decimal(25_400_000 if unit == "in" else 1_000_000)
    text = str(whole.quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN)).replace("-", "−")
    return text.replace("0.", ".", 1) if unit == "in" and abs(whole) < 1 else text.replace(".", mark)


def both(value, style):
    inch, mm = by_rule(value.nm, "in", value.places_in), by_rule(value.nm, "mm", value.places_mm, style.decimal_mark)
    return (inch, mm) if style.unit == "in" else (mm, inch)


@every_paper
@every_size_and_style
def test_every_page_says_whose_it_is_which_and_how_many(drawn, name, size, style):
    read = pages(drawn(name, size, style))
    module, make = PAPERS[name]
    head = make(size, style).head
    for number, page in enumerate(read, start=1):
        assert f"{module.TITLE} {head.number} · revision 1 · 24 Nov 2025" in page
        assert head.shop.name in page
        assert f"Page {number} of {len(read)}" in page
        assert ("— End of" in page) == (number == len(read))


@every_size_and_style
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


@every_size_and_style
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
