"""A photo as it comes from a tablet, made into the one that is kept: upright, small, with nothing in it but the picture.

The only importer of the imaging library. Must not know what a photo is of, nor where it is kept.
"""

from __future__ import annotations

import hashlib
import io
import threading
from dataclasses import dataclass

from PIL import Image, ImageOps

from .domain.errors import Refused

LARGEST_BYTES = 15 * 1024 * 1024
MOST_PIXELS = 50_000_000  # of what comes in; a file of few bytes may unfold to far more
LONGEST_PX = 1600  # of what is kept
QUALITY = 85  # of the JPEG that is kept
KINDS = ("JPEG", "PNG", "WEBP")
UNREADABLE = "That is no photo that can be read: send a JPEG, PNG or WebP file."

Image.MAX_IMAGE_PIXELS = (
    None  # the library's own guard only warns at first; ours refuses before anything is unfolded
)
_one_at_a_time = threading.Lock()  # an unfolded photo takes some hundred megabytes


@dataclass(frozen=True)
class ReadPhoto:
    """A photo to keep: a JPEG, its SHA-256 and its size in pixels."""

    sha256: str
    file: bytes
    wide_px: int
    high_px: int


def read(data: bytes) -> ReadPhoto:
    """Reads a JPEG, PNG or WebP photo; turns it upright, scales it to 1600 px at the most and drops all that it told of
    camera, time and place. What shows through stands on white. Raises Refused."""
    if not data:
        raise Refused("Choose a photo first: take one, or choose a file.")
    if len(data) > LARGEST_BYTES:
        raise Refused(f"That photo is more than {LARGEST_BYTES >> 20} MB: send a smaller one.")
    with _one_at_a_time:
        plain = _plain(data)
    out = io.BytesIO()
    plain.save(out, "JPEG", quality=QUALITY)
    file = out.getvalue()
    return ReadPhoto(hashlib.sha256(file).hexdigest(), file, plain.width, plain.height)


def _plain(data: bytes) -> Image.Image:
    """The picture alone, on a fresh ground: whatever else stood in the file stays behind."""
    try:
        with Image.open(io.BytesIO(data), formats=KINDS) as image:
            if image.width * image.height > MOST_PIXELS:
                raise Refused(
                    f"That photo has more than {MOST_PIXELS // 1_000_000} million points: send a smaller one."
                )
            small = (
                image if image.format == "JPEG" else image.convert("RGBA")
            )  # a JPEG is unfolded in small at once
            small.thumbnail((LONGEST_PX, LONGEST_PX))
            small.load()
            upright = _upright(small).convert("RGBA")
    except Refused:
        raise
    except Exception as error:  # a broken file makes its reader fail in a dozen ways, each with an error of its own
        raise Refused(UNREADABLE) from error
    ground = Image.new("RGB", upright.size, "white")
    ground.paste(upright, mask=upright.getchannel("A"))
    return ground


def _upright(image: Image.Image) -> Image.Image:
    """Turned as the camera noted it; as it is where that note cannot be read."""
    try:
        return ImageOps.exif_transpose(image)
    except Exception:  # notes that are broken, in whichever way, spoil no photo
        return image
