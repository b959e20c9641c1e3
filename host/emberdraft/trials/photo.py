"""Photos of looks: what a camera writes beside the picture (place, time, device, words) is taken out on the way in.

Nothing is decoded or compressed anew: the parts that make the picture are copied as they are, all others are left out,
and so is whatever hangs on behind the picture's end (a second picture, a film). Kept of a JPEG's EXIF is which way up
it is held, since it would lie on its side without. Parts by ITU-T T.81 annex B (JPEG), the PNG specification (W3C,
section 5.3), the WebP container specification.

Our own code and no picture library, which would decode what a stranger's phone sends and compress it anew: a photo is
evidence, and stays to the byte what the camera took. Pillow is what the tests compare with.
"""

from __future__ import annotations

import struct
from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from emberdraft.errors import UserError
from emberdraft.trials.photo_size import bounded, of_jpeg, of_png, of_webp

JPEG_PARTS = {
    0xC4,
    0xCC,
    0xDB,
    0xDC,
    0xDD,
    *range(0xC0, 0xC4),
    *range(0xC5, 0xC8),
    *range(0xC9, 0xCC),
    *range(0xCD, 0xD0),
}
# Application parts that the picture's colours need: JFIF, an ICC profile, Adobe's word on the colour transform.
JPEG_COLOURS = {0xE0: b"JFIF\0", 0xE2: b"ICC_PROFILE\0", 0xEE: b"Adobe"}
SCAN, END, EXIF, ORIENTATION = 0xDA, 0xD9, 0xE1, 0x0112
PNG_START = b"\x89PNG\r\n\x1a\n"
PNG_PARTS = {
    *(b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"cICP", b"sBIT", b"bKGD"),
    *(b"acTL", b"fcTL", b"fdAT"),
}
WEBP_PARTS = {b"VP8 ", b"VP8L", b"VP8X", b"ALPH", b"ANIM", b"ANMF", b"ICCP"}
WEBP_EXIF_XMP = 0x0C  # bits of VP8X that promise an EXIF and an XMP part


class _BrokenError(Exception):
    """The file ends or goes astray before its picture does."""


class Photo(NamedTuple):
    """`kind` as in HTTP, such as image/jpeg."""

    kind: str
    content: bytes


def cleaned(given: bytes) -> Photo:
    """The photo without what was written beside it. Raises UserError for what is no whole jpeg, png or webp.

    The kind is read off the file's first bytes: a name or a word of the sender proves nothing.
    """
    kind = next((kind for kind, start in STARTS.items() if given.startswith(start)), None)
    if kind is None or (kind == "image/webp" and given[8:12] != b"WEBP"):
        raise UserError(f"photo: the file is of no kind we show; {', '.join(STARTS)} would be right")
    try:
        return Photo(kind, READERS[kind](given))
    except _BrokenError as broken:
        raise UserError(f"photo: {broken} of this {kind[6:]}; a whole file would be right") from None


def _jpeg(given: bytes) -> bytes:
    head: list[bytes] = [b"\xff\xd8"]
    body: list[bytes] = []
    turned = 1
    pictured = False
    for marker, part in _jpeg_parts(given):
        bounded(of_jpeg(marker, part))
        if marker == EXIF and part[4:10] == b"Exif\0\0":
            turned = _orientation(part[10:])
        elif marker in JPEG_COLOURS and part[4:].startswith(JPEG_COLOURS[marker]):
            (head if marker == 0xE0 else body).append(part)
        elif marker in JPEG_PARTS or marker in (SCAN, END):
            body.append(part)
            pictured = pictured or marker == SCAN
    _ask_for_a_picture(pictured)
    return b"".join([*head, *([_upright(turned)] if turned != 1 else []), *body])


def _jpeg_parts(given: bytes) -> Iterator[tuple[int, bytes]]:
    """(marker, part with its marker) up to the end of the picture; a scan's part holds its coded data too."""
    at = 2
    while True:
        at = _past_fill(given, at)
        marker = given[at + 1]
        if marker == END:
            yield marker, given[at : at + 2]
            return
        end = at + 2 + _number(given, at + 2, ">H")
        if end > len(given) or end < at + 4:
            raise _BrokenError(f"the part at byte {at} runs past the end")
        end = _end_of_scan(given, end) if marker == SCAN else end
        yield marker, given[at:end]
        at = end


def _past_fill(given: bytes, at: int) -> int:
    """Where the next marker stands; before it any number of 0xFF may fill."""
    while given[at : at + 2] == b"\xff\xff":
        at += 1
    if len(given) < at + 2 or given[at] != 0xFF or given[at + 1] == 0:
        raise _BrokenError(f"no part begins at byte {at}")
    return at


def _end_of_scan(given: bytes, at: int) -> int:
    """The next marker that is neither a stuffed zero nor a restart: the coded data end there."""
    while (at := given.find(b"\xff", at)) >= 0 and at + 1 < len(given):
        if given[at + 1] not in (0x00, 0xFF, *range(0xD0, 0xD8)):
            return at
        at += 1 if given[at + 1] == 0xFF else 2
    raise _BrokenError("the end is missing")


def _orientation(tiff: bytes) -> int:
    """Which way up, 1 to 8 (EXIF 2.3, tag 0x0112); 1 for what cannot be read: a picture on its side harms nobody."""
    order = {b"II": "<", b"MM": ">"}.get(tiff[:2])
    if order is None:
        return 1
    try:
        at = _number(tiff, 4, order + "I")
        for k in range(_number(tiff, at, order + "H")):
            if _number(tiff, at + 2 + 12 * k, order + "H") == ORIENTATION:
                turned = _number(tiff, at + 2 + 12 * k + 8, order + "H")
                return turned if 1 <= turned <= 8 else 1
    except _BrokenError:
        return 1
    return 1


def _upright(turned: int) -> bytes:
    """An EXIF part that holds nothing but which way up."""
    tiff = b"MM\0\x2a" + struct.pack(">IHHHIHHI", 8, 1, ORIENTATION, 3, 1, turned, 0, 0)
    part = b"Exif\0\0" + tiff
    return struct.pack(">BBH", 0xFF, EXIF, len(part) + 2) + part


def _png(given: bytes) -> bytes:
    kept, at, name, pictured = [PNG_START], len(PNG_START), b"", False
    while name != b"IEND":
        end = at + 12 + _number(given, at, ">I")
        name = given[at + 4 : at + 8]
        if end > len(given):
            raise _BrokenError("the end is missing")
        if name in PNG_PARTS:
            bounded(of_png(given[at:end]))
            kept.append(given[at:end])
        pictured = pictured or name == b"IDAT"
        at = end
    _ask_for_a_picture(pictured)
    return b"".join(kept)


def _webp(given: bytes) -> bytes:
    kept, at, end = [], 12, 8 + _number(given, 4, "<I")
    if end > len(given):
        raise _BrokenError("the end is missing")
    while at < end:
        size = _number(given, at + 4, "<I")
        part = given[at : at + 8 + size + size % 2]
        name = part[:4]
        if name == b"VP8X" and size >= 1:
            part = part[:8] + bytes([part[8] & ~WEBP_EXIF_XMP]) + part[9:]
        if name in WEBP_PARTS:
            bounded(of_webp(part))
            kept.append(part)
        at += 8 + size + size % 2
    _ask_for_a_picture(any(part[:4] in (b"VP8 ", b"VP8L", b"ANMF") for part in kept))
    whole = b"WEBP" + b"".join(kept)
    return b"RIFF" + struct.pack("<I", len(whole)) + whole


def _ask_for_a_picture(there: bool) -> None:
    if not there:
        raise _BrokenError("the picture is missing")


def _number(given: bytes, at: int, form: str) -> int:
    try:
        return int(struct.unpack_from(form, given, at)[0])
    except struct.error:
        raise _BrokenError("the end is missing") from None


STARTS = {"image/jpeg": b"\xff\xd8\xff", "image/png": PNG_START, "image/webp": b"RIFF"}
READERS: Mapping[str, Callable[[bytes], bytes]] = {"image/jpeg": _jpeg, "image/png": _png, "image/webp": _webp}
