"""The codes on labels: decoded from the dots of the printer, whole and worn."""

import math
import random

import numpy as np
import pytest
from PIL import Image, ImageFilter

from regrind.paper import label, qr
from regrind.paper.values import (
    SHEET_A4,
    SHEET_LETTER,
    Style,
)
from tests.long_form import FULL
from tests.paper.reading import black, ink_box, pages, raster, read_codes

from .label_makers import MAKERS, NAMES, ROLLS, a_return

MANY = 1000 if FULL else 40


def random_label(chance):
    if chance.random() < 0.3:
        number = "".join(chance.choices("ACDEFGHJKMNPQRTUVWXY3479", k=6))
    else:
        number = "-".join(str(chance.randint(1, top)) for top in (99999, 40, 400)[: chance.randint(2, 3)])
    maker = chance.choice(MAKERS)
    style = Style(chance.choice(["in", "mm"]), chance.choice([".", ","]))
    return maker(number, style=style, part_number=chance.choice(NAMES), pieces=chance.randint(1, 400))


def seen(image):
    """A label as a lens hands it on: some paper around it, two pixels to a printer's dot, spread by half a dot."""
    return enlarged(image).filter(ImageFilter.GaussianBlur(1.0))


def enlarged(image):
    """Some paper around a label, two pixels to a printer's dot, no lens."""
    wide = Image.fromarray(np.pad(np.array(image), 40, constant_values=255))
    return wide.resize((wide.width * 2, wide.height * 2), Image.Resampling.NEAREST)


def read_sharp(image):
    """What is read of sharp dots of dirt without any lens, in two looks as a reader takes them: at one pixel to a
    printer's dot, and at two.

    One look is not enough for this decoder, which searches few rows of an image: of 1,000 labels, half of them at 203
    dpi, the first look read 954 and the second 995, the two together all; through a lens, or with each dot made the
    median of its nine, one look read all.
    """
    once = read_codes(Image.fromarray(np.pad(np.array(image), 40, constant_values=255)))
    return once or read_codes(enlarged(image))


def speckled(image, chance):
    """One printer's dot in a hundred is dirt, black or white."""
    dots = np.array(image)
    spots = np.random.default_rng(chance.randrange(2**32)).random(dots.shape)
    dots[spots < 0.005] = 0
    dots[spots > 0.995] = 255
    return Image.fromarray(dots)


def blurred(image):
    """By one printer's dot."""
    return image.filter(ImageFilter.GaussianBlur(2.0))


def turned(image, chance):
    return image.rotate(chance.choice([-5, 5]), resample=Image.Resampling.BILINEAR, fillcolor=255)


WORN = {
    "blurred": lambda image, _: blurred(seen(image)),
    "turned": lambda image, chance: turned(seen(image), chance),
    "speckled": lambda image, chance: seen(speckled(image, chance)),
    "all three": lambda image, chance: turned(blurred(seen(speckled(image, chance))), chance),
}


@pytest.mark.parametrize("stock", ROLLS, ids=lambda stock: f"{stock.name} {stock.dpi} dpi")
def test_random_labels_decode_at_the_printers_own_dots_and_worn(stock):
    """Half of MANY on each stock: MANY at 203 dpi, and MANY at 300."""
    chance = random.Random(f"{stock.name}{stock.dpi}")
    made = [random_label(chance) for _ in range(MANY // 2)]
    pdf = label.draw(made, stock)
    read = dict.fromkeys([*WORN, "speckled, no lens"], 0)
    for page, one in enumerate(made):
        image = raster(pdf, stock.dpi, page)
        assert read_codes(image) == [qr.code_of(one.number)]
        for name, wear in WORN.items():
            read[name] += read_codes(wear(image, chance)) == [qr.code_of(one.number)]
        read["speckled, no lens"] += read_sharp(speckled(image, chance)) == [qr.code_of(one.number)]
    assert len(made) - min(read.values()) <= math.ceil(0.01 * len(made)), read  # 99 of 100; one of the short run


@pytest.mark.parametrize("stock", ROLLS, ids=lambda stock: f"{stock.name} {stock.dpi} dpi")
@pytest.mark.parametrize("number", ["417-3", "10417-40-400", "ABCDEFGHJK-123456789-0123456789"])
def test_modules_are_whole_dots_and_the_quiet_zone_is_empty(stock, number):
    """ISO/IEC 18004: four modules of quiet zone. Four dots to a module at 203 dpi, six at 300."""
    dots = {203: 4, 300: 6}[stock.dpi]
    side = qr.side_dots(qr.code_of(number), stock.dpi)
    ink = black(raster(label.draw([a_return(number)], stock), stock.dpi))[:side, :side]
    quiet = 4 * dots
    assert not ink[:quiet].any()
    assert not ink[-quiet:].any()
    assert not ink[:, :quiet].any()
    assert not ink[:, -quiet:].any()
    for code in (ink[quiet:-quiet, quiet:-quiet], ink[quiet:-quiet, quiet:-quiet].T):
        changes = np.nonzero(np.diff(code.astype(int)).any(axis=0))[0] + 1
        assert len(changes) > 15
        assert not (changes % dots).any()


@pytest.mark.parametrize("stock", [SHEET_A4, SHEET_LETTER], ids=lambda stock: stock.name)
def test_a_used_sheet_starts_where_it_is_told_and_every_code_reads(stock):
    full = stock.grid.columns * stock.grid.rows
    made = [a_return(f"500-1-{piece}") for piece in range(1, full + 1)]
    pdf = label.draw(made, stock, start=3)
    first, second = pages(pdf)
    assert "500-1-1 " in first
    assert f"500-1-{full - 2} " in first
    assert f"500-1-{full - 1} " in second
    assert f"500-1-{full} " in second
    image = raster(pdf, 300)
    assert ink_box(image)[1] > stock.grid.top_mm / 25.4 * 300
    unused = image.crop(
        (
            0,
            0,
            int((stock.grid.left_mm + stock.grid.pitch_x_mm * 2) / 25.4 * 300),
            int((stock.grid.top_mm + stock.height_mm) / 25.4 * 300),
        )
    )
    assert not black(unused).any()
    assert sorted(read_codes(image)) == sorted(qr.code_of(one.number) for one in made[: full - 2])
