"""How much work a picture would be, read from how it is built and before a byte of it is decoded.

A small file can ask for gigabytes or for minutes: many pixels, many passes over them, a million empty parts.
"""

import re

MOST_PIXELS = 50_000_000  # of a JPEG of one pass, which is decoded at a part of its size
MOST_AT_ONCE = 10_000_000  # of what can only be decoded whole: PNG, WebP, a JPEG of several passes
MOST_PARTS = 4_000  # a PNG of 16 MB in pieces of 8 kB, as usual, has 2,000
MOST_SCANS = 20  # the usual progressive JPEG has ten
PNG, JPEG = b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff"
# ISO/IEC 10918-1, B.1.1: a marker is FF and a code; FF 00 is data, D0 to D7 restart within them.
MARKER = re.compile(rb"\xff+[^\x00\xff\xd0-\xd7]")
ALONE, END, SCAN = (0x01, 0xD8), 0xD9, 0xDA
FRAMES = {*range(0xC0, 0xD0)} - {0xC4, 0xC8, 0xCC}
PROGRESSIVE = {0xC2, 0xC6, 0xCA, 0xCE}


class TooMuch(Exception):
    """It would be too much work. The message says what is too many, and what would do."""


def refuse_too_much(content: bytes) -> None:
    """TooMuch where a JPEG, PNG or WebP asks for more than is given. What is broken is left to the decoder to find."""
    if content.startswith(JPEG):
        _look_at_jpeg(content)
    elif content.startswith(PNG):
        _look_at_png(content)
    elif content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        across, down = size_of_webp(content)
        _hold(across * down, MOST_AT_ONCE, "as WebP")


def _hold(pixels: int, most: int, kind: str) -> None:
    if pixels > most:
        raise TooMuch(
            f"The photo has more than {most // 1_000_000} million pixels, the limit {kind}. "
            "Take it at a smaller size, or as a plain JPEG."
        )


def _hold_parts(parts: int) -> None:
    if parts > MOST_PARTS:
        raise TooMuch("The file has too many parts for a photo. Take or send it again.")


def _look_at_png(content: bytes) -> None:
    """ISO/IEC 15948, 5.3: length, kind, that many bytes and a checksum, again and again; the size comes first."""
    _hold(_big(content[16:20]) * _big(content[20:24]), MOST_AT_ONCE, "as PNG")
    offset, parts = 8, 0
    while offset < len(content):
        offset, parts = offset + 12 + _big(content[offset : offset + 4]), parts + 1
        _hold_parts(parts)


def _look_at_jpeg(content: bytes) -> None:
    offset, parts, scans, pixels, progressive = 2, 0, 0, 0, False
    while marker := MARKER.search(content, offset):
        code, offset, parts = content[marker.end() - 1], marker.end(), parts + 1
        _hold_parts(parts)
        if code == END:
            break
        if code in FRAMES:
            pixels = max(pixels, _big(content[offset + 3 : offset + 5]) * _big(content[offset + 5 : offset + 7]))
            progressive |= code in PROGRESSIVE
        scans += code == SCAN
        offset += 0 if code in ALONE else _big(content[offset : offset + 2])
    _hold(pixels, MOST_PIXELS, "for a photo")
    if progressive or scans > 1:
        _hold(pixels, MOST_AT_ONCE, "for a JPEG of several passes")
    if scans > MOST_SCANS:
        raise TooMuch("The file has too many passes for a photo. Take or send it again.")


def size_of_webp(content: bytes) -> tuple[int, int]:
    """The size that the first chunk says (RFC 9649, 2.5 to 2.7); nothing for a kind that no decoder knows."""
    kind = content[12:16]
    if kind == b"VP8X":
        return _little(content[24:27]) + 1, _little(content[27:30]) + 1
    if kind == b"VP8L":
        bits = _little(content[21:25])
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1
    return (_little(content[26:28]) & 0x3FFF, _little(content[28:30]) & 0x3FFF) if kind == b"VP8 " else (0, 0)


def _big(some: bytes) -> int:
    return int.from_bytes(some, "big")


def _little(some: bytes) -> int:
    return int.from_bytes(some, "little")
