"""The shop's fonts hold what the trade writes, in figures of one width, under a name that is free."""

import pytest
from fontTools.ttLib import TTFont

from scripts import make_fonts, vendor

FILES = [
    *(f"static/fonts/ShopSans-{style}.woff2" for style in make_fonts.STYLES),
    *(f"regrind/paper/fonts/ShopSans-{style}.ttf" for style in make_fonts.PAPER_STYLES),
]


@pytest.fixture(params=FILES)
def font(request):
    return TTFont(vendor.ROOT / request.param)


def test_every_sign_that_pages_and_papers_use_is_there(font):
    glyphs = font.getBestCmap()
    assert [sign for sign in make_fonts.NEEDED if ord(sign) not in glyphs] == []


def test_figures_and_the_signs_among_them_are_of_one_width(font):
    glyphs = font.getBestCmap()
    assert len({font["hmtx"][glyphs[ord(sign)]][0] for sign in "0123456789+−±"}) == 1


def test_the_zero_has_an_inner_stroke_that_the_letter_has_not(font):
    glyphs, outlines = font.getBestCmap(), font["glyf"]
    zero, letter = (outlines[glyphs[ord(sign)]].numberOfContours for sign in "0O")
    assert zero == letter + 1


def test_the_reserved_name_is_not_used_and_the_licence_is_kept(font):
    names = {record.nameID: str(record) for record in font["name"].names}
    assert names[1].startswith("Shop Sans")
    assert not [text for identity, text in names.items() if identity in (1, 3, 4, 6, 16) and "Plex" in text]
    assert "SIL Open Font License" in names[13]
    assert "IBM" in names[0]


def test_a_font_that_lacks_a_needed_sign_is_refused(font):
    for table in font["cmap"].tables:
        table.cmap.pop(ord("±"), None)
    with pytest.raises(ValueError, match="±"):
        make_fonts.refuse_unfit(font)


def test_figures_of_uneven_width_are_refused(font):
    one = font.getBestCmap()[ord("1")]
    font["hmtx"][one] = (400, 0)
    with pytest.raises(ValueError, match="one width"):
        make_fonts.refuse_unfit(font)
