"""A picture that is sent: hostile files are refused or come out clean, and a photo is drawn anew."""

from io import BytesIO
from unittest.mock import patch

import pytest
from PIL import Image

from regrind.shop.files.photos import PhotoRefused, redraw_photo

from .hostile_photos import SCRIPT, corpus, exif
from .photo_maker import picture

CORPUS = corpus()


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "photos"


def test_the_corpus_has_sixty_files():
    assert len(CORPUS) >= 60


@pytest.mark.parametrize("name", CORPUS)
def test_a_hostile_file_is_refused_or_comes_out_clean(name):
    content, said = CORPUS[name]
    if said is not None:
        with pytest.raises(PhotoRefused, match=said):
            redraw_photo(content)
        return
    _is_clean(redraw_photo(content), content)


def _is_clean(made, content: bytes) -> None:
    """A plain JPEG of pixels alone, and not a byte of what came."""
    image = Image.open(BytesIO(made.jpeg))
    image.load()
    assert (image.format, image.mode, image.size) == ("JPEG", "RGB", (made.width, made.height))
    assert getattr(image, "n_frames", 1) == 1
    assert dict(image.getexif()) == {}
    assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    assert made.jpeg.endswith(b"\xff\xd9")
    for word in (SCRIPT, b"Exif", b"GPS", b"PK\x03\x04", b"Maker"):
        assert word not in made.jpeg, word
    assert made.jpeg != content


def test_a_photo_stands_upright_whichever_way_the_camera_was_held():
    """CIPA DC-008 (Exif) names eight ways; Pillow's own turning is the outside word."""
    from PIL import ImageOps

    for way in range(1, 9):
        content = picture(exif=exif(way), quality=95)
        right = ImageOps.exif_transpose(Image.open(BytesIO(content))).convert("RGB")
        mine = Image.open(BytesIO(redraw_photo(content).jpeg))
        assert mine.size == right.size, way
        for where in ((20, 20), (right.width - 20, 20), (20, right.height - 20)):
            assert mine.getpixel(where) == pytest.approx(right.getpixel(where), abs=12), (way, where)


def test_a_large_photo_is_made_small_and_a_picture_of_sixteen_bits_keeps_its_grey():
    made = redraw_photo(picture(size=(5_000, 3_000)))
    assert (made.width, made.height) == (1_600, 960)
    grey = Image.open(BytesIO(redraw_photo(CORPUS["sixteen bits"][0]).jpeg)).getpixel((300, 100))
    assert all(abs(one - 200) <= 3 for one in grey)  # 51,200 of 65,536 is 200 of 256


def test_see_through_becomes_white():
    assert min(Image.open(BytesIO(redraw_photo(CORPUS["see-through"][0]).jpeg)).getpixel((300, 100))) > 250


def test_a_decoder_that_stumbles_is_a_refusal():
    with (
        patch("regrind.shop.files.photos._redraw", side_effect=MemoryError),
        pytest.raises(PhotoRefused, match="damaged"),
    ):
        redraw_photo(picture())
