"""What a date is once read, by how much it may be widened, and the error if it cannot be."""

from dataclasses import dataclass


class DateError(ValueError):
    """A text that is not a date of the Extended Date/Time Format.

    Parameters
    ----------
    text
        What was to be read.
    reason
        What is wrong with it.
    remedy
        How it should be written.
    """

    def __init__(self, text: str, reason: str, remedy: str) -> None:
        super().__init__(f"cannot read the date {text!r}: {reason}; {remedy}")
        self.text = text
        self.reason = reason
        self.remedy = remedy


@dataclass(frozen=True, slots=True)
class Margin:
    """By how many days an approximate date (`~`) is widened, at either end.

    The finest part of the date that is marked approximate decides: `1911~` by `year`,
    `1911-04~` by `month`, `1911-04-12~` by `day`. The defaults are a convenience that a collection
    is expected to set for itself; no standard gives a figure.
    """

    year: int = 730
    month: int = 61
    day: int = 7

    def __post_init__(self) -> None:
        """Refuse a margin that would narrow a date."""
        if min(self.year, self.month, self.day) < 0:
            raise ValueError(f"a margin is a number of days, 0 or more, not {self}")


@dataclass(frozen=True, slots=True)
class Edtf:
    """A date as a source gives it, with inclusive bounds in days.

    Attributes
    ----------
    text
        The date as written.
    earliest, latest
        First and last possible day, day numbers with 0001-01-01 as 1 in the proleptic Gregorian
        calendar, both included, any approximation already widened. None where open or unknown.
    kind
        `date`, `interval`, `one of` (square brackets), `all of` (braces), `range` (within a set).
    open_start, open_end
        The end is stated to be open (`..`): as far as the source is concerned, infinite.
    unknown_start, unknown_end
        The end exists and is unknown (nothing written).
    approximate, uncertain, unspecified
        Whether any part is marked `~` or `%`, `?` or `%`, or has digits `X`.
    qualifiers
        Which parts: letters `y`, `m`, `d` each with `~`, `?` or `%`, as `y~m~`; the two ends of
        an interval parted by `/`; empty for a set, whose members keep their own.
    season
        Code 21 to 41 of a season or other part of a year, 0 for none. The standard gives seasons
        no bounds: those here are the widest any convention of either hemisphere gives.
    margin
        Days by which an approximate date was widened at either end, 0 if none was.
    members
        The two ends of an interval or range, or the members of a set.
    """

    text: str
    earliest: int | None
    latest: int | None
    kind: str = "date"
    open_start: bool = False
    open_end: bool = False
    unknown_start: bool = False
    unknown_end: bool = False
    approximate: bool = False
    uncertain: bool = False
    unspecified: bool = False
    qualifiers: str = ""
    season: int = 0
    margin: int = 0
    members: tuple["Edtf", ...] = ()
