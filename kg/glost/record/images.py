"""Image files of a collection: looked at before anything is made of them."""

import warnings
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

from glost.limits import IMAGE_FILE, PIXELS
from glost.record.characters import control
from glost.record.errors import RecordError
from glost.record.opening import unreadable

FOLDER = "images"
"""The folder of a collection in which its images stand."""

_FORMATS = ("PNG", "JPEG", "GIF", "WEBP")
_SUFFIXES = {".png", ".jpg", ".jpeg", ".gif", ".webp"}
_DRAWN = ".svg"


@dataclass(frozen=True, slots=True)
class ImageFile:
    """An image that can be shown.

    Attributes
    ----------
    file
        Where it stands in the collection, ``images/p7.png``.
    path
        The file itself.
    width, height
        In pixels; 0 for an SVG, which has none of its own.
    """

    file: str
    path: Path
    width: int
    height: int


def look(top: Path, file: str) -> ImageFile | RecordError:
    """Look at an image file without unpacking it.

    Parameters
    ----------
    top
        The collection's folder.
    file
        Where it should stand, ``images/p7.png``.

    Returns
    -------
    ImageFile or RecordError
        What is wrong, if it leads out of ``images/``, is not there, is no image, or too large.
    """
    folder = top / FOLDER
    path = top / file
    parts = Path(file).parts
    if parts[:1] != (FOLDER,) or ".." in parts or control(file):
        remedy = f"put the file into {FOLDER}/ and give its name"
        return RecordError(file, f"it leads out of {FOLDER}/", remedy)
    fault = unreadable(top, path, IMAGE_FILE)
    if fault is not None:
        return fault
    if not path.resolve().is_relative_to(folder.resolve()):
        return RecordError(file, f"the link leads out of {FOLDER}/", "put a copy in its place")
    if path.suffix.lower() == _DRAWN:
        return ImageFile(file, path, 0, 0)
    if path.suffix.lower() not in _SUFFIXES:
        return RecordError(file, "it is no image", "save it as PNG, JPEG, GIF or WebP")
    return _measured(file, path)


def _measured(file: str, path: Path) -> ImageFile | RecordError:
    large = RecordError(file, f"it has more than {PIXELS:,} pixels", "save it smaller, or in parts")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(path, formats=_FORMATS) as image:
                width, height = image.size
    except Image.DecompressionBombError:
        return large
    except Exception as bad:  # whatever a decoder raises, the file is none that can be shown
        reason = type(bad).__name__ if not isinstance(bad, OSError) else "no format is recognised"
        return RecordError(file, f"it is no image ({reason})", "save it as PNG, JPEG, GIF or WebP")
    return large if width * height > PIXELS else ImageFile(file, path, width, height)
