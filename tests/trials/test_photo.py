"""What is taken out of a photo and what stays: Pillow writes the files and reads what is left of them."""

from __future__ import annotations

import io
import random
from typing import Any

import pytest
from PIL import Image, ImageCms, PngImagePlugin

from emberdraft.errors import UserError
from emberdraft.trials.photo import cleaned
from emberdraft.trials.photo_size import MOST_PIXELS

PLACE, DEVICE, ORIENTATION, GPS = "51.4778", "Anybody's camera", 0x0112, 0x8825
SECRETS = (b"Anybody", b"51.4778", b"seen by me", b"xmp", b"2031:07")


def picture(mode: str = "RGB") -> Image.Image:
    """Something with detail, taller than wide."""
    chance = random.Random(4)
    channels = len(Image.new(mode, (1, 1)).getbands())
    return Image.frombytes(mode, (24, 40), bytes(chance.randrange(256) for _ in range(24 * 40 * channels)))


def exif(turned: int = 1) -> Any:
    """Place, device and day as a phone writes them."""
    made = Image.Exif()
    made[ORIENTATION], made[0x010F], made[0x0132] = turned, DEVICE, "2031:07:01 12:00:00"
    made.get_ifd(GPS)[1] = "N"
    made.get_ifd(GPS)[0x001D] = PLACE
    return made


def written(kind: str, turned: int = 1, mode: str = "RGB", **more: Any) -> bytes:
    """A file as Pillow writes it, with everything beside the picture that the kind can hold."""
    file = io.BytesIO()
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    picture(mode).save(file, kind, exif=exif(turned), icc_profile=profile, **more)
    return file.getvalue()


def words() -> PngImagePlugin.PngInfo:
    told = PngImagePlugin.PngInfo()
    told.add_text("Comment", "seen by me")
    told.add_itxt("XML:com.adobe.xmp", "<xmp/>", zip=False)
    return told


def png(**more: Any) -> bytes:
    return written("PNG", pnginfo=words(), **more)


JPEG = {"comment": b"seen by me", "xmp": b"<xmp>51.4778</xmp>"}
FILES = {
    "jpeg": written("JPEG", **JPEG),
    "jpeg with many scans": written("JPEG", progressive=True, restart_marker_blocks=2, **JPEG),
    "jpeg in print colours": written("JPEG", mode="CMYK", **JPEG),
    "png": png(),
    "webp": written("WEBP", xmp=b"<xmp/>"),
    "webp without loss": written("WEBP", xmp=b"<xmp/>", lossless=True),
}


@pytest.mark.parametrize("name", FILES)
def test_the_picture_stays_and_what_was_written_beside_it_goes(name: str) -> None:
    given = FILES[name]
    assert sum(word in given for word in SECRETS) >= 3, "otherwise nothing is tried here"
    kept = cleaned(given)
    assert not any(word in kept.content for word in SECRETS)
    before, after = (Image.open(io.BytesIO(content)) for content in (given, kept.content))
    assert after.tobytes() == before.tobytes()
    assert after.info["icc_profile"] == before.info["icc_profile"]
    assert dict(after.getexif()) == {} == getattr(after, "text", {})
    assert kept.kind == f"image/{name[:4]}"


@pytest.mark.parametrize("turned", range(2, 9))
def test_which_way_up_is_all_that_is_left_of_a_jpegs_exif(turned: int) -> None:
    after = Image.open(io.BytesIO(cleaned(written("JPEG", turned)).content))
    assert dict(after.getexif()) == {ORIENTATION: turned}
    assert not after.getexif().get_ifd(GPS)


def test_what_hangs_on_behind_the_end_goes_too() -> None:
    """Some phones put a second picture or a film there, with the place once more."""
    for name in ("jpeg", "png", "webp"):
        clean = cleaned(FILES[name]).content
        assert cleaned(FILES[name] + FILES["jpeg"]).content == clean
        assert cleaned(clean).content == clean, "and what is clean is left as it is"


def test_a_second_picture_of_the_same_file_goes() -> None:
    """The multi-picture form (CIPA DC-007): a list of pictures in an application part, the others behind the first."""
    file = io.BytesIO()
    picture().save(file, "MPO", save_all=True, append_images=[picture()], exif=exif())
    after = Image.open(io.BytesIO(cleaned(file.getvalue()).content))
    assert (after.format, getattr(after, "n_frames", 1)) == ("JPEG", 1)
    assert b"MPF" not in cleaned(file.getvalue()).content


@pytest.mark.parametrize("name", FILES)
def test_a_file_that_is_cut_off_anywhere_is_refused_in_one_line(name: str) -> None:
    whole = FILES[name]
    for length in (*range(0, 200), *range(200, len(whole), 41), len(whole) - 1):
        with pytest.raises(UserError, match=r"^photo: .* would be right$"):
            cleaned(whole[:length])


def test_ten_thousand_broken_files_are_refused_or_clean_and_nothing_else() -> None:
    chance = random.Random(11)
    refused = 0
    for k in range(10_000):
        content = bytearray(FILES[list(FILES)[k % len(FILES)]])
        for _ in range(chance.randrange(1, 8)):
            content[chance.randrange(len(content))] = chance.randrange(256)
        try:
            cleaned(bytes(content))
        except UserError:
            refused += 1
    assert 0 < refused < 10_000


@pytest.mark.parametrize("content", [b"", b"<svg onload=x>", b"RIFF0000WAVEfmt ", b"%PDF-1.7", b"GIF89a", b"\xff\xd8"])
def test_what_is_no_photo_is_refused_with_what_would_be_right(content: bytes) -> None:
    with pytest.raises(UserError, match="image/jpeg, image/png, image/webp would be right"):
        cleaned(content)


# ---- size


def vp8x() -> bytes:
    file = io.BytesIO()
    picture().save(file, "WEBP", save_all=True, append_images=[picture().rotate(180)], duration=100)
    return file.getvalue()


def patched(content: bytes, at: int, number: bytes) -> bytes:
    return content[:at] + number + content[at + len(number) :]


def frame_of(jpeg: bytes) -> int:
    """Where the frame's head begins: SOF0 or SOF2."""
    return max(jpeg.find(b"\xff\xc0"), jpeg.find(b"\xff\xc2"))


def test_a_photo_of_sixty_thousand_by_sixty_thousand_is_refused() -> None:
    wide = (60_000).to_bytes(2, "big") * 2
    jpeg, large, plain = FILES["jpeg"], FILES["png"], FILES["webp without loss"]
    canvas, lossless = FILES["webp"].find(b"VP8X"), plain.find(b"VP8L")
    bombs = [
        patched(jpeg, frame_of(jpeg) + 5, wide),
        patched(jpeg, frame_of(jpeg) + 5, b"\0\0\xea\x60"),
        patched(large, 16, (60_000).to_bytes(4, "big") * 2),
        patched(FILES["webp"], canvas + 12, (59_999).to_bytes(3, "little") * 2),
        patched(plain, lossless + 9, (16_383 | 16_383 << 14).to_bytes(4, "little")),
        patched(vp8x(), vp8x().find(b"ANMF") + 14, (59_999).to_bytes(3, "little") * 2),
    ]
    for bomb in bombs:
        with pytest.raises(UserError, match=r"^photo: \d+ x \d+ pixels; at most 50 million would be right$"):
            cleaned(bomb)


def test_what_is_taken_is_never_larger_than_said_by_pillows_reading(monkeypatch: pytest.MonkeyPatch) -> None:
    """A search: heads with any bytes changed. Pillow says how large each file that was taken is."""
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", None)
    chance, read = random.Random(7), 0
    files = [*FILES.values(), vp8x()]
    for k in range(6_000):
        content = bytearray(files[k % len(files)])
        heads = [16, frame_of(bytes(content)) + 5, content.find(b"VP8") + 8, content.find(b"ANMF") + 8]
        for _ in range(chance.randrange(1, 4)):
            content[min(chance.choice(heads) + chance.randrange(10), len(content) - 1)] = chance.choice(
                (0xFF, 0x3F, 0, 7)
            )
        try:
            kept = cleaned(bytes(content)).content
            size = Image.open(io.BytesIO(kept)).size
        except (UserError, OSError, SyntaxError, ValueError):
            continue
        read += 1
        assert size[0] * size[1] <= MOST_PIXELS
    assert read > 1_000
