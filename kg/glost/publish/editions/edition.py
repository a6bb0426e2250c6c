"""What an edition is, and where its files lie."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

import msgspec

from glost.record.errors import RecordError, RecordErrors, quoted, suggestion
from glost.record.opening import read_whole

FOLDER = "editions"
"""Where a collection keeps its editions, each in a folder of its name."""

ABOUT = "edition.json"
DATASET = "dataset.nq.gz"
"""Every statement, as canonical N-Quads."""
TABLES = "collection.zip"
"""The collection's own files, from which the statements were made."""
PATCH = "changes.rdfp"
WORDS = "changes.md"
"""What changed since the edition before, for machines and for people."""
SUMS = "SHA256SUMS"
"""The sum of every other file; ``sha256sum -c`` reads it."""
SIGNATURE = "SHA256SUMS.sig"

NAMED = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,63}")
_SMALL = 1 << 20


@dataclass(frozen=True, slots=True)
class Edition:
    """An edition, as its ``edition.json`` tells.

    Attributes
    ----------
    name
        Its name within the collection.
    day
        The day it was made, ``YYYY-MM-DD``.
    base, title
        The collection's base IRI and its title.
    statements
        How many statements it holds, counted in every graph.
    claims, sources
        How many claims are on record, withdrawn ones too, and how many sources.
    digest
        SHA-256 of its canonical N-Quads.
    program
        The version of the program that made it.
    previous
        The name of the edition before; empty if there was none.
    previous_sums
        SHA-256 of that edition's ``SHA256SUMS``, so that each edition vouches for all before it.
    note
        What its keeper says of it.
    """

    name: str
    day: str
    base: str
    title: str
    statements: int
    claims: int
    sources: int
    digest: str
    program: str
    previous: str = ""
    previous_sums: str = ""
    note: str = ""

    @property
    def iri(self) -> str:
        """Its identifier."""
        return f"{self.base}{FOLDER}/{self.name}"

    def written(self) -> str:
        """Return it as the text of ``edition.json``."""
        return msgspec.json.format(msgspec.json.encode(self)).decode() + "\n"


def content_of(folder: Path, name: str, most: int) -> bytes:
    """Read a file of an edition, of at most so many octets.

    Raises
    ------
    RecordErrors
        If it cannot be read.
    """
    found = read_whole(folder, folder / name, most)
    if isinstance(found, RecordError):
        raise RecordErrors([replace(found, file=str(folder / name))])
    return found


def read_edition(folder: Path) -> Edition:
    """Read an edition's description.

    Raises
    ------
    RecordErrors
        If there is none, or it is none.
    """
    path = folder / ABOUT
    try:
        found = msgspec.json.decode(content_of(folder, ABOUT, _SMALL), type=Edition)
    except (msgspec.DecodeError, msgspec.ValidationError) as error:
        remedy = "fetch the edition again, or bring it back from a copy"
        raise RecordErrors(
            [RecordError(str(path), f"it describes no edition: {error}", remedy)]
        ) from error
    return found


def editions(collection: Path) -> list[Edition]:
    """Return a collection's editions, the oldest first.

    Parameters
    ----------
    collection
        The collection's folder.

    Raises
    ------
    RecordErrors
        If one cannot be read, or they do not follow one another.
    """
    top = collection / FOLDER
    found = {
        each.name: each
        for path in (sorted(top.iterdir()) if top.is_dir() else ())
        if path.is_dir() and not path.name.startswith(".")
        for each in [read_edition(path)]
    }
    return _in_order(found, top)


def _in_order(found: dict[str, Edition], top: Path) -> list[Edition]:
    after = {each.previous: each for each in found.values()}
    chain: list[Edition] = []
    while (following := after.get(chain[-1].name if chain else "")) is not None:
        if following in chain:
            break
        chain.append(following)
    if len(chain) != len(found):
        astray = ", ".join(sorted(set(found) - {each.name for each in chain}))
        problem = f"these editions do not follow from the first: {astray}"
        remedy = "bring back the edition that is missing between them, or the name of its folder"
        raise RecordErrors([RecordError(str(top), problem, remedy)])
    return chain


def folder_of(collection: Path, name: str) -> Path:
    """Return the folder of an edition.

    Raises
    ------
    RecordErrors
        If the collection has no edition of that name.
    """
    names = [each.name for each in editions(collection)]
    if name not in names:
        remedy = suggestion(name, names, "make one with glost edition NAME")
        problem = f"there is no edition {quoted(name)}"
        raise RecordErrors([RecordError(str(collection / FOLDER), problem, remedy)])
    return collection / FOLDER / name


def sums_of(files: Iterable[tuple[str, str]]) -> str:
    """Return the text of ``SHA256SUMS`` for names of files and their sums."""
    return "".join(f"{digest}  {name}\n" for name, digest in sorted(files))
