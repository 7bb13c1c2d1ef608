"""Photos as phones send them: with place, time, device, notes and a second picture in the file."""

import io

from PIL import Image, PngImagePlugin

SECRETS = [
    b"Invented Phone 12", b"48.2081", b"GPSLatitude", b"MARKER-xmp", b"MARKER-comment", b"MARKER-text", b"MARKER-behind", b"MARKER-icc",
]  # fmt: skip
LATITUDE, LONGITUDE = (48.0, 12.0, 29.16), (16.0, 22.0, 25.32)
XMP = b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><MARKER-xmp exif:GPSLatitude="48.2081"/></x:xmpmeta>'


def picture(size=(400, 300)):
    """A picture whose upper left is red and whose lower right is blue."""
    made = Image.new("RGB", size, "white")
    half = (size[0] // 2, size[1] // 2)
    made.paste((220, 20, 20), (0, 0, *half))
    made.paste((20, 20, 220), (*half, *size))
    return made


def exif(turned=1):
    """What a phone writes: its maker, the time, where it stood, which way up it was held."""
    made = Image.Exif()
    made[0x010F], made[0x0110] = "Invented", "Invented Phone 12"
    made[0x0132] = "2026:11:30 23:55:00"
    made[0x0112] = turned
    gps = made.get_ifd(0x8825)
    gps[1], gps[2], gps[3], gps[4] = "N", LATITUDE, "E", LONGITUDE
    return made


def photo(kind="JPEG", turned=1, size=(400, 300), **more):
    """A photo with all that should not be kept, as bytes."""
    file = io.BytesIO()
    info = {"exif": exif(turned), "icc_profile": b"MARKER-icc" * 20}
    if kind == "PNG":
        text = PngImagePlugin.PngInfo()
        text.add_text("Comment", "MARKER-text")
        text.add_itxt("XML:com.adobe.xmp", XMP.decode())
        info["pnginfo"] = text
    elif kind == "WEBP":
        info["xmp"] = XMP
    elif kind == "JPEG":
        info |= {"xmp": XMP, "comment": b"MARKER-comment"}
    picture(size).save(file, kind, **info | more)
    return file.getvalue() + b"MARKER-behind" * 9


def noise(size=(900, 700)):
    """A photo of which no two stretches are alike, as bytes."""
    file = io.BytesIO()
    Image.effect_noise(size, 120).convert("RGB").save(file, "JPEG", quality=80)
    return file.getvalue()
