"""The record in the open formats: TriG, N-Quads, Turtle, JSON-LD, RDF 1.2 and tables.

Written from the record's own terms, never from what a store gives back, so that ``007`` stays
``007``. Language tags are lower-cased, as RDF 1.1 (section 3.3) allows.
"""

from collections.abc import Iterable, Iterator, Mapping
from itertools import chain
from operator import itemgetter
from pathlib import Path

import pyoxigraph as ox

from glost.answer.dataset import Contents, quads
from glost.names import PREFIXES
from glost.record.errors import RecordError, RecordErrors
from glost.record.files import SETTINGS, write_whole
from glost.record.record import Record
from glost.record.terms import quad
from glost.record.transaction import WORK, Place, changing
from glost.record.writing import csv_files, rows_of, trig_text

FORMATS = {
    "trig": ox.RdfFormat.TRIG,
    "nquads": ox.RdfFormat.N_QUADS,
    "turtle": ox.RdfFormat.TURTLE,
    "jsonld": ox.RdfFormat.JSON_LD,
    "rdf12": ox.RdfFormat.TURTLE,
}
"""Formats of RDF. Turtle holds the default graph only: what is believed and what follows. ``rdf12``
is Turtle 1.2: the same, and of each claim which statements it makes, as a reifier of them."""

_REIFIES = ox.NamedNode("http://www.w3.org/1999/02/22-rdf-syntax-ns#reifies")

SUFFIXES = {
    "trig": ".trig",
    "nquads": ".nq",
    "rdf12": ".rdf12.ttl",
    "turtle": ".ttl",
    "jsonld": ".jsonld",
}
"""The usual ending of a file of each format."""


def rdf_bytes(contents: Contents, form: str) -> bytes:
    """Write the dataset in a format of RDF.

    Parameters
    ----------
    contents
        What the dataset is made of.
    form
        A key of `FORMATS`. TriG, N-Quads and JSON-LD hold the whole dataset; Turtle what is now
        believed with what follows from it, the vocabulary left out.

    Raises
    ------
    KeyError
        If there is no such format.
    """
    if form in ("turtle", "rdf12"):
        own = set(contents.vocabulary)
        chosen = [each for each in quads(contents) if each[3] is None and each[:3] not in own]
    else:
        chosen = list(quads(contents))
    prefixes = {name: str(namespace) for name, namespace in PREFIXES.items()}
    whole = (quad((s, p, o), name) for s, p, o, name in chosen)
    statements: Iterable[ox.Triple] | Iterable[ox.Quad] = whole
    if form == "turtle":
        statements = (each.triple for each in whole)
    elif form == "rdf12":
        statements = chain((each.triple for each in whole), _reified(contents))
    return ox.serialize(statements, format=FORMATS[form], prefixes=prefixes) or b""


def _reified(contents: Contents) -> Iterator[ox.Triple]:
    """Yield what each claim says as triple terms that it reifies, and what is said of claims.

    A claim stands where its named graph does (RDF 1.2 Concepts, section 1.5): what it reifies is
    not thereby asserted, so that withdrawn claims, and what was withdrawn of one, stand like the
    others.
    """
    for claim, statements in sorted(contents.said(), key=itemgetter(0)):
        for triple in sorted((quad(each, None).triple for each in set(statements)), key=str):
            yield ox.Triple(ox.NamedNode(str(claim)), _REIFIES, triple)
    yield from sorted((quad(each, None).triple for each in contents.record), key=str)


def write_rdf(contents: Contents, form: str, path: Path) -> None:
    """Write the dataset to a file, whole or not at all; see `rdf_bytes`."""
    write_whole(path, rdf_bytes(contents, form))


def write_tables(record: Record, folder: Path) -> list[Path]:
    """Write every claim back into tables, with CSVW metadata, as a collection of its own.

    Parameters
    ----------
    record
        The record; withdrawn claims and corrections are written like the others.
    folder
        A new or empty folder. Reading it gives the same claims.

    Returns
    -------
    list of Path
        The files written. Claims that fit no table go to ``claims.trig``.

    Raises
    ------
    RecordErrors
        If the folder holds anything, other than what writing these very files there left when
        it was cut short; or if the record is of collections read together, of which each has rows
        of its own.
    """
    if record.members:
        names = ", ".join(sorted(record.members))
        message = f"it reads collections together: {names}"
        remedy = "write each back by itself: glost export TARGET --as tables -c ITS-FOLDER"
        raise RecordErrors([RecordError(str(record.collection.path), message, remedy)])
    rows, left = rows_of(record, record.claims)
    settings = (record.collection.path / SETTINGS).read_text(encoding="utf-8-sig")
    texts = {SETTINGS: settings}
    texts |= {f"tables/{name}": text for name, text in csv_files(rows)}
    if left:
        texts["claims.trig"] = trig_text(record, left)
    return write_folder(texts, folder, "write tables")


def write_folder(texts: Mapping[str, str], folder: Path, doing: str) -> list[Path]:
    """Write files into a new or empty folder, all or none.

    Parameters
    ----------
    texts
        What each file holds, by its path within the folder.
    folder
        The folder.
    doing
        What is done, for whoever finds it cut short.

    Raises
    ------
    RecordErrors
        If the folder holds anything else.
    """
    with changing(Place.within(folder), doing) as change:
        if not _free(folder, texts if change.settled else {}):
            remedy = "name a new or empty folder; nothing was written"
            raise RecordErrors([RecordError(str(folder), "the folder is not empty", remedy)])
        for name, text in texts.items():
            change.put(name, text)
        change.commit()
    return [folder / name for name in texts]


def _free(folder: Path, texts: Mapping[str, str]) -> bool:
    """Tell whether a folder holds nothing but some of these files, each as it is to be."""
    known = {name.partition("/")[0] for name in texts}
    if any(path.name not in known and not path.name.startswith(WORK) for path in folder.iterdir()):
        return False
    files = [path for name in known for path in (folder / name, *(folder / name).rglob("*"))]
    names = {path.relative_to(folder).as_posix(): path for path in files if path.is_file()}
    return all(
        name in texts and path.read_bytes() == texts[name].encode() for name, path in names.items()
    )
