"""Facts about what is published, which its descriptions tell: files, and statements counted."""

import tomllib
from collections import Counter
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from rdflib import URIRef

from glost.publish.data.media import MEDIA
from glost.record.tables import tables

FILE_TYPES = {
    ".csv": "CSV", ".json": "JSON", ".jsonld": "JSON_LD", ".nq": "RDF_N_QUADS",
    ".ru": "TXT", ".trig": "RDF_TRIG", ".tsv": "TSV", ".ttl": "RDF_TURTLE",
}  # fmt: skip
"""Formats of files by their endings, as the EU Publications Office names them."""


@dataclass(frozen=True, slots=True)
class PublishedFile:
    """A file that is offered.

    Attributes
    ----------
    path
        Within the site, with slashes.
    octets
        How long it is.
    digest
        Its SHA-256, in hexadecimal digits.
    """

    path: str
    octets: int
    digest: str

    @classmethod
    def of(cls, path: str, content: bytes) -> "PublishedFile":
        """Take the facts from a file's content."""
        return cls(path, len(content), sha256(content).hexdigest())

    @property
    def ending(self) -> str:
        """What its name ends in, ``.ttl``."""
        return "." + self.path.rpartition(".")[2]

    @property
    def media(self) -> str:
        """Its media type, without parameters."""
        return MEDIA[self.ending].partition(";")[0]

    @property
    def told(self) -> "FileWords":
        """What it is, in words."""
        for match, words in _words():
            if fnmatchcase(self.path, match):
                name = self.path.rpartition("/")[2].removesuffix(".csv")
                title = tables()[name].title if name in tables() else name
                return words._replace(title=words.title.format(title=title))
        raise LookupError(f"{self.path} is not described in files.toml")


class FileWords(NamedTuple):
    """What a file is, in words, and the IRI of what it conforms to; empty if of nothing."""

    title: str
    description: str
    conforms_to: str


@cache
def _words() -> tuple[tuple[str, FileWords], ...]:
    text = Path(__file__).with_name("files.toml").read_text(encoding="utf-8")
    return tuple(
        (each["match"], FileWords(each["title"], each["description"], each.get("conforms_to", "")))
        for each in tomllib.loads(text)["file"]
    )


@dataclass(frozen=True, slots=True)
class StatementCounts:
    """How many statements a dataset holds.

    Attributes
    ----------
    graphs
        By the graph they stand in; None is the default graph.
    properties
        Those of the default graph, by property.
    """

    graphs: Counter[URIRef | None] = field(default_factory=Counter)
    properties: Counter[URIRef] = field(default_factory=Counter)

    @property
    def all(self) -> int:
        """Every statement, counted in every graph it stands in."""
        return self.graphs.total()
