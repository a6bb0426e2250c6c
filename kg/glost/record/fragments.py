"""Parts of page images and of recordings, as W3C *Media Fragments URI 1.0 (basic)* writes them.

``xywh=10,20,300,40`` is a part of an image, in pixels or (``xywh=percent:…``) in per cent;
``t=403,425`` a stretch of a recording, in seconds or as ``t=0:06:43,0:07:05``. A file's name and
``#`` may stand before either, where the source has several.
"""

import re
from dataclasses import dataclass
from fractions import Fraction

from glost.record.errors import quoted

_TIME = re.compile(
    r"(?:(?P<hours>[0-9]{1,9}):)?(?P<minutes>[0-5][0-9]):(?P<seconds>[0-5][0-9](?:\.[0-9]{0,9})?)"
    r"|(?P<plain>[0-9]{1,9}(?:\.[0-9]{0,9})?)"
)
_NUMBER = r"[0-9]{1,9}(?:\.[0-9]{1,9})?"
_BOX = re.compile(rf"(?:(?:pixel|percent):)?{_NUMBER},{_NUMBER},{_NUMBER},{_NUMBER}")
_WRITE = (
    "write a part of an image as xywh=left,top,width,height and a stretch of a recording as "
    "t=403,425 (seconds) or t=0:06:43,0:07:05"
)


class FragmentError(ValueError):
    """A part of an image or recording that cannot be understood.

    Attributes
    ----------
    message, remedy
        What is wrong and what to do about it.
    """

    def __init__(self, message: str, remedy: str = _WRITE) -> None:
        super().__init__(f"{message}; {remedy}")
        self.message, self.remedy = message, remedy


@dataclass(frozen=True, slots=True)
class Fragment:
    """A part of an image, a stretch of a recording, or both at once.

    Attributes
    ----------
    file
        The image's or recording's file; empty if none is named.
    box
        The part of the picture as written after ``xywh=``; empty if all of it.
    begin, end
        The first second and the second before which it ends, counted from the start; None if it
        begins at the start, or lasts to the end. Both None if it is no stretch of time.
    """

    file: str
    box: str
    begin: Fraction | None
    end: Fraction | None

    @property
    def timed(self) -> bool:
        """Whether it is a stretch of a recording."""
        return self.begin is not None or self.end is not None

    @property
    def words(self) -> str:
        """The stretch of time in words: ``6:43 to 7:05``; else the part as written."""
        if not self.timed:
            return f"xywh={self.box}"
        if self.end is None:
            told = f"from {clock(self.begin or Fraction(0))}"
        else:
            told = f"{clock(self.begin or Fraction(0))} to {clock(self.end)}"
        return f"{told}, xywh={self.box}" if self.box else told


def read_fragment(text: str) -> Fragment:
    """Read a region as a cell holds it.

    Parameters
    ----------
    text
        ``xywh=…``, ``t=…`` or both with ``&`` between, after a file's name and ``#`` if need be.

    Raises
    ------
    FragmentError
        If it is neither, says one thing twice, or ends before it begins.
    """
    file, _, fragment = text.rpartition("#")
    box = ""
    times: tuple[Fraction | None, Fraction | None] | None = None
    for part in fragment.split("&"):
        name, _, value = part.partition("=")
        if name == "xywh" and not box and _BOX.fullmatch(value):
            box = value
        elif name == "t" and times is None:
            times = _times(value, text)
        else:
            raise FragmentError(f"{quoted(text)} is no part of an image or recording")
    begin, end = times or (None, None)
    return Fragment(file, box, begin, end)


def _times(value: str, text: str) -> tuple[Fraction | None, Fraction | None]:
    """Read a range in normal play time (section 4.2.1); its end must come after its beginning."""
    begin, comma, end = value.removeprefix("npt:").partition(",")
    first, last = _seconds(begin, text), _seconds(end, text)
    if (first is None and last is None) or (comma and last is None):
        raise FragmentError(f"{quoted(text)} names no time")
    if last is not None and last <= (first or 0):
        remedy = "write first when it begins, then when it ends: t=403,425"
        raise FragmentError(f"{quoted(text)} ends before it begins", remedy)
    return first, last


def _seconds(text: str, whole: str) -> Fraction | None:
    if not text:
        return None
    found = _TIME.fullmatch(text)
    if found is None:
        raise FragmentError(
            f"{quoted(text)} in {quoted(whole)} is no time from the start of a recording"
        )
    if found["plain"] is not None:
        return Fraction(found["plain"].rstrip("."))
    minutes = 60 * int(found["hours"] or 0) + int(found["minutes"])
    return 60 * minutes + Fraction(found["seconds"].rstrip("."))


def clock(seconds: Fraction) -> str:
    """Write seconds from the start as a player shows them: ``6:43``, ``1:02:00``, ``6:43.5``."""
    whole, rest = divmod(seconds, 1)
    minutes, second = divmod(int(whole), 60)
    hours, minute = divmod(minutes, 60)
    part = f"{float(rest):.3f}".rstrip("0")[1:].rstrip(".") if rest else ""
    return f"{hours}:{minute:02}:{second:02}{part}" if hours else f"{minute}:{second:02}{part}"
