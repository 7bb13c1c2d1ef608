"""A photo drawn anew: nothing of place, time or device is left, it stands upright, and what is no photo is refused in words."""

import io
import struct
import zlib

import pytest
from PIL import Image

from dryfloor.cli.page import photograph
from dryfloor.cli.page.photograph import cleaned
from dryfloor.engine.errors import InvalidInputError
from tests.support.photos import SECRETS, noise, photo, picture


def refused(raw):
    with pytest.raises(InvalidInputError) as caught:
        cleaned(raw)
    (problem,) = caught.value.problems
    assert problem.mend
    return problem.message


def segments(raw):
    """The markers of a JPEG up to its picture, by the standard (ITU-T T.81, B.1): read without Pillow."""
    assert raw[:2] == b"\xff\xd8"
    at, out = 2, []
    while raw[at + 1] != 0xDA:
        assert raw[at] == 0xFF
        out.append(raw[at + 1])
        at += 2 + struct.unpack(">H", raw[at + 2 : at + 4])[0]
    assert raw.rindex(b"\xff\xd9") == len(raw) - 2  # nothing stands behind its end
    return out


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_nothing_is_left_but_the_picture(kind):
    sent = photo(kind)
    with Image.open(io.BytesIO(sent)) as before:
        assert dict(before.getexif().get_ifd(0x8825))[2]  # the place was in it
    assert any(secret in sent for secret in SECRETS)
    for made in cleaned(sent):
        assert not [s for s in SECRETS if s in made]
        # Frame and tables alone: no application's segment but the bare JFIF head, and no comment.
        assert set(segments(made)) <= {0xE0, 0xDB, 0xC0, 0xC4}
        assert made[2:11] == b"\xff\xe0\x00\x10JFIF\0"
        with Image.open(io.BytesIO(made)) as after:
            assert not dict(after.getexif())
            assert (after.format, after.mode) == ("JPEG", "RGB")
            wide, high = after.size
            assert wide / high == pytest.approx(4 / 3, abs=0.02)
            assert after.getpixel((wide // 4, high // 4))[0] > 180
            assert after.getpixel((3 * wide // 4, 3 * high // 4))[2] > 180


@pytest.mark.parametrize(("turned", "red"), [(1, (0, 0)), (3, (1, 1)), (6, (1, 0)), (8, (0, 1)), (2, (1, 0)), (4, (0, 1)), (5, (0, 0)), (7, (1, 1))])  # fmt: skip
def test_it_stands_as_it_was_held(turned, red):
    body, _ = cleaned(photo(turned=turned))
    with Image.open(io.BytesIO(body)) as made:
        assert made.size == ((300, 400) if turned > 4 else (400, 300))
        r, g, b = made.getpixel((made.width * (1 + 2 * red[0]) // 4, made.height * (1 + 2 * red[1]) // 4))
        assert r > 180
        assert max(g, b) < 80


def test_it_is_as_small_as_it_must_be():
    body, small = cleaned(noise((3000, 4000)))
    assert len(body) <= photograph.KEPT_MOST
    assert len(small) <= photograph.SMALL_MOST
    with Image.open(io.BytesIO(body)) as made:
        assert max(made.size) <= photograph.SIDES[0]


def test_a_picture_that_lets_through_stands_on_white():
    file = io.BytesIO()
    Image.new("RGBA", (40, 40), (0, 0, 0, 0)).save(file, "PNG")
    with Image.open(io.BytesIO(cleaned(file.getvalue())[0])) as made:
        assert min(made.getpixel((20, 20))) > 240


def bomb(wide, high):
    """A PNG of a few hundred bytes that says it holds so many points."""

    def part(name, data):
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", wide, high, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + part(b"IHDR", head) + part(b"IDAT", zlib.compress(b"\0" * 9999)) + part(b"IEND", b"")


@pytest.mark.parametrize("size", [(6000, 6000), (12_000, 12_000), (60_000, 60_000), (2**31 - 1, 2**31 - 1)])
def test_a_small_file_that_holds_a_huge_picture_is_refused(size):
    assert "more points" in refused(bomb(*size))


def test_a_picture_in_many_scans_is_refused():
    file = io.BytesIO()
    picture().save(file, "JPEG", progressive=True)
    raw = file.getvalue()
    at = raw.index(b"\xff\xda")
    assert "more parts" in refused(raw[:at] + raw[at:-2] * 30 + raw[-2:])
    assert cleaned(raw)


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b"", "no photo was chosen"),
        (b"GIF89a" + b"\0" * 50, "no photo that I can read"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>", "no photo that I can read"),
        (b"%PDF-1.7 hello", "no photo that I can read"),
        (photo()[:2000], "damaged"),
        (bomb(300, 300), "damaged"),
        (b"\xff\xd8\xff" + b"\0" * 400, "no photo that I can read"),
        (b"\0" * (photograph.SENT_MOST + 1), "larger than 10 MB"),
    ],
)  # fmt: skip
def test_what_is_no_photo_is_refused_in_words(raw, says):
    assert says in refused(raw)


def test_bytes_turned_over_at_random_are_read_or_refused():
    import random

    dice = random.Random(7)
    for kind in ("JPEG", "PNG", "WEBP"):
        sent = photo(kind, size=(64, 48))
        for _ in range(60):
            raw = bytearray(sent)
            for _ in range(dice.randrange(1, 9)):
                raw[dice.randrange(len(raw))] = dice.randrange(256)
            try:
                body, small = cleaned(bytes(raw))
            except InvalidInputError:
                continue
            segments(body)
            segments(small)
