"""400 wordings: 200 written from packing slips before the parser was read, 200 put together from how people say each
part of a line. None is silently another tool.
"""

import random
from collections import Counter
from pathlib import Path

import pytest

from regrind.receiving.line_parser import parse_line

from .reading import verdict, written

WRITTEN = written(Path(__file__).with_name("wordings.txt"))
GENERATED = 200
LEAST_RIGHT = {"written": 180, "generated": 160}

COUNTS = [  # (before the tool, after it, how many)
    ("{n} x ", "", "3 5 6 10 12 24"),
    ("{n}x ", "", "3 6 10 12"),
    ("({n}) ", "", "4 6 12"),
    ("{n} pcs ", "", "2 5 8 40"),
    ("qty {n} ", "", "3 6 11"),
    ("{n} ea ", "", "4 7 15"),
    ("{n} off ", "", "1 6 25"),
    ("{n} - ", "", "3 6 12"),
    ("", ", {n} pcs", "2 6 30"),
    ("", " qty {n}", "3 6 10"),
    ("", " x{n}", "4 8 12"),
    ("", ", {n} each", "2 3 16"),
    ("", " ({n})", "2 6 9"),
]
SPOKEN_COUNTS = [
    ("a dozen ", 12),
    ("half a dozen ", 6),
    ("two dozen ", 24),
    ("a pair of ", 2),
    ("twenty ", 20),
    ("six ", 6),
]
SIZES = [  # (words, size): the spellings of the two units, by hand
    ("1/4", "1/4in"),
    ('1/2"', "1/2in"),
    ("3/8 in", "3/8in"),
    ("5/16 inch", "5/16in"),
    (".500", "1/2in"),
    (".375 dia", "3/8in"),
    ("0.1875", "3/16in"),
    ("1-1/4 in", "5/4in"),
    ("three eighths", "3/8in"),
    ("half inch", "1/2in"),
    ("quarter inch", "1/4in"),
    ("6mm", "6mm"),
    ("10 mm", "10mm"),
    ("12.5mm", "25/2mm"),
    ("½ in", "1/2in"),
]
TEETH = [
    ("4 flute", 4),
    ("4FL", 4),
    ("3fl", 3),
    ("2 flutes", 2),
    ("z4", 4),
    ("4-flute", 4),
    ("four flute", 4),
    ("6FLT", 6),
]
KINDS = [
    ("end mill", "end mill"),
    ("EM", "end mill"),
    ("ball nose", "ball"),
    ("ball end", "ball"),
    ("sq end", "end mill"),
]
COATINGS = [("", ""), ("TiAlN", "tialn"), ("AlTiN coated", "altin"), ("TiN", "tin"), ("uncoated", "none")]
MATERIALS = [("", ""), ("carbide", "carbide"), ("HSS", "hss"), ("cobalt", "cobalt"), ("solid carbide", "carbide")]


def generated() -> list[tuple[str, str, dict[str, str]]]:
    """Lines that hold a count, a size, teeth, a kind, a material and a coating, in the orders that people use."""
    chance, lines = random.Random(18), {}
    while len(lines) < GENERATED:
        text, meaning = _line(chance)
        lines[text] = meaning
    return [(chance.choice(("in", "mm")), text, meaning) for text, meaning in lines.items()]


def _line(chance: random.Random) -> tuple[str, dict[str, str]]:
    size, nominal = chance.choice(SIZES)
    teeth, number = chance.choice(TEETH)
    kind, code = chance.choice(KINDS)
    material, made_of = chance.choice(MATERIALS)
    coating, coated = chance.choice(COATINGS)
    order = chance.choice(([size, teeth, material, kind, coating], [size, kind, teeth, coating, material]))
    tool = " ".join(word for word in order if word)
    text, count = _counted(chance, tool)
    meaning = {"n": str(count), "d": nominal, "fl": str(number), "k": code, "m": made_of, "c": coated}
    return text, {name: value for name, value in meaning.items() if value}


def _counted(chance: random.Random, tool: str) -> tuple[str, int]:
    if chance.random() < 0.2:
        words, count = chance.choice(SPOKEN_COUNTS)
        return words + tool, count
    before, after, numbers = chance.choice(COUNTS)
    count = int(chance.choice(numbers.split()))
    return before.format(n=count) + tool + after.format(n=count), count


LINES = [("written", *line) for line in WRITTEN] + [("generated", *line) for line in generated()]


def test_there_are_four_hundred_different_ones():
    assert len({(unit, text) for _, unit, text, _ in LINES}) == 400
    assert len(WRITTEN) == 200


@pytest.mark.parametrize(("source", "unit", "text", "meaning"), LINES, ids=[text for _, _, text, _ in LINES])
def test_it_is_right_or_asked(source, unit, text, meaning):
    assert verdict(parse_line(text, unit), meaning) in ("right", "asked")


def test_nearly_all_of_them_need_no_question():
    verdicts = Counter((source, verdict(parse_line(text, unit), meaning)) for source, unit, text, meaning in LINES)
    assert {source: verdicts[source, "right"] >= least for source, least in LEAST_RIGHT.items()} == {
        "written": True,
        "generated": True,
    }
