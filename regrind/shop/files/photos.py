"""Photos: an upload is decoded once and stored as a new JPEG, under its own hash.

The new file holds pixels and nothing else: no place, no camera, no comment, no second file behind the picture.
"""

import hashlib
import re
import warnings
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from django.conf import settings
from PIL import Image

from .file_references import store_file
from .picture_heads import MOST_PIXELS, TooMuch, refuse_too_much

MOST_BYTES = 16_000_000  # a phone's largest JPEG; the request as a whole is held in shop.middleware
LEAST_SIDE, LONGEST_SIDE = 32, 1_600
LONGEST_LOGO = 1_000  # 600 dots an inch where it is printed
QUALITY = 82
READ = ("JPEG", "PNG", "WEBP")
NAME = re.compile(r"[0-9a-f]{64}")
ORIENTATION = 0x0112  # CIPA DC-008 (Exif): how the camera was held, 1 to 8
UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
# First bytes of what is sent by mistake, and the word for it. What is let in is decided by READ alone.
KNOWN = (
    (b"%PDF", "a PDF"),
    (b"GIF8", "a GIF"),
    (b"<svg", "a drawing (SVG)"),
    (b"<?xml", "a drawing (SVG)"),
    (b"<!doctype", "a web page"),
    (b"<html", "a web page"),
    (b"PK\x03\x04", "an archive"),
    (b"MZ", "a program"),
    (b"II*\x00", "a TIFF"),
    (b"MM\x00*", "a TIFF"),
    (b"BM", "a BMP"),
    (b"\x00\x00\x01\x00", "an icon"),
)


class PhotoRefused(Exception):
    """The file is not accepted as a photo. The message says why, and what to send instead."""


@dataclass(frozen=True)
class Photograph:
    """A new JPEG, upright, no side longer than 1,600 pixels."""

    jpeg: bytes
    width: int
    height: int

    @property
    def sha256(self) -> str:
        return hashlib.sha256(self.jpeg).hexdigest()


def redraw_photo(content: bytes) -> Photograph:
    """The photo in `content`, upright and stripped. PhotoRefused where it is too large, damaged or no photo."""
    if not content:
        raise PhotoRefused("The file is empty. Take or choose the photo again.")
    if len(content) > MOST_BYTES:
        raise PhotoRefused(
            f"The photo is larger than {MOST_BYTES // 1_000_000} MB, the limit. Take it at a smaller size."
        )
    bare = _pixels(content, LONGEST_SIDE)
    out = BytesIO()
    bare.save(out, "JPEG", quality=QUALITY, optimize=True)
    return Photograph(out.getvalue(), *bare.size)


def redraw_logo(content: bytes) -> bytes:
    """The logo in `content` as a small PNG of pixels alone; PhotoRefused as above."""
    out = BytesIO()
    _pixels(content, LONGEST_LOGO).save(out, "PNG", optimize=True)
    return out.getvalue()


def _pixels(content: bytes, longest: int) -> Image.Image:
    """The picture upright, no side longer than that, with nothing of what came but its pixels."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of damaged EXIF and of sizes, which are looked at here
        image = _open(content)
        try:
            return _redraw(image, longest)
        except Exception as error:  # decoders raise whatever they stumble on; all of it means the same to a person
            raise PhotoRefused("The photo is damaged or cut short. Take or send it again.") from error


def _open(content: bytes) -> Image.Image:
    """The image, of which only the head was read yet: its size is known before its pixels are."""
    try:
        refuse_too_much(content)
        image = Image.open(BytesIO(content), formats=READ)
    except TooMuch as error:
        raise PhotoRefused(str(error)) from error
    except Image.DecompressionBombError as error:
        raise PhotoRefused(_too_many()) from error
    except Exception as error:
        raise PhotoRefused(f"This is {_name(content)}, not a photo. Send a JPEG, PNG or WebP file.") from error
    across, down = image.size
    if across * down > MOST_PIXELS:
        raise PhotoRefused(_too_many())
    if min(across, down) < LEAST_SIDE:
        raise PhotoRefused(
            f"The picture is {across} × {down} pixels, too small. Send one of at least {LEAST_SIDE} × {LEAST_SIDE}."
        )
    return image


def _too_many() -> str:
    return f"The photo has more than {MOST_PIXELS // 1_000_000} million pixels, the limit. Take it at a smaller size."


def _name(content: bytes) -> str:
    start = content[:64].lstrip(b"\xef\xbb\xbf \t\r\n")
    if content[4:8] == b"ftyp":
        return "a HEIC, AVIF or video file (set the camera to JPEG)"
    return next((word for head, word in KNOWN if start.lower().startswith(head.lower())), "an unknown file")


def _redraw(image: Image.Image, longest: int) -> Image.Image:
    if image.format == "JPEG":  # decodes small, not large and then smaller
        part = min(1.0, longest / max(image.size))
        image.draft("RGB", (max(1, int(image.width * part)), max(1, int(image.height * part))))
    turn = _turn(image)
    plain = _flatten(image)
    plain.thumbnail((longest, longest))
    upright = plain.transpose(turn) if turn is not None else plain
    return Image.frombytes("RGB", upright.size, upright.tobytes())  # pixels alone: nothing of `info` comes along


def _turn(image: Image.Image) -> Image.Transpose | None:
    """How it is to be turned to stand upright, by its EXIF; not at all where that cannot be read."""
    try:
        return UPRIGHT.get(image.getexif().get(ORIENTATION, 1))
    except Exception:  # a damaged note about a picture is no reason to refuse the picture
        return None


def _flatten(image: Image.Image) -> Image.Image:
    """Eight bits, red, green and blue; what was transparent on white; of an animation the first picture."""
    if image.mode.startswith("I"):
        image = image.point(lambda value: value / 256).convert("L")
    if image.mode in ("LA", "PA", "RGBA", "La", "RGBa") or "transparency" in image.info:
        over = image.convert("RGBA")
        under = Image.new("RGBA", over.size, "white")
        under.alpha_composite(over)
        return under.convert("RGB")
    return image.convert("RGB")


def path_of(sha256: str) -> Path:
    """Where a kept photo lies; ValueError for what is no hash."""
    if not NAME.fullmatch(sha256):
        raise ValueError(f"{sha256!r} is no hash")
    return Path(settings.MEDIA_ROOT) / sha256[:2] / f"{sha256}.jpg"


def store(photo: Photograph) -> str:
    """Put a photo on the disk, before any row names it; returns its hash. The same photo is kept once."""
    store_file(path_of(photo.sha256), photo.jpeg)
    return photo.sha256


def read(sha256: str) -> bytes | None:
    """The bytes of a kept photo; None where the file is gone or is not what was kept."""
    try:
        content = path_of(sha256).read_bytes()
    except OSError:
        return None
    return content if hashlib.sha256(content).hexdigest() == sha256 else None
