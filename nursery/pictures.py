"""Make pictures of a camera fit to be shown: two sizes, upright, and nothing but the picture.

A photo tells where and when it was taken, and with what. None of it is kept: the pixels are
painted onto a new picture, turned as the camera said, in the colours every screen knows.
"""

import io
import warnings
from dataclasses import dataclass

from PIL import Image, ImageCms, ImageOps, UnidentifiedImageError

MOST_BYTES = 12 * 1024 * 1024
# As much as a good phone takes; a file of few bytes may claim far more.
MOST_PIXELS = 64_000_000
LARGE, SMALL = 1600, 360
# A strip beside a name, 44 by 88 on a screen of two points to the pixel.
TINY = (88, 176)
KINDS = ("JPEG", "PNG", "WEBP")
QUALITY = 82
# What Pillow raises for what is no picture, or a spoilt one.
UNREADABLE = (UnidentifiedImageError, OSError, SyntaxError, ValueError)


class NoPicture(ValueError):
    """What was handed in cannot be shown as a picture; says what would do."""


@dataclass(frozen=True)
class Pictures:
    """A picture in two sizes as JPEG, with the measure of the larger one in pixels."""

    large: bytes
    small: bytes
    width: int
    height: int


def fit_to_show(content: bytes) -> Pictures:
    """Return a JPEG, PNG or WebP picture in two sizes without any metadata, or raise NoPicture."""
    if len(content) > MOST_BYTES:
        raise NoPicture("The picture is larger than 12 MB. Save it smaller, or take a new one.")
    try:
        with warnings.catch_warnings():
            # Of a size that it only warns of, Pillow is asked for an error too.
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(content), formats=KINDS) as opened:
                clean = _clean(opened)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise NoPicture(_too_many_points()) from error
    except UNREADABLE as error:
        if isinstance(error, NoPicture):
            raise
        raise NoPicture(
            "This is no picture that can be shown, or it arrived in part. A JPEG, PNG or WebP "
            "is; on some phones the camera's setting “most compatible” makes them."
        ) from error
    large = _within(clean, LARGE)
    return Pictures(_jpeg(large), _jpeg(_within(large, SMALL)), *large.size)


def tiny(content: bytes) -> bytes:
    """Return the middle of a kept picture as a strip to stand beside a name."""
    with Image.open(io.BytesIO(content), formats=KINDS) as kept:
        return _jpeg(ImageOps.fit(kept, TINY, Image.Resampling.LANCZOS))


def _too_many_points():
    return f"The picture has more than {MOST_PIXELS // 1_000_000} million points. Save it smaller."


def _clean(opened):
    """Return the pixels upright, in sRGB, on white where one could look through."""
    if opened.width * opened.height > MOST_PIXELS:
        raise NoPicture(_too_many_points())
    profile = opened.info.get("icc_profile")
    opened.draft("RGB", (LARGE, LARGE))
    upright = ImageOps.exif_transpose(opened)
    if upright.mode in ("RGBA", "LA", "PA") or "transparency" in upright.info:
        seen = upright.convert("RGBA")
        upright = Image.alpha_composite(Image.new("RGBA", seen.size, "white"), seen)
    clean = Image.new("RGB", upright.size)
    clean.paste(_in_srgb(upright, profile).convert("RGB"))
    return clean


def _in_srgb(image, profile):
    if not profile or image.mode != "RGB":
        return image
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        return ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB"))
    except (ImageCms.PyCMSError, OSError):
        return image


def _within(image, most):
    copy = image.copy()
    copy.thumbnail((most, most), Image.Resampling.LANCZOS)
    return copy


def _jpeg(image):
    out = io.BytesIO()
    image.save(out, "JPEG", quality=QUALITY, optimize=True, progressive=True)
    return out.getvalue()
