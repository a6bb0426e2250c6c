"""Spellings of names and numbers made comparable."""

import re
import unicodedata
from urllib.parse import unquote

_RUN = re.compile(r"[0-9]+|[^\W\d_]+")


def fold(text: str) -> str:
    """Make spellings that differ in case, accents, signs and spaces the same."""
    plain = unicodedata.normalize("NFKD", text.replace("&", " and ").casefold())
    kept = "".join(c for c in plain if not unicodedata.combining(c))
    return " ".join("".join(c if c.isalnum() else " " for c in kept).split())


def runs(text: str) -> tuple[str, ...]:
    """Part a text into runs of letters and of figures, without noughts before a number."""
    return tuple(r.lstrip("0") or "0" if r[0] in "0123456789" else r
                 for r in _RUN.findall(fold(text)))  # fmt: skip


def joined(text: str) -> str:
    """Write a text without spaces and hyphens, two numbers side by side parted by a stop."""
    return re.sub(r"(?<=[0-9]) (?=[0-9])", ".", " ".join(runs(text))).replace(" ", "")


def id_of(iri: str) -> str:
    """Return a thing's kind and id: ``shape/alder``."""
    return unquote("/".join(iri.rsplit("/", 2)[-2:]))
