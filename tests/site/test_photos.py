"""What strangers may upload: pictures only, made anew, small, and without where they were taken."""

import struct
import zlib
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from firewood_site.photos import LONGEST_SIDE, BadPhoto, cleaned_photo

SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
EPS = b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n%%EndComments\n(x) run\nshowpage\n"


def upload(content, name="stack.jpg"):
    return SimpleUploadedFile(name, content, "image/jpeg")


def jpeg(size=(60, 40), **kwargs):
    out = BytesIO()
    Image.new("RGB", size, "brown").save(out, "JPEG", **kwargs)
    return out.getvalue()


def bare_png(width, height):
    """A PNG that claims a size and holds next to nothing."""

    def chunk(kind, body):
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"")) + chunk(b"IEND", b"")
    )


def test_where_a_photo_was_taken_is_gone():
    exif = Image.Exif()
    exif.get_ifd(0x8825).update({1: "N", 2: (44.0, 0.0, 36.0), 3: "W", 4: (150.0, 3.0, 36.0)})
    exif[0x010F] = "a phone"
    sent = jpeg(exif=exif, comment=b"hidden words")
    assert Image.open(BytesIO(sent)).getexif().get_ifd(0x8825)

    kept = Image.open(BytesIO(cleaned_photo(upload(sent))))

    assert not dict(kept.getexif())
    assert "comment" not in kept.info
    assert b"phone" not in cleaned_photo(upload(sent))


def test_a_photo_turned_by_its_camera_stands_upright():
    exif = Image.Exif()
    exif[0x0112] = 6

    kept = Image.open(BytesIO(cleaned_photo(upload(jpeg((60, 40), exif=exif)))))

    assert kept.size == (40, 60)


def test_what_hides_behind_a_picture_is_not_kept():
    sent = jpeg() + b"<script>alert(1)</script>PK\x03\x04<?php system('id'); ?>"

    kept = cleaned_photo(upload(sent))

    assert b"script" not in kept
    assert b"php" not in kept


def test_large_photos_are_made_small():
    kept = Image.open(BytesIO(cleaned_photo(upload(jpeg((4000, 3000))))))

    assert max(kept.size) == LONGEST_SIDE


@pytest.mark.parametrize(
    ("content", "name"),
    [(SVG, "stack.svg"), (SVG, "stack.jpg"), (EPS, "stack.jpg"), (b"", "stack.jpg"), (b"GIF89a", "x.gif"),
     (b"%PDF-1.7 not a picture", "stack.jpg")],
    ids=["svg", "svg called jpg", "postscript", "nothing", "half a gif", "pdf"],
)  # fmt: skip
def test_what_is_no_photo_is_refused(content, name):
    with pytest.raises(BadPhoto):
        cleaned_photo(upload(content, name))


@pytest.mark.parametrize(("width", "height"), [(5_000, 5_000), (20_000, 20_000), (60_000, 60_000)])
def test_a_small_file_that_unpacks_to_a_huge_picture_is_refused(width, height):
    sent = bare_png(width, height)
    assert len(sent) < 200

    with pytest.raises(BadPhoto, match="too many pixels"):
        cleaned_photo(upload(sent))


def test_a_file_beyond_the_limit_is_refused_with_the_limit(settings):
    settings.PHOTO_MAX_BYTES = 1024 * 1024

    with pytest.raises(BadPhoto, match="larger than 1 MB"):
        cleaned_photo(upload(b"x" * (1024 * 1024 + 1)))


def test_a_photo_cut_off_on_the_way_is_refused():
    with pytest.raises(BadPhoto):
        cleaned_photo(upload(jpeg((800, 600))[:2000]))
