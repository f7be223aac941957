"""Sixty files that somebody may send as a photo, made here: name -> (bytes, the word that the refusal holds, or None
where a clean picture must come of it)."""

import gzip
import io
import random
import struct
import zipfile
import zlib
from functools import cache

from PIL import Image

from .photo_maker import picture

SCRIPT = b"<script>alert(document.cookie)</script>"
NOT, BROKEN, MANY, SMALL, LARGE = "not a photo", "damaged or cut short", "million pixels", "too small", "larger than"


def chunk(kind: bytes, content: bytes) -> bytes:
    """A PNG chunk (ISO/IEC 15948, 5.3)."""
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))


def png(across: int, down: int, data: bytes = b"", *between: bytes, depth: int = 8, colour: int = 0) -> bytes:
    head = struct.pack(">IIBBBBB", across, down, depth, colour, 0, 0, 0)
    body = [chunk(b"IHDR", head), *between, chunk(b"IDAT", data), chunk(b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(body)


def grey(across: int, down: int) -> bytes:
    return zlib.compress((b"\0" + b"\x80" * across) * down)


def exif(orientation: int = 6) -> bytes:
    """EXIF with a place on the earth, a maker and a comment."""
    told = Image.Exif()
    told[0x0112], told[0x010F], told[0x9286] = orientation, "Maker of the phone", SCRIPT.decode()
    told.get_ifd(0x8825).update({1: "N", 2: (51.0, 30.0, 26.0), 3: "W", 4: (0.0, 7.0, 39.0)})
    return told.tobytes()


def jpeg_of(across: int, down: int) -> bytes:
    """A JPEG whose head says a size that its data have nothing of."""
    plain = bytearray(picture())
    at = plain.index(b"\xff\xc0")
    plain[at + 5 : at + 9] = struct.pack(">HH", down, across)
    return bytes(plain)


def text_bomb() -> bytes:
    return chunk(b"zTXt", b"a\0\0" + zlib.compress(b"x" * 80_000_000, 1))


def archive() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as box:
        box.writestr("bomb", b"\0" * 5_000_000)
    return out.getvalue()


def animation(kind: str) -> bytes:
    frames = [Image.new("RGB", (64, 64), colour) for colour in ("red", "green", "blue")]
    out = io.BytesIO()
    frames[0].save(out, kind, save_all=True, append_images=frames[1:], loop=0, duration=20)
    return out.getvalue()


def riff(kind: bytes, content: bytes) -> bytes:
    return b"RIFF" + struct.pack("<I", len(content) + 4) + kind + content


def spoilt(content: bytes, seed: int) -> bytes:
    """The picture with twenty bytes of its body changed."""
    chance, made = random.Random(seed), bytearray(content)
    for _ in range(20):
        made[chance.randrange(200, len(made))] = chance.randrange(256)
    return bytes(made)


@cache
def corpus() -> dict[str, tuple[bytes, str | None]]:
    return _not_pictures() | _heads() | _sizes() | _cut() | _with_more() | _modes()


def _not_pictures() -> dict[str, tuple[bytes, str | None]]:
    svg = b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)">' + SCRIPT + b"</svg>"
    return {
        "empty": (b"", "empty"),
        "one byte": (b"\xff", NOT),
        "NULs": (b"\0" * 5_000, NOT),
        "noise": (random.Random(1).randbytes(5_000), NOT),
        "text": (b"not a picture at all" * 50, NOT),
        "html": (b"<!doctype html>" + SCRIPT, NOT),
        "html named photo.jpg": (b"<html>" + SCRIPT, NOT),
        "svg": (svg, NOT),
        "svg with a head": (b'<?xml version="1.0"?>' + svg, NOT),
        "svg, gzipped": (gzip.compress(svg), NOT),
        "xml that names a file": (
            b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]>&a;',
            NOT,
        ),
        "pdf": (b"%PDF-1.7\n" + SCRIPT, NOT),
        "postscript": (b"%!PS-Adobe-3.0 EPSF-3.0\n(/etc/passwd) run", NOT),
        "zip": (archive(), NOT),
        "gzip": (gzip.compress(b"\0" * 1_000_000), NOT),
        "program": (b"MZ" + b"\0" * 500, NOT),
        "elf": (b"\x7fELF" + b"\0" * 500, NOT),
        "shell": (b"#!/bin/sh\nrm -rf /\n", NOT),
        "php": (b"<?php phpinfo();", NOT),
        "heic": (b"\0\0\0\x18ftypheic" + b"\0" * 200, "HEIC"),
        "mp4": (b"\0\0\0\x18ftypmp42" + b"\0" * 200, "video"),
    }


def _heads() -> dict[str, tuple[bytes, str | None]]:
    """Kinds of picture that are not read here, and heads with nothing behind."""
    return {
        "gif": (picture("GIF", mode="P", colour=1), NOT),
        "gif with script": (picture("GIF", mode="P", colour=1) + SCRIPT, NOT),
        "gif that is script": (b"GIF89a/*" + b"\0" * 20 + b"*/=1;alert(1)", NOT),
        "gif, animated": (animation("GIF"), NOT),
        "bmp": (picture("BMP"), NOT),
        "tiff": (picture("TIFF"), NOT),
        "ico": (picture("ICO", (64, 64)), NOT),
        "ppm": (picture("PPM"), NOT),
        "tga": (picture("TGA"), NOT),
        "jpeg 2000": (b"\0\0\0\x0cjP  \r\n\x87\n" + b"\0" * 99, NOT),
        "jpeg head alone": (b"\xff\xd8\xff\xe0", NOT),
        "png head alone": (b"\x89PNG\r\n\x1a\n", NOT),
        "webp head alone": (riff(b"WEBP", b""), NOT),
        "wave": (riff(b"WAVE", b"fmt " + b"\0" * 40), NOT),
    }


def _sizes() -> dict[str, tuple[bytes, str | None]]:
    return {
        "png of 10^9 pixels": (png(60_000, 20_000, b""), MANY),
        "png, longest sides": (png(2**31 - 1, 2**31 - 1), MANY),
        "png bomb": (png(7_200, 7_200, zlib.compress(bytes(7_201 * 7_200), 1)), MANY),
        "png without a side": (png(0, 100), NOT),
        "png of one pixel": (png(1, 1, grey(1, 1)), SMALL),
        "png, a thread": (png(31, 4_000, grey(31, 4_000)), SMALL),
        "jpeg of 65500 by 65500": (jpeg_of(65_500, 65_500), MANY),
        "text bomb in a png": (png(64, 64, grey(64, 64), text_bomb()), "photo"),
        "17 MB": (picture() + b"\0" * 17_000_000, LARGE),
    }


def _cut() -> dict[str, tuple[bytes, str | None]]:
    return {
        "jpeg, half": (picture(size=(600, 400))[:1_500], BROKEN),
        "png, half": (png(64, 64, grey(64, 64)[:20]), BROKEN),
        "png without pixels": (png(64, 64), BROKEN),
        "webp, half": (picture("WEBP", (600, 400))[:100], "photo"),
        "png, wrong checksum": (png(64, 64, grey(64, 64)).replace(b"IDAT", b"IDAX"), "photo"),
    }


def _with_more() -> dict[str, tuple[bytes, str | None]]:
    """True pictures that carry something besides: a clean one must come of each."""
    return {
        "gps": (picture(exif=exif()), None),
        "comment with script": (picture(comment=SCRIPT), None),
        "script behind": (picture() + SCRIPT, None),
        "zip behind": (picture() + archive(), None),
        "page behind a png": (picture("PNG") + b"<!doctype html>" + SCRIPT, None),
        "png with script in a text": (png(64, 64, grey(64, 64), chunk(b"tEXt", b"Comment\0" + SCRIPT)), None),
        "png with gps": (picture("PNG", exif=exif()), None),
        "webp with gps": (picture("WEBP", exif=exif()), None),
        "damaged exif": (picture(exif=b"Exif\0\0II*\0" + b"\xff" * 60), None),
        "profile of nonsense": (picture(icc_profile=SCRIPT * 20), None),
    }


def _modes() -> dict[str, tuple[bytes, str | None]]:
    return {
        "cmyk": (picture(mode="CMYK", colour=(0, 255, 255, 0)), None),
        "grey": (picture(mode="L", colour=200), None),
        "sixteen bits": (picture("PNG", mode="I;16", colour=51_200), None),
        "one bit": (picture("PNG", mode="1", colour=1), None),
        "palette": (picture("PNG", mode="P", colour=1), None),
        "see-through": (picture("PNG", mode="RGBA", colour=(255, 0, 0, 0)), None),
        "webp, animated": (animation("WEBP"), None),
        "png, animated": (animation("PNG"), None),
        "progressive": (picture(progressive=True), None),
        "spoilt": (spoilt(picture(size=(600, 400), quality=95), 3), None),
    }
