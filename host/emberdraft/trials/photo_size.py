"""How large a photo says it is, read off its parts: who shows it makes room for that before the first pixel.

A file of some kilobytes may say 60 000 by 60 000, for which a browser would need 14 GB. Places by ITU-T T.81 B.2.2
(JPEG), the PNG specification 11.2.1, the WebP container specification, RFC 6386 9.1 (VP8) and RFC 9649 3.4 (VP8L).
"""

from __future__ import annotations

from collections.abc import Iterator

from emberdraft.errors import UserError

MOST_PIXELS = 50_000_000  # 200 MB shown; more than a telephone's picture has in the bytes that a look may bring
FRAMES = {*range(0xC0, 0xD0)} - {0xC4, 0xC8, 0xCC}

Size = tuple[int, int]


def of_jpeg(marker: int, part: bytes) -> Iterator[Size]:
    """Width and height of a frame's head; a height of 0 would be said only at the end: taken as the largest."""
    if marker in FRAMES:
        height = int.from_bytes(part[5:7], "big")
        yield int.from_bytes(part[7:9], "big"), height or 0xFFFF


def of_png(part: bytes) -> Iterator[Size]:
    """The picture's head, and that of each frame of a moving one."""
    at = {b"IHDR": 8, b"fcTL": 12}.get(part[4:8])
    if at is not None:
        yield int.from_bytes(part[at : at + 4], "big"), int.from_bytes(part[at + 4 : at + 8], "big")


def of_webp(part: bytes) -> Iterator[Size]:
    """Canvas, frame, and what lies in a frame."""
    name, body = part[:4], part[8:]
    if name == b"VP8X":
        yield _of_24_bits(body, 4)
    elif name == b"VP8 ":
        yield int.from_bytes(body[6:8], "little") & 0x3FFF, int.from_bytes(body[8:10], "little") & 0x3FFF
    elif name == b"VP8L":
        both = int.from_bytes(body[1:5], "little")
        yield (both & 0x3FFF) + 1, (both >> 14 & 0x3FFF) + 1
    elif name == b"ANMF":
        yield _of_24_bits(body, 6)
        yield from _inside(body[16:])


def _of_24_bits(body: bytes, at: int) -> Size:
    return int.from_bytes(body[at : at + 3], "little") + 1, int.from_bytes(body[at + 3 : at + 6], "little") + 1


def _inside(frame: bytes) -> Iterator[Size]:
    at = 0
    while at + 8 <= len(frame):
        size = int.from_bytes(frame[at + 4 : at + 8], "little")
        if frame[at : at + 4] in (b"VP8 ", b"VP8L"):
            yield from of_webp(frame[at : at + 8 + size])
        at += 8 + size + size % 2


def bounded(sizes: Iterator[Size]) -> None:
    """UserError where one of them is larger than a picture may be."""
    for width, height in sizes:
        if width * height > MOST_PIXELS:
            raise UserError(f"photo: {width} x {height} pixels; at most {MOST_PIXELS // 10**6} million would be right")
