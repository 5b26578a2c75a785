"""A photo from a tablet, made ready to keep: upright, small, nothing in it but the picture.

The only importer of the imaging library. Must not know what a photo shows, nor where it is kept.
"""

from __future__ import annotations

import hashlib
import io
import threading
from dataclasses import dataclass

from PIL import Image, ImageOps

from .domain.errors import Refused
from .wording import finishing as wording

LARGEST_BYTES = 15 * 1024 * 1024
MOST_PIXELS = 50_000_000  # of what comes in; a small file may decode to far more
LONGEST_PX = 1600  # of what is kept
QUALITY = 85  # of the JPEG that is kept
KINDS = ("JPEG", "PNG", "WEBP")

# The library's own guard only warns at first; ours refuses before anything is decoded.
Image.MAX_IMAGE_PIXELS = None
_one_at_a_time = threading.Lock()  # a decoded photo takes some hundred megabytes


@dataclass(frozen=True)
class ReadPhoto:
    """A photo to keep: a JPEG, its SHA-256 and its size in pixels."""

    sha256: str
    file: bytes
    wide_px: int
    high_px: int


def read(data: bytes) -> ReadPhoto:
    """Read a JPEG, PNG or WebP photo, turn it upright, scale it to 1600 px at most and drop what it says about camera, time
    and place. Transparent parts become white. Raises Refused."""
    if not data:
        raise Refused(wording.choose_a_photo())
    if len(data) > LARGEST_BYTES:
        raise Refused(wording.photo_too_large(LARGEST_BYTES >> 20))
    with _one_at_a_time:
        plain = _plain(data)
    out = io.BytesIO()
    plain.save(out, "JPEG", quality=QUALITY)
    file = out.getvalue()
    return ReadPhoto(hashlib.sha256(file).hexdigest(), file, plain.width, plain.height)


def _plain(data: bytes) -> Image.Image:
    """Return the picture alone on a white ground, without anything else that the file held."""
    try:
        with Image.open(io.BytesIO(data), formats=KINDS) as image:
            if image.width * image.height > MOST_PIXELS:
                raise Refused(wording.photo_has_too_many_pixels(MOST_PIXELS // 1_000_000))
            # a JPEG is decoded small at once
            small = image if image.format == "JPEG" else image.convert("RGBA")
            small.thumbnail((LONGEST_PX, LONGEST_PX))
            small.load()
            upright = _upright(small).convert("RGBA")
    except Refused:
        raise
    except Exception as error:  # a broken file makes its reader fail in a dozen ways, each with an error of its own
        raise Refused(wording.photo_unreadable()) from error
    ground = Image.new("RGB", upright.size, "white")
    ground.paste(upright, mask=upright.getchannel("A"))
    return ground


def _upright(image: Image.Image) -> Image.Image:
    """Turn the picture as the camera noted; leave it where that note cannot be read."""
    try:
        return ImageOps.exif_transpose(image)
    except Exception:  # a broken note, in whichever way, must not spoil the photo
        return image
