"""Photos as they are read and kept. Pillow wrote them; where a corner belongs is EXIF's own table (CIPA DC-008, 0x0112)."""

import io
import struct
import zlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms
from PIL.PngImagePlugin import PngInfo

from shopfloor import photos
from shopfloor.actions import finishing as acts
from shopfloor.actions.unit_of_work import Caller, undo
from shopfloor.domain.errors import Conflict, NotAllowed, NotFound, Refused
from shopfloor.store import finishing as store
from shopfloor.store.replay import differences

RED, GREEN, BLUE, WHITE = (220, 30, 30), (30, 160, 60), (40, 60, 200), (250, 250, 250)
# Orientation: (where row 0 is seen, where column 0 is seen), as the standard has it.
ORIENTATIONS = {
    1: ("top", "left"),
    2: ("top", "right"),
    3: ("bottom", "right"),
    4: ("bottom", "left"),
    5: ("left", "top"),
    6: ("right", "top"),
    7: ("right", "bottom"),
    8: ("left", "bottom"),
}
OPPOSITE = {"top": "bottom", "bottom": "top", "left": "right", "right": "left"}


def picture(wide=300, high=200, mode="RGB") -> Image.Image:
    """Red at the first row and column, green at the end of the first row, blue at the end of the first column."""
    image = Image.new("RGB", (wide, high), WHITE)
    third = (wide // 3, high // 3)
    for colour, x, y in ((RED, 0, 0), (GREEN, wide - third[0], 0), (BLUE, 0, high - third[1])):
        image.paste(colour, (x, y, x + third[0], y + third[1]))
    return image.convert(mode)


def written(image, kind="JPEG", **more) -> bytes:
    file = io.BytesIO()
    image.save(file, kind, **more)
    return file.getvalue()


def opened(read: photos.ReadPhoto) -> Image.Image:
    return Image.open(io.BytesIO(read.file))


def corner(image, sides) -> tuple[int, int, int]:
    x = 20 if "left" in sides else image.width - 20
    y = 20 if "top" in sides else image.height - 20
    return image.convert("RGB").getpixel((x, y))


def is_about(one, other) -> bool:
    return max(abs(a - b) for a, b in zip(one, other, strict=True)) < 12  # a JPEG rounds


@pytest.mark.parametrize("orientation", ORIENTATIONS)
def test_a_photo_stands_upright_however_the_tablet_was_held(orientation):
    exif = Image.Exif()
    exif[0x0112] = orientation
    seen = opened(photos.read(written(picture(), exif=exif)))
    row, column = ORIENTATIONS[orientation]
    assert is_about(corner(seen, {row, column}), RED)
    assert is_about(corner(seen, {row, OPPOSITE[column]}), GREEN)
    assert is_about(corner(seen, {OPPOSITE[row], column}), BLUE)


def test_nothing_is_kept_but_the_picture():
    exif = Image.Exif()
    exif[0x010F] = "Harbour Cameras"
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[2] = (51.0, 28.0, 38.0)
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    sent = written(
        picture(),
        exif=exif,
        comment=b"taken at the quay",
        icc_profile=profile,
        dpi=(300, 300),
        xmp=b"<x:xmpmeta>the quay</x:xmpmeta>",
    )
    assert Image.open(io.BytesIO(sent)).getexif().get_ifd(0x8825), "it said where it was taken"
    read = photos.read(sent)
    kept = opened(read)
    assert dict(kept.getexif()) == {} and not {"comment", "icc_profile", "exif", "xmp"} & set(
        kept.info
    )
    for told in (b"Exif", b"Harbour", b"quay", b"ICC_PROFILE", b"ns.adobe.com"):
        assert told in sent and told not in read.file


def test_what_a_png_or_webp_tells_is_dropped_too():
    said, exif = PngInfo(), Image.Exif()
    said.add_text("Comment", "at the quay")
    exif[0x010E] = "at the quay"
    for sent in (written(picture(), "PNG", pnginfo=said), written(picture(), "WEBP", exif=exif)):
        assert b"at the quay" in sent
        assert b"at the quay" not in photos.read(sent).file


def test_notes_of_a_camera_that_cannot_be_read_spoil_no_photo():
    for kind in ("JPEG", "PNG", "WEBP"):
        assert photos.read(written(picture(), kind, exif=b"Exif\0\0broken notes")).wide_px == 300


@pytest.mark.parametrize(
    ("size", "kept"),
    [((2400, 1800), (1600, 1200)), ((600, 2400), (400, 1600)), ((320, 200), (320, 200))],
)
def test_a_photo_is_made_small_and_never_larger(size, kept):
    for kind in ("JPEG", "PNG"):
        read = photos.read(written(picture(*size), kind))
        assert (read.wide_px, read.high_px) == kept == opened(read).size
        assert opened(read).format == "JPEG"


@pytest.mark.parametrize(
    ("mode", "kind"),
    [
        ("L", "JPEG"),
        ("CMYK", "JPEG"),
        ("P", "PNG"),
        ("1", "PNG"),
        ("LA", "PNG"),
        ("I;16", "PNG"),
        ("RGBA", "WEBP"),
        ("RGB", "WEBP"),
    ],
)
def test_photos_of_each_kind_are_read(mode, kind):
    image = Image.new("I;16", (300, 200), 40_000) if mode == "I;16" else picture(mode=mode)
    read = photos.read(written(image, kind))
    assert (read.wide_px, read.high_px) == (300, 200)


def test_what_shows_through_stands_on_white():
    clear = Image.new("RGBA", (200, 100), (200, 0, 0, 0))
    assert opened(photos.read(written(clear, "PNG"))).getpixel((100, 50)) == (255, 255, 255)


def test_the_same_photo_is_the_same_file():
    sent = written(picture())
    assert photos.read(sent) == photos.read(sent)


def chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def test_a_file_that_would_unfold_to_a_huge_picture_is_refused_by_its_head():
    head = struct.pack(
        ">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0
    )  # PNG (ISO/IEC 15948), 11.2.2: 10.8 GB of points
    bomb = (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 1000))
        + chunk(b"IEND", b"")
    )
    with pytest.raises(Refused, match="50 million pixels"):
        photos.read(bomb)


@pytest.mark.parametrize(
    "data",
    [
        b"hello",
        b"%PDF-1.7\n",
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"\xff\xd8\xff",
        b"RIFF\0\0\0\0WEBP",
        written(picture(), "GIF"),
        written(picture(), "TIFF"),
        written(picture(), "BMP"),
        written(picture())[:900],
    ],
    ids=["words", "pdf", "svg", "jpeg head", "webp head", "gif", "tiff", "bmp", "half a jpeg"],
)
def test_what_is_no_photo_is_refused_in_a_sentence(data):
    with pytest.raises(Refused) as refused:
        photos.read(data)
    assert (
        refused.value.sentence
        == "That file cannot be read as a photo. Choose a JPEG, PNG or WebP file."
    )


def test_nothing_and_too_much_are_refused():
    with pytest.raises(Refused, match="Choose a photo first"):
        photos.read(b"")
    with pytest.raises(Refused, match="over 15 MB"):
        photos.read(written(picture()) + b"\0" * (15 << 20))


SENT = {kind: written(picture(90, 60), kind) for kind in ("JPEG", "PNG", "WEBP")}


SPOT = st.tuples(
    st.floats(0, 1, exclude_max=True), st.integers(0, 255)
)  # where in the file, and what stands there instead


@settings(max_examples=150)
@given(st.sampled_from(sorted(SENT)), st.lists(SPOT, max_size=8))
def test_a_broken_photo_is_read_or_refused_and_nothing_else(kind, spots):
    data = bytearray(SENT[kind])
    for share, value in spots:
        data[int(share * len(data))] = value
    try:
        assert opened(photos.read(bytes(data))).format == "JPEG"
    except Refused as refused:
        assert refused.sentence.endswith(".")


# Kept with a sign. ----------------------------------------------------------------------------------------------------


def test_a_photo_is_kept_with_its_sign_and_undone(shop, assembler, plates):
    answer = acts.take_photo(
        Caller(shop, assembler), plates.id, written(picture()), "  front,  film off "
    )
    [kept] = store.photos_of(shop.read(), plates.id)
    assert (kept.note, kept.by_name, kept.wide_px, kept.is_here) == (
        "front, film off",
        assembler.name,
        300,
        True,
    )
    assert Image.open(io.BytesIO(store.photo_file(shop.read(), kept.sha256))).size == (300, 200)
    undo(Caller(shop, assembler), answer.act)
    assert store.photos_of(shop.read(), plates.id) == []
    assert differences(shop.read()) == [], "the file stands outside the ledger"


def test_the_same_request_twice_keeps_one_photo(shop, assembler, plates):
    first = acts.take_photo(Caller(shop, assembler, "k"), plates.id, written(picture()))
    assert (
        acts.take_photo(Caller(shop, assembler, "k"), plates.id, written(picture())).data
        == first.data
    )
    assert len(store.photos_of(shop.read(), plates.id)) == 1
    with pytest.raises(Refused, match="already has this photo"):
        acts.take_photo(Caller(shop, assembler), plates.id, written(picture()))


def test_only_who_took_a_photo_or_an_owner_takes_it_off(shop, owner, assembler, operator, plates):
    one = acts.take_photo(Caller(shop, assembler), plates.id, written(picture())).data["photo"]
    with pytest.raises(NotAllowed, match="Milo took that photo"):
        acts.take_off_photo(Caller(shop, operator), one)
    off = acts.take_off_photo(Caller(shop, assembler), one)
    with pytest.raises(NotFound, match="no longer with its sign"):
        acts.take_off_photo(Caller(shop, owner), one)
    undo(Caller(shop, assembler), off.act)
    acts.take_off_photo(Caller(shop, owner), one)
    assert store.photos_of(shop.read(), plates.id) == []
    assert differences(shop.read()) == []


def test_a_photo_that_was_taken_off_is_not_sent_any_more(shop, assembler, plates):
    one = acts.take_photo(Caller(shop, assembler), plates.id, written(picture())).data["photo"]
    sha256 = store.photo(shop.read(), one).sha256
    acts.take_off_photo(Caller(shop, assembler), one)
    with pytest.raises(NotFound, match="That photo was removed"):
        store.photo_file(shop.read(), sha256)


def test_a_sign_has_forty_photos_at_the_most(shop, assembler, plates):
    for number in range(40):
        acts.take_photo(
            Caller(shop, assembler), plates.id, written(Image.new("RGB", (20, 20 + number)))
        )
    with pytest.raises(Conflict, match="already has 40 photos"):
        acts.take_photo(Caller(shop, assembler), plates.id, written(picture()))
