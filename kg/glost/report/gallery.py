"""Pictures carried inside a page: each file once, with the parts shown cut out of it."""

import base64
import struct
from collections.abc import Iterable
from pathlib import Path

from markupsafe import escape

from glost.record.images import ImageFile, look
from glost.report.tree import Picture

TYPES = {
    ".png": "image/png",
    ".jpg": "image/jpeg",
    ".jpeg": "image/jpeg",
    ".gif": "image/gif",
    ".webp": "image/webp",
    ".svg": "image/svg+xml",
}
_MARGIN = 12
"""Pixels left around a part that is cut out, so that its surroundings can be seen."""
_FRAMES = {*range(0xC0, 0xD0)} - {0xC4, 0xC8, 0xCC}
"""Markers of a JPEG file that begin a frame, which holds the size (ITU-T T.81, table B.1)."""


class Gallery:
    """The pictures of a page.

    Parameters
    ----------
    folder
        The collection's folder. A picture that is not within it, or not there, is left out.
    pictures
        What is to be shown.
    """

    def __init__(self, folder: Path, pictures: Iterable[Picture]) -> None:
        self._folder = folder.resolve()
        self._data: dict[str, str] = {}
        self._sizes: dict[str, tuple[int, int]] = {}
        for picture in pictures:
            self._read(picture.file)

    def _read(self, file: str) -> None:
        found = None if file in self._data else look(self._folder, file)
        if not isinstance(found, ImageFile):
            return
        kind = TYPES[found.path.suffix.lower()]
        content = found.path.read_bytes()
        self._data[file] = f"data:{kind};base64,{base64.b64encode(content).decode()}"
        if (size := pixels(content)) is not None:
            self._sizes[file] = size

    def shared(self) -> list[tuple[str, str, int, int]]:
        """Return name, data address, width and height of each file that parts may be cut from."""
        return [
            (self._name(file), self._data[file], *size)
            for file, size in sorted(self._sizes.items())
        ]

    def _name(self, file: str) -> str:
        return f"picture-{sorted(self._data).index(file) + 1}"

    def drawn(self, picture: Picture) -> str:
        """Return a picture as HTML, a part of one cut out; empty if it is not there."""
        if picture.file not in self._data:
            return ""
        told = escape(picture.alternative)
        if picture.box is None or picture.file not in self._sizes:
            return f'<img src="{self._data[picture.file]}" alt="{told}">'
        x, y, w, h = self.box(picture)
        return (
            f'<svg role="img" preserveAspectRatio="xMinYMin meet" aria-label="{told}" '
            f'viewBox="{x} {y} {w} {h}" width="{w}" height="{h}">'
            f'<use href="#{self._name(picture.file)}"/></svg>'
        )

    def box(self, picture: Picture) -> tuple[int, int, int, int]:
        """Return left, top, width and height of a part with a margin, within the picture."""
        width, height = self._sizes[picture.file]
        left, top, wide, high = picture.box or (0, 0, width, height)
        x, y = max(0, int(left - _MARGIN)), max(0, int(top - _MARGIN))
        right = min(width, int(left + wide + _MARGIN))
        foot = min(height, int(top + high + _MARGIN))
        return x, y, max(1, right - x), max(1, foot - y)


def pixels(content: bytes) -> tuple[int, int] | None:
    """Return width and height of a PNG, GIF or JPEG file; None for any other.

    References
    ----------
    W3C, Portable Network Graphics (third edition), 11.2.1; CompuServe, GIF89a, 18; ITU-T T.81, B.2.
    """
    if content[:8] == b"\x89PNG\r\n\x1a\n" and len(content) >= 24:
        width, height = struct.unpack(">II", content[16:24])
        return width, height
    if content[:6] in (b"GIF87a", b"GIF89a") and len(content) >= 10:
        width, height = struct.unpack("<HH", content[6:10])
        return width, height
    return _jpeg(content) if content[:2] == b"\xff\xd8" else None


def _jpeg(content: bytes) -> tuple[int, int] | None:
    at = 2
    while at + 9 <= len(content) and content[at] == 0xFF:
        marker = content[at + 1]
        if marker in _FRAMES:
            height, width = struct.unpack(">HH", content[at + 5 : at + 9])
            return width, height
        at += 2 + int(struct.unpack(">H", content[at + 2 : at + 4])[0])
    return None
