"""Where everything stands in a published site, and how its files link to one another.

An identifier ``{base}{kind}/{slug}`` has the page ``{kind}/{slug}.html``, and beside it the same in
three formats of data: ``.ttl``, ``.jsonld`` and ``.nq``. The site's own pages stand in folders that
no kind of thing may use (`OWN`). What another keeper describes, whose collection is read together
with this one, has the page ``{keeper}.{kind}/{slug}.html``: its identifier leads to the keeper, not
here.
An identifier that is no fit file name, or that differs from another only in capitals, has a page
under ``other/``; `Addresses.exceptions` lists these, and so does the file `MARKER`.
"""

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from hashlib import sha256
from pathlib import Path
from urllib.parse import quote, unquote

from glost.names import GLOST, SCHEMES

PAGE = ".html"
"""The ending of a page."""

DATA = {".ttl": "text/turtle", ".jsonld": "application/ld+json", ".nq": "application/n-quads"}
"""Endings of the data beside a page, with their media types; the first is what is preferred."""

MARKER = "glost-site.json"
"""The file by which a site is known as one: base IRI, counts, exceptional addresses."""

MANIFEST = "manifest-sha256.txt"
"""The list of a site's files with their SHA-256, as ``sha256sum -c`` reads it."""

OWN = (
    "assets", "cautions", "data", "findings", "health", "iiif", "images", "more", "other",
    "pictures", "questions", "reconcile", "search", "sparql", "tables", "vocabulary",
)  # fmt: skip
"""Names that the site and the endpoint use; a kind of thing that bears one goes under other/."""

KIND = re.compile(r"[a-z][a-z0-9-]{0,39}")
_SLUG = re.compile(r"[^\W_][\w.~-]*")
_LONGEST = 120
_DEVICES = re.compile(r"(?i)(con|prn|aux|nul|com\d|lpt\d|index(-\d+)?)(\..*)?")


def stem(base: str, iri: str) -> str | None:
    """Name the files of an identifier, without ending: ``shape/alder``.

    Parameters
    ----------
    base
        The collection's base IRI, with its closing slash.
    iri
        The identifier; a fragment is left out of account.

    Returns
    -------
    str or None
        None if it does not begin with the base, or is no fit name for a file.
    """
    whole = iri.partition("#")[0]
    if not whole.startswith(base):
        return None
    kind, slash, rest = whole.removeprefix(base).partition("/")
    if not KIND.fullmatch(kind) or kind in OWN or _DEVICES.fullmatch(kind):
        return None
    if not slash:
        return kind
    slug = unquote(rest)
    fit = _SLUG.fullmatch(slug) and not _DEVICES.fullmatch(slug)
    if (
        not fit
        or slug.endswith((".", PAGE, *DATA))
        or len(slug.encode()) > _LONGEST
        or unicodedata.normalize("NFC", slug) != slug
    ):
        return None
    return f"{kind}/{slug}"


def other(iri: str) -> str:
    """Name the files of an identifier that `stem` cannot name."""
    return f"other/{sha256(iri.partition('#')[0].encode()).hexdigest()[:24]}"


def vocabulary_page(iri: str) -> str | None:
    """Return the page and fragment of a term of the vocabulary or of its concept schemes.

    Returns
    -------
    str or None
        ``vocabulary/classes/Shape.html``, ``vocabulary/schemes/form.html#nappy``,
        ``vocabulary/topics/kilns.html``; None for anything else. The folders keep apart what
        differs only in capitals.
    """
    if iri.startswith(GLOST):
        name = iri.removeprefix(GLOST)
        folder = "classes" if name[:1].isupper() else "properties"
        return f"vocabulary/{folder}/{name}.html" if re.fullmatch(r"\w+", name) else None
    if iri.startswith(SCHEMES):
        scheme, _, concept = iri.removeprefix(SCHEMES).partition("/")
        if re.fullmatch(r"[\w-]+", scheme) and re.fullmatch(r"[\w-]*", concept):
            if scheme == "topic" and concept:
                return f"vocabulary/topics/{concept}.html"
            return f"vocabulary/schemes/{scheme}.html" + (f"#{concept}" if concept else "")
    return None


def root(page: str) -> str:
    """Return the way from a page up to the top of the site: ``../`` for ``shape/alder.html``."""
    return "../" * page.count("/")


def quoted(file: str) -> str:
    """Return a file's path, with or without a fragment, fit for ``href`` from the site's top."""
    path, mark, fragment = file.partition("#")
    return quote(path) + (mark and "#" + quote(fragment))


def more(page: str, number: int) -> str:
    """Return the file on which a long page goes on; the page itself is number 1."""
    if number == 1:
        return page
    return f"more/{page.removesuffix(PAGE).replace('/', '.', 1)}-{number}{PAGE}"


@dataclass(frozen=True)
class Addresses:
    """The files of every identifier that has a page.

    Attributes
    ----------
    base
        The collection's base IRI, with its closing slash.
    iris
        The identifiers, without fragments.
    keepers
        Base IRIs of the collections that are read together with it, by name.
    """

    base: str
    iris: Iterable[str] = field(repr=False)
    keepers: Mapping[str, str] = field(default_factory=dict)

    @cached_property
    def stems(self) -> Mapping[str, str]:
        """Each identifier's files, without ending, no two alike even without regard to capitals."""
        found: dict[str, str] = {}
        taken: set[str] = set()
        for iri in sorted(set(self.iris)):
            name = self._stem(iri)
            if name is None or name.casefold() in taken:
                name = other(iri)
            taken.add(name.casefold())
            found[iri] = name
        return found

    def _stem(self, iri: str) -> str | None:
        for name, base in sorted(self.keepers.items(), key=lambda each: -len(each[1])):
            nearer = len(base) > len(self.base) or not iri.startswith(self.base)
            if iri.startswith(base) and nearer:
                found = stem(base, iri)
                return f"{name}.{found}" if found is not None and "/" in found else None
        return stem(self.base, iri)

    @cached_property
    def exceptions(self) -> Mapping[str, str]:
        """The collection's own identifiers whose files are not named as `stem` names them."""
        return {
            iri: name
            for iri, name in self.stems.items()
            if iri.startswith(self.base) and name not in (stem(self.base, iri), self._stem(iri))
        }

    def file(self, iri: str, ending: str = PAGE) -> str | None:
        """Return the file of an identifier, or None if it has none.

        Parameters
        ----------
        iri
            The identifier; a fragment is left out of account.
        ending
            `PAGE` or a key of `DATA`.
        """
        name = self.stems.get(iri.partition("#")[0])
        return None if name is None else name + ending


def listed(folder: Path) -> dict[str, str]:
    """Return the files that an earlier run wrote, with their hashes; other files are not ours."""
    try:
        text = (folder / MANIFEST).read_text(encoding="utf-8")
    except FileNotFoundError:
        return {}
    pairs = (line.partition("  ") for line in text.splitlines())
    return {file: digest for digest, _, file in pairs if within(file)}


def within(file: str) -> bool:
    """Say whether a path is one that a file of a site may have, the list of its files aside."""
    parts = file.split("/")
    plain = "" not in parts and "\n" not in file and "\\" not in file
    return plain and ".." not in parts and "." not in parts and file != MANIFEST
