"""Whether words used of a piece fit words used of a shape, and what worn letters can be."""

import re
import unicodedata
from functools import cache

_WORD = re.compile(r"[^\W\d_]+|\d+")
_EMPTY = frozenset({"a", "an", "and", "as", "at", "by", "in", "its", "of", "on", "or", "the", "to"})
_WORN_STRETCH = re.compile(r"\.{2,}|…")
_ENDING = 3
"""So many letters may follow in a word that is another but for its ending."""
_STEM = 3
"""A word of no more letters than this is no other's beginning."""
_ENOUGH = 3
"""So many letters must be read before a worn wording is taken to tell one mark from another."""


@cache
def words(text: str) -> frozenset[str]:
    """Return the words that carry meaning, without case and accents."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    plain = "".join(letter for letter in plain if not unicodedata.combining(letter))
    return frozenset(_WORD.findall(plain)) - _EMPTY


@cache
def stems(word: str) -> tuple[str, ...]:
    """Return a word and what it may be but for an ending: scalloped, scallope, scallop."""
    shorter = (word[:-letters] for letters in range(1, _ENDING + 1))
    return (word, *(stem for stem in shorter if len(stem) > _STEM))


def _same(a: str, b: str) -> bool:
    """Say whether two words are one but for an ending: scallop, scalloped; ring, rings."""
    return a in stems(b) or b in stems(a)


def compare(seen: str, described: str) -> str:
    """Compare two descriptions of the same part.

    Returns
    -------
    str
        ``agrees`` if every word of one stands in the other, ``partly`` if they share one,
        ``differs`` if they share none.
    """
    a, b = words(seen), words(described)
    if not a or not b:
        return "differs"
    in_b = [any(_same(word, other) for other in b) for word in a]
    in_a = [any(_same(word, other) for other in a) for word in b]
    if all(in_b) or all(in_a):
        return "agrees"
    return "partly" if any(in_b) else "differs"


def number_fits(read: str, number: str) -> bool:
    """Say whether a number with worn figures can be a number; spaces and strokes do not count."""
    return _pattern(bare_number(read), whole=True).fullmatch(bare_number(number)) is not None


def wording_fits(read: str, wording: str) -> bool:
    """Say whether what can be read of a mark can be part of its wording.

    ``?`` stands for one letter, ``...`` for any stretch. Case, spaces, strokes and points do not
    count. A reading of fewer than three letters fits nothing.
    """
    text = _WORN_STRETCH.sub("*", read)
    bare = "".join(sign for sign in text.casefold() if sign.isalnum() or sign in "?*")
    if sum(sign.isalnum() for sign in bare) < _ENOUGH:
        return False
    plain = "".join(sign for sign in wording.casefold() if sign.isalnum())
    return _pattern(bare, whole=False).search(plain) is not None


def bare_number(text: str) -> str:
    """Return the signs of a number that count, ``?`` for a worn one among them."""
    return "".join(sign for sign in text.casefold() if sign.isalnum() or sign == "?")


@cache
def _pattern(bare: str, *, whole: bool) -> re.Pattern[str]:
    signs = {"?": ".", "*": ".*"}
    body = "".join(signs.get(sign, re.escape(sign)) for sign in bare)
    return re.compile(body if body or not whole else r"(?!)")
