"""Lines worded as people speak: each read as the trade means it, or asked about; never silently another tool."""

import pytest

from regrind.receiving.line_parser import parse_line
from regrind.record.models import Line

from .spellings import MM, inch

READ = [  # (words, what they mean; sizes exact, common practice of the trade)
    ("2 dozen 1/4 3fl", {"count": 24, "nominal_nm": inch(1, 4)}),
    ("three dozen 1/4", {"count": 36, "nominal_nm": inch(1, 4)}),
    ("half a dozen 1/4", {"count": 6, "nominal_nm": inch(1, 4)}),
    ("Twenty 1/4 3fl", {"count": 20, "nominal_nm": inch(1, 4)}),
    ("twenty-five 1/4 3fl", {"count": 25, "nominal_nm": inch(1, 4)}),
    ("6 @ 1/2 4fl", {"count": 6, "nominal_nm": inch(1, 2)}),
    ("- 3 x 1/4", {"count": 3, "nominal_nm": inch(1, 4)}),
    ("three eighths 4 flute", {"count": 1, "nominal_nm": inch(3, 8), "teeth": 4}),
    ("2 three eighths 4 flute", {"count": 2, "nominal_nm": inch(3, 8)}),
    ("five sixteenths ball", {"nominal_nm": inch(5, 16), "kind": "ball"}),
    ("three thirty seconds drill", {"nominal_nm": inch(3, 32), "kind": "drill"}),
    ("three quarter 4fl", {"count": 1, "nominal_nm": inch(3, 4)}),
    ("half inch 4fl", {"count": 1, "nominal_nm": inch(1, 2)}),
    ("two half inch 4fl", {"count": 2, "nominal_nm": inch(1, 2)}),
    ("4 x half inch em", {"count": 4, "nominal_nm": inch(1, 2)}),
    ("quarter inch 3fl", {"count": 1, "nominal_nm": inch(1, 4)}),
    ("one and a half inch shell mill", {"nominal_nm": inch(3, 2), "kind": "other"}),
    ("3 x M8 x 1.25 taps", {"count": 3, "nominal_nm": 8 * MM, "thread": "M8 x 1.25", "kind": "tap"}),
    ("M6 tap", {"nominal_nm": 6 * MM}),
    ("1/4-20 tap", {"count": 1, "nominal_nm": inch(1, 4), "thread": "1/4-20", "kind": "tap"}),
    ("4 1/4-20 taps", {"count": 4, "nominal_nm": inch(1, 4)}),
    ("10-32 taps", {"nominal_nm": inch(190, 1000), "thread": "#10-32"}),  # ASME B1.1: number 10 is .190 in
    ("#10-24 tap", {"nominal_nm": inch(190, 1000)}),
    ("#10 drill", {"nominal_nm": inch(1935, 10_000)}),  # the drill of that number is another size
    ("1/2 4fl HSS M42", {"nominal_nm": inch(1, 2), "material": "HSS-Co"}),
    ("letter F drill", {"nominal_nm": inch(257, 1000)}),
    ("60 deg dovetail 1/2", {"helix_cdeg": None, "kind": "form", "notes": ["dovetail", "60 deg"]}),
    ("1/2 4fl titanium nitride", {"coating": "TiN"}),
    ("1/2 4fl TiAlN coated", {"coating": "TiAlN"}),
    ("1/2 4fl aluminum titanium nitride coating", {"coating": "AlTiN"}),
    ("4 end mills unknown size", {"count": 4, "nominal_nm": None, "size_unknown": True}),
]


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize(("words", "meaning"), READ, ids=[words for words, _ in READ])
def test_it_is_read_as_it_is_meant_in_either_unit(words, unit, meaning):
    parsed = parse_line(words, unit)
    assert {name: getattr(parsed, name) for name in meaning} == meaning
    assert parsed.unknown == []


@pytest.mark.parametrize(
    ("words", "texts", "ambiguity"),
    [
        ("11/2 4 flute", {"nominal": "11/2"}, ""),
        ("3/2 4 flute", {"nominal": "3/2"}, ""),
        ("4 x D10 3fl", {"nominal": "10"}, ""),
        ("-3 x 1/4", {}, "read as 3 pieces"),
        ('4 1/8" shank .062 2 fl', {}, 'shank 1/8", diameter .062'),
        ("12 1/4 3fl", {}, "12-1/4"),
    ],
)
def test_what_may_mean_two_things_is_asked(words, texts, ambiguity):
    parsed = parse_line(words, "in")
    assert parsed.texts == texts
    assert ambiguity in " ".join(parsed.ambiguities)


def test_of_two_sizes_around_the_word_shank_the_larger_is_the_shank():
    parsed = parse_line('4 1/8" shank .062 2 fl', "in")
    assert (parsed.count, parsed.shank_nm, parsed.nominal_nm) == (4, inch(1, 8), inch(62, 1000))


@pytest.mark.django_db
def test_eleven_halves_is_answered_in_one_tap(counter, make_batch):
    [line] = counter.read_back(make_batch(), "11/2 4 flute").context["read"]
    assert [[words for words, _ in question.answers] for question in line.form.questions] == [["1-1/2 in", "5-1/2 in"]]


@pytest.mark.django_db
def test_a_tool_of_unknown_size_can_be_saved(counter, make_batch):
    box = make_batch()
    assert counter.keep(box, "4 end mills").status_code == 422
    assert counter.keep(box, "4 end mills unknown size").status_code == 302
    line = Line.objects.get()
    assert (line.family.nominal_nm, line.pieces.count()) == (None, 4)
