"""Widths, bores, named diameters and hole classes as people write them (common practice): none becomes another size."""

import pytest

from regrind.receiving.line_form import LineForm, data_of
from regrind.receiving.line_parser import parse_line

from .spellings import MM, inch

READ = [  # (words, unit, diameter, count, notes)
    ("1 staggered tooth side and face cutter ø63 10mm wide", "mm", 63 * MM, 1, ["width 10mm"]),
    ("1 staggered tooth side and face cutter ø63 10mm wide", "in", 63 * MM, 1, ["width 10mm"]),
    ("8 wide x 22 bore side and face cutter 100 mm", "mm", 100 * MM, 1, ["width 8", "bore 22"]),
    ("side and face cutter 80 dia 8 wide 27 bore HSS", "mm", 80 * MM, 1, ["width 8", "bore 27"]),
    ("3 slitting saws ⌀80 x 1.5 wide x 22 bore", "mm", 80 * MM, 3, ["width 1.5", "bore 22"]),
    ("saw 63mm dia, 1.6 mm wide, bore 16 mm", "mm", 63 * MM, 1, ["width 1.6 mm", "bore 16 mm"]),
    ("2 saws 125 mm bore 27 width 3", "mm", 125 * MM, 2, ["width 3", "bore 27"]),
    ("two side and face cutters 80 x 10 bore 27, 18 teeth HSS", "mm", 80 * MM, 2, ["bore 27", "width 10"]),
    ("side cutter 3 x 1/2 bore 1", "in", inch(3), 1, ["bore 1", "width 1/2"]),
    ("keyseat cutter ø16 width 4mm", "mm", 16 * MM, 1, ["width 4mm"]),
    ("woodruff cutter 19.5 dia 5 wide", "mm", 19_500_000, 1, ["width 5"]),
    ("t slot cutter 4 mm wide 12.5 mm", "mm", 12_500_000, 1, ["width 4 mm"]),
    ("stagger tooth 4 dia 1/2 wide 1 bore", "in", inch(4), 1, ["width 1/2", "bore 1"]),
    ('4" side milling cutter 1/2 wide 1-1/4 bore', "in", inch(4), 1, ["width 1/2", "bore 1-1/4"]),
    ("side and face cutter ø63x10", "mm", 63 * MM, 1, ["width 10"]),
    ("4 countersinks 90° ø16.5", "mm", 16_500_000, 4, []),
    ("csk 82 deg 1/2 dia", "in", inch(1, 2), 1, []),
    ("tap ø8", "mm", 8 * MM, 1, []),
    ("end mill 4fl ⌀12", "mm", 12 * MM, 1, []),
]


@pytest.mark.parametrize(("words", "unit", "diameter_nm", "count", "notes"), READ)
def test_a_width_or_a_bore_is_neither_the_diameter_nor_a_count(words, unit, diameter_nm, count, notes):
    parsed = parse_line(words, unit)
    assert (parsed.nominal_nm, parsed.count, parsed.notes) == (diameter_nm, count, notes)
    assert parsed.unknown == []


@pytest.mark.parametrize(
    ("words", "answers"),
    [
        ("side cutter 10mm wide", ["Size unknown"]),
        ("t slot cutter 4 mm 12.5 mm", ["4 mm", "12.5 mm"]),
    ],
)
def test_a_cutter_whose_diameter_is_not_named_is_asked_about(words, answers):
    parsed = parse_line(words, "mm")
    data = {f"l0-{name}": value for name, value in data_of(parsed, "mm").items() if value not in (None, False)}
    form = LineForm(data, prefix="l0", unit="mm")
    assert not form.is_valid()
    form.ask(parsed.asks)
    assert [answer for answer, _ in form.questions[0].answers] == answers


@pytest.mark.parametrize(
    ("words", "unit", "diameter_nm"),
    [
        ("reamer 10mm H7", "mm", 10 * MM),
        ("H7 reamer 8 mm", "in", 8 * MM),
        ("2 reamers ø12 H7", "mm", 12 * MM),
        ("reamer 10 H7", "mm", 10 * MM),
        ("reamer 12H7", "in", 12 * MM),
        ("1/4 reamer H7", "in", inch(1, 4)),
    ],
)
def test_the_class_of_a_reamer_is_its_holes_wherever_it_stands(words, unit, diameter_nm):
    parsed = parse_line(words, unit)
    assert (parsed.hole, parsed.nominal_nm, parsed.notes) == ("H7", diameter_nm, [])


@pytest.mark.parametrize("words", ["reamer 10mm G7", "reamer 10 H13"])
def test_a_class_that_the_shop_cannot_work_out_is_asked_about(words):
    parsed = parse_line(words, "mm")
    data = {f"l0-{name}": value for name, value in data_of(parsed, "mm").items() if value not in (None, False)}
    form = LineForm(data, prefix="l0", unit="mm")
    assert "hole" in form.errors


def test_the_class_of_a_shank_is_no_hole():
    assert parse_line("reamer 10mm shank h6", "mm").hole == ""
