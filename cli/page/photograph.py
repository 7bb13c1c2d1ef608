"""A photo that somebody sent -> the same picture drawn anew: seen what it is by its content, and without place, time or device.

It is decoded and encoded again, for a phone writes into a file more than can be cut out by name: where and when it was taken and with
what, a second picture in the small, notes, a film behind the end. Only the colours come out. That also turns it upright, makes it as
small as a case needs, and refuses what is no picture. Pillow does it: kept for thirty years, with the decoders of the trade.
"""

import io
import warnings
from typing import TYPE_CHECKING

from ...engine.errors import InvalidInputError, Problem

if TYPE_CHECKING:
    from PIL import Image

SENT_MOST = 10 * 1024 * 1024  # of a file [bytes]
KEPT_MOST = 400 * 1024  # of the picture that is kept [bytes]
SIDES = (1600, 1280, 960)  # its longer side [px]; the first at which it is small enough
SMALL, SMALL_MOST = 112, 3 * 1024  # of the one in a list [px, bytes]
QUALITIES = (82, 70, 55, 40)
KINDS = ("JPEG", "PNG", "WEBP")
# A file of a few kB can hold a picture of many GB. What a JPEG holds is read at a quarter of its size, others must be read whole.
PIXELS_MOST, WHOLE_MOST = 64_000_000, 26_000_000
SCANS_MOST = 40  # of a JPEG that comes in scans: each goes over the whole picture
MODES = ("1", "L", "LA", "P", "PA", "RGB", "RGBA", "CMYK", "YCbCr", "I;16", "I")


def is_there() -> bool:
    """Return whether what draws photos and takes them in is installed."""
    from importlib.util import find_spec

    return all(find_spec(name) is not None for name in ("PIL", "python_multipart"))


def cleaned(raw: bytes) -> tuple[bytes, bytes]:
    """Return a photo as a JPEG that holds its colours and nothing else, and a small one for lists.

    Parameters
    ----------
    raw : bytes
        What was sent, from anybody.

    Raises
    ------
    InvalidInputError
        If it is too large, of another kind, of too many pixels, or can't be read.
    """
    if not raw:
        raise _no("no photo was chosen", "choose one, then press Add")
    if len(raw) > SENT_MOST:
        raise _no(
            f"the photo is larger than {SENT_MOST // 1024**2} MB", "send a smaller one; your phone's mail app offers it"
        )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return _drawn(raw)


def _drawn(raw: bytes) -> tuple[bytes, bytes]:
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(raw), formats=KINDS) as sent:
            _bounded(sent.size, sent.format == "JPEG" and not sent.info.get("progressive"))
            if raw.count(b"\xff\xda") > SCANS_MOST and sent.format == "JPEG":
                raise _no("the photo comes in more parts than a camera makes", "take a new one")
            if sent.mode not in MODES:
                raise _no("the photo has colours of a kind that no camera gives", "take a new one")
            sent.draft("RGB", (SIDES[0], SIDES[0]))
            turned = sent.getexif().get(
                0x0112, 1
            )  # which way up it was held: the one thing that is used, and then dropped
            sent.thumbnail((SIDES[0], SIDES[0]))
            seen = Image.new("RGB", sent.size, "white")
            if sent.mode in ("LA", "PA", "RGBA", "P"):
                over = sent.convert("RGBA")
                seen.paste(over, mask=over)
            else:
                seen.paste(sent.convert("RGB"))
    except UnidentifiedImageError:
        raise _no(
            "this is no photo that I can read", "send a JPEG, PNG or WebP, as a phone's camera makes it"
        ) from None
    except InvalidInputError:
        raise
    except Image.DecompressionBombError:
        raise _too_many() from None
    # A file made to harm, or cut short on its way, fails in as many ways as there are; none of them is a fault of dryfloor.
    except Exception:
        raise _no("the photo is damaged, or not whole", "send it again, or take a new one") from None
    seen = _upright(seen, turned)
    small = ImageOps.contain(seen, (SMALL, SMALL))
    return _encoded(seen, KEPT_MOST), _encoded(small, SMALL_MOST)


def _bounded(size: tuple[int, int], reduced: bool) -> None:
    if size[0] * size[1] > (PIXELS_MOST if reduced else WHOLE_MOST):
        raise _too_many()


def _upright(seen: "Image.Image", turned: object) -> "Image.Image":
    from PIL import Image

    ways = {
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_270,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_90,
    }
    way = ways.get(turned) if isinstance(turned, int) else None
    return seen if way is None else seen.transpose(way)


def _encoded(seen: "Image.Image", most: int) -> bytes:
    """Return a picture as JPEG, at the best of some sizes and qualities that is small enough; else the smallest."""
    from PIL import ImageOps

    out = b""
    for side in (s for s in (max(seen.size), *SIDES) if s <= max(seen.size)):
        shown = ImageOps.contain(seen, (side, side))
        for quality in QUALITIES:
            file = io.BytesIO()
            shown.save(file, "JPEG", quality=quality, optimize=True)
            out = file.getvalue()
            if len(out) <= most:
                return out
    return out


def _too_many() -> InvalidInputError:
    return _no(
        "the picture has more points than a phone's camera takes", "take one with an ordinary setting of the camera"
    )


def _no(message: str, mend: str) -> InvalidInputError:
    return InvalidInputError([Problem(code="P080", message=message, mend=mend)])
