"""Characters that may not stand in a record, and those that deserve a second look.

Control characters change what a terminal, a page or a table does with a text, and are errors where
they are read. Others say the same in a way that a search, a sort or a reader would miss, and are
told: signs that turn the direction of writing, that have no width, figures of other scripts,
letters not in composed form (Unicode normalisation form C), and letters of another script that look
like the ones beside them.

References
----------
The Unicode Standard, chapter 23 (control codes, bidirectional format controls); Unicode Standard
Annex 15 (normalisation forms) and Annex 9 (bidirectional algorithm); Unicode Technical Standard 39
(security mechanisms: mixed scripts, confusables).
"""

import csv
import re
import unicodedata
from functools import cache, lru_cache
from pathlib import Path

_C0 = r"\x00-\x08\x0b-\x1f\x7f"
_REST = r"\x80-\x9f\u2028\u2029\ufffe\uffff\ud800-\udfff"
CONTROL = re.compile(f"[{_C0}{_REST}]")
"""Control codes but tab and newline, the separators of lines and paragraphs, halves of surrogate
pairs, and what is no character at all."""

CONTROL_FOR_POLARS = r"[\x00-\x08\x0b-\x1f\x7f-\x{9f}\x{2028}\x{2029}\x{fffe}\x{ffff}]"
"""The same for the regular expressions of polars, whose texts hold no surrogates."""

_NAMES = {
    "\x00": "NUL",
    "\x07": "BEL",
    "\x08": "backspace",
    "\x0b": "a vertical tab",
    "\x0c": "a form feed",
    "\r": "a carriage return",
    "\x1b": "ESC",
    "\x7f": "DEL",
    "\x85": "a next-line sign",
    "\u2028": "a line separator",
    "\u2029": "a paragraph separator",
}
_TURNING = "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
_UNSEEN = (
    "\u00ad\u034f\u115f\u1160\u17b4\u17b5\u180e\u200b-\u200d\u2060-\u2064\ufeff"
    "\U000e0000-\U000e007f"
)
_SUSPECT = re.compile(r"[^\x00-\x7f]")
_SCRIPTS = ("LATIN", "CYRILLIC", "GREEK", "ARMENIAN", "CHEROKEE", "COPTIC")
_KINDS = {
    "turns-direction": re.compile(f"[{_TURNING}]"),
    "has-no-width": re.compile(f"[{_UNSEEN}]"),
}
_WORD = re.compile(r"[^\W\d_]{2,}")
_WIDE = re.compile("[\uff01-\uff5e]")


def control(text: str) -> str:
    """Name the first character of a text that may not stand in a record; empty if there is none.

    Parameters
    ----------
    text
        The text; tab and newline are allowed.
    """
    found = CONTROL.search(text)
    if found is None:
        return ""
    sign = found[0]
    point = f"U+{ord(sign):04X}"
    return f"{_NAMES[sign]} ({point})" if sign in _NAMES else f"the control character {point}"


def visible(text: str, lines: bool = True) -> str:
    """Write control characters, and those that turn the direction of writing, as ``\\u001b``.

    Parameters
    ----------
    text
        Any text.
    lines
        Whether tab and newline may stay.
    """
    if text.isascii() and text.isprintable():
        return text
    shown = _SHOWN.sub(_escape, text)
    return shown if lines else shown.replace("\n", "\\n").replace("\t", "\\t")


_SHOWN = re.compile(f"[{_C0}{_REST}{_TURNING}]")


def _escape(found: re.Match[str]) -> str:
    return f"\\u{ord(found[0]):04x}"


def oddities(text: str) -> tuple[tuple[str, str], ...]:
    """Find what deserves a second look in a text.

    Parameters
    ----------
    text
        Plain form of a cell.

    Returns
    -------
    tuple of (str, str)
        The kind (``turns-direction``, ``has-no-width``, ``not-composed``, ``other-figures``,
        ``full-width``, ``mixed-scripts``), and what stands there, in words.
    """
    if text.isascii():
        return ()
    found = []
    for kind, pattern in _KINDS.items():
        if hit := pattern.search(text):
            found.append((kind, _named(hit[0])))
    if not unicodedata.is_normalized("NFC", text):
        found.append(("not-composed", "letters and accents as separate signs"))
    wide = _WIDE.search(text)
    if wide:
        found.append(("full-width", _named(wide[0])))
    for sign in _SUSPECT.findall(text):
        if unicodedata.category(sign) == "Nd" and not _WIDE.match(sign):
            found.append(("other-figures", _named(sign)))
            break
    for word in _WORD.findall(text):
        if len(scripts := _scripts(word)) > 1:
            names = " and ".join(script.capitalize() for script in scripts)
            found.append(("mixed-scripts", f'{names} letters in "{word[:40]}"'))
            break
    return tuple(found)


def _named(sign: str) -> str:
    return f"U+{ord(sign):04X} ({unicodedata.name(sign, 'unnamed').lower()})"


def _scripts(word: str) -> list[str]:
    if word.isascii():
        return []
    first = {unicodedata.name(letter, "").partition(" ")[0] for letter in word}
    return sorted(first.intersection(_SCRIPTS))


@lru_cache(maxsize=1 << 16)
def skeleton(text: str) -> str:
    """Reduce a text to what it looks like, regardless of case: two alike are easily confused.

    After the skeleton of Unicode Technical Standard 39, section 4, with two differences: case is
    folded first, since ids that differ only by case are confused most; and of the standard's table
    of lookalikes only Latin, Greek and Cyrillic letters and figures are taken, as they stand in
    ``lookalikes.csv``.
    """
    plain = unicodedata.normalize("NFD", text).translate(_lookalikes()).casefold()
    return unicodedata.normalize("NFD", plain.translate(_lookalikes()))


@cache
def _lookalikes() -> dict[int, str]:
    path = Path(__file__).with_name("lookalikes.csv")
    with path.open(encoding="utf-8", newline="") as file:
        lines = (line for line in file if not line.startswith("#"))
        return {ord(row["sign"]): row["like"] for row in csv.DictReader(lines)}
