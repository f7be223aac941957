"""Pictures that ask for much work are refused before a byte of them is decoded; what is let in fits into 250 MB."""

import os
import struct
import subprocess
import sys
import zlib
from functools import cache
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from regrind.shop.files.photos import PhotoRefused, redraw_photo
from regrind.shop.files.picture_heads import MOST_PARTS, MOST_SCANS, TooMuch, refuse_too_much, size_of_webp

ROOT = Path(__file__).resolve().parents[2]
SIDE = 3_400  # 11.6 million pixels: too many to decode whole


def zeros(number: int) -> bytes:
    """Packed nothing, made without holding it."""
    pack = zlib.compressobj(9)
    parts = [pack.compress(bytes(1_000_000)) for _ in range(number // 1_000_000)]
    return b"".join([*parts, pack.compress(bytes(number % 1_000_000)), pack.flush()])


def chunk(kind: bytes, content: bytes = b"") -> bytes:
    """A PNG chunk (ISO/IEC 15948, 5.3)."""
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))


def png(side: int, depth: int, colour: int, channels: int, between: bytes = b"") -> bytes:
    head = struct.pack(">IIBBBBB", side, side, depth, colour, 0, 0, 0)
    data = zeros(side * (side * channels * depth // 8 + 1))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + between + chunk(b"IDAT", data) + chunk(b"IEND")


def saved(kind: str, side: int, mode: str = "RGB", **more) -> bytes:
    out = BytesIO()
    Image.new(mode, (side, side)).save(out, kind, **more)
    return out.getvalue()


def with_scans(content: bytes, more: int) -> bytes:
    """A progressive JPEG whose last pass stands so many times more."""
    last = content.rindex(b"\xff\xda")
    return content[:-2] + content[last:-2] * more + b"\xff\xd9"


@cache
def hostile() -> dict[str, tuple[bytes, str]]:
    small = saved("JPEG", 64)
    progressive = saved("JPEG", 64, progressive=True)
    pieces = chunk(b"abCd") * 100_000
    return {
        "sixteen bits, four channels": (png(SIDE, 16, 6, 4), "as PNG"),
        "grey": (png(SIDE, 16, 0, 1), "as PNG"),
        "palette": (png(7_000, 8, 3, 1, chunk(b"PLTE", bytes(48))), "as PNG"),
        "many pieces": (png(64, 8, 0, 1, pieces), "too many parts"),
        "webp": (saved("WEBP", SIDE), "as WebP"),
        "webp, lossless": (saved("WEBP", SIDE, lossless=True), "as WebP"),
        "webp, see-through": (saved("WEBP", SIDE, "RGBA"), "as WebP"),
        "progressive": (saved("JPEG", SIDE, progressive=True), "several passes"),
        "many passes": (with_scans(progressive, 200), "too many passes"),
        "many segments": (small[:2] + b"\xff\xfe\0\x02" * 100_000 + small[2:], "too many parts"),
        "51 million": (saved("JPEG", 7_150), "50 million"),
    }


@pytest.mark.parametrize(
    "name",
    [
        "sixteen bits, four channels",
        "grey",
        "palette",
        "many pieces",
        "webp",
        "webp, lossless",
        "webp, see-through",
        "progressive",
        "many passes",
        "many segments",
        "51 million",
    ],
)
@pytest.mark.drill("hostile photos")
def test_it_is_refused_and_nothing_is_decoded(name, monkeypatch):
    content, words = hostile()[name]

    def decoded(*_, **__):
        raise AssertionError("it was opened")

    monkeypatch.setattr(Image, "open", decoded)
    with pytest.raises(PhotoRefused, match=words):
        redraw_photo(content)


@pytest.mark.parametrize(
    "make",
    [
        lambda: saved("JPEG", SIDE),
        lambda: saved("JPEG", 3_100, progressive=True),
        lambda: saved("PNG", 3_100),
        lambda: saved("WEBP", 640),
        lambda: with_scans(saved("JPEG", 64, progressive=True), 5),
        lambda: saved("JPEG", 64, exif=Image.Exif()),
        lambda: b"",
        lambda: b"\xff\xd8\xff",
        lambda: b"RIFF....WEBP",
        lambda: b"\x89PNG\r\n\x1a\n",
        lambda: saved("JPEG", 64) + b"\xff\xda" * 50,
    ],
)
def test_what_is_usual_or_broken_is_left_to_the_decoder(make):
    refuse_too_much(make())


def test_the_limits_are_where_they_say():
    progressive = saved("JPEG", 64, progressive=True)
    own = progressive.count(b"\xff\xda")
    refuse_too_much(with_scans(progressive, MOST_SCANS - own))
    with pytest.raises(TooMuch, match="passes"):
        refuse_too_much(with_scans(progressive, MOST_SCANS - own + 1))
    refuse_too_much(png(64, 8, 0, 1, chunk(b"abCd") * (MOST_PARTS - 3)))
    with pytest.raises(TooMuch, match="parts"):
        refuse_too_much(png(64, 8, 0, 1, chunk(b"abCd") * (MOST_PARTS - 2)))


@pytest.mark.parametrize("more", [{}, {"lossless": True}, {"exif": b"Exif\0\0II*\0\x08\0\0\0\0\0"}])
@pytest.mark.parametrize("size", [(1, 1), (640, 481), (5_000, 33)])
def test_the_size_of_a_webp_is_what_the_library_writes(size, more):
    out = BytesIO()
    Image.new("RGB", size).save(out, "WEBP", **more)
    assert size_of_webp(out.getvalue()) == size


def test_a_long_photo_is_decoded_small():
    """48 million pixels as a strip: asked for as a square, the decoder would have given all of them."""
    out = BytesIO()
    Image.new("RGB", (16_000, 3_000)).save(out, "JPEG")
    made = redraw_photo(out.getvalue())
    assert (made.width, made.height) == (1_600, 300)


IN_BOUNDS = """
import resource, sys
from regrind.shop.files import photos, picture_heads
from tests.shop.test_picture_heads import png, saved
if sys.argv[1] == "lifted":
    picture_heads.MOST_AT_ONCE = 10**9
side = int(sys.argv[2])
pictures = [saved("JPEG", 320), png(side, 16, 6, 4), saved("WEBP", side, "RGBA"), saved("JPEG", side, progressive=True)]
photos.redraw_photo(pictures[0])
now = next(int(line.split()[1]) for line in open("/proc/self/status") if line.startswith("VmSize"))
resource.setrlimit(resource.RLIMIT_AS, ((now + 250_000) * 1024,) * 2)
for content in pictures:
    photos.redraw_photo(content)
print("all drawn")
"""


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="needs Linux to hold a process to its memory")
@pytest.mark.parametrize(("limits", "side", "drawn"), [("kept", 3_160, True), ("lifted", 7_000, False)])
@pytest.mark.drill("hostile photos")
def test_the_largest_that_is_let_in_fits_into_250_megabytes(limits, side, drawn):
    """A process that can get no more: with the limits lifted it fails at 49 million pixels."""
    code = "import os, django; django.setup()\n" + IN_BOUNDS
    done = subprocess.run(
        [sys.executable, "-c", code, limits, str(side)],
        cwd=ROOT,
        text=True,
        capture_output=True,
        env=os.environ | {"DJANGO_SETTINGS_MODULE": "regrind.settings_test"},
        check=False,
    )
    assert ("all drawn" in done.stdout) is drawn, done.stderr
    assert drawn or "damaged or cut short" in done.stderr
