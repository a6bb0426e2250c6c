"""The dataset in parts, for stores that take very much at once: N-Quads, packed, with sums.

A part holds so many statements at most, all of one kind and of one keeper: what is believed and
what follows from it (the default graph), the graphs of the claims, what is said of them, and so on.
A blank node's label means nothing outside its own file (RDF 1.1 N-Quads, section 2.3), so whatever
speaks of one stands in one part, ``nameless``, however large. All parts together are the dataset;
each statement stands in one of them. The same dataset gives the same bytes.
"""

import gzip
import json
import os
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import IO

from rdflib import BNode, URIRef

from glost.answer.dataset import Contents, Quad, quads
from glost.answer.store import liner
from glost.publish.editions.edition import SUMS, sums_of
from glost.record.errors import RecordError, RecordErrors
from glost.record.files import digest
from glost.record.transaction import WORK, FolderChange, Place, changing

MANIFEST = "manifest.json"
"""The file that says what the parts are."""
STATEMENTS = 1_000_000
"""Statements of a part: some 20 MB packed, a few seconds of loading."""

_BELIEVED, _CLAIMS, _NAMELESS = "believed", "claims", "nameless"
_REMEDY = "write them again with glost export --as parts, or fetch them again"


@dataclass(frozen=True, slots=True)
class DatasetPart:
    """A part of a dataset.

    Attributes
    ----------
    file
        Its file.
    holds
        What it holds: ``believed``, ``claims``, ``record``, ``inferred``, ``reckoned``,
        ``vocabulary``, or ``nameless``, whatever speaks of a blank node.
    keeper
        Whose claims these are, where collections are read together; else empty.
    statements, octets
        How many statements, and how many octets it has packed.
    sha256
        The sum of its octets, as hex digits.
    """

    file: str
    holds: str
    keeper: str
    statements: int
    octets: int
    sha256: str


def write_parts(
    contents: Contents,
    target: Path,
    *,
    statements: int = STATEMENTS,
    keepers: Mapping[str, str] | None = None,
) -> tuple[DatasetPart, ...]:
    """Write a dataset in parts, all or none.

    Parameters
    ----------
    contents
        What the dataset is made of.
    target
        A new or empty folder, or one that was written so before.
    statements
        How many statements a part holds at most.
    keepers
        Base IRIs of collections that are read together, by name.

    Returns
    -------
    tuple of DatasetPart
        What was written, by file.

    Raises
    ------
    RecordErrors
        If the folder holds something else. Nothing is then written.
    """
    with changing(Place.within(target), "write the dataset in parts") as change:
        there = {p.name for p in target.iterdir() if not p.name.startswith(WORK)}
        if there and MANIFEST not in there:
            problem, remedy = "the folder holds something else", "name a new or empty folder"
            raise RecordErrors([RecordError(str(target), problem, remedy)])
        parts = _written(contents, change, statements, keepers or {})
        about = {
            "base": contents.base,
            "format": "application/n-quads",
            "packed": "gzip",
            "statements": sum(part.statements for part in parts),
            "parts": [asdict(part) for part in parts],
        }
        change.put(MANIFEST, json.dumps(about, indent=2) + "\n")
        named = {MANIFEST, SUMS, *(part.file for part in parts)}
        told = sums_of([*((p.file, p.sha256) for p in parts), (MANIFEST, _sum(change, MANIFEST))])
        change.put(SUMS, told)
        for name in sorted(there - named):
            change.drop(name)
        change.commit()
    return parts


def _sum(change: FolderChange, file: str) -> str:
    return digest(change.staged(file)) or ""


def _written(
    contents: Contents, change: FolderChange, most: int, keepers: Mapping[str, str]
) -> tuple[DatasetPart, ...]:
    """Write the parts where a change has them until it counts."""
    shelves: dict[tuple[str, str], _Shelf] = {}
    line = liner()
    try:
        for (holds, keeper), quad in _sorted_out(contents, keepers):
            shelf = shelves.get((holds, keeper))
            if shelf is None:
                for each in shelves.values():  # of a thousand keepers not all are kept open
                    if each.holds == _CLAIMS:
                        each.close()
                limit = 0 if holds == _NAMELESS else most
                shelf = shelves[holds, keeper] = _Shelf(holds, keeper, limit, change)
            shelf.put(line(quad).encode())
    finally:
        for each in shelves.values():
            each.close()
    parts = [part for shelf in shelves.values() for part in shelf.parts]
    for part in parts:
        change.adopt(part.file, part.sha256)
    return tuple(sorted(parts, key=lambda part: part.file))


def _sorted_out(
    contents: Contents, keepers: Mapping[str, str]
) -> Iterator[tuple[tuple[str, str], Quad]]:
    """Yield every statement with what it is part of, and whose."""
    others = {name: str(name).removeprefix(contents.base) for name in contents.named}
    kinds: dict[URIRef | None, tuple[str, str]] = {None: (_BELIEVED, "")}
    for name, kind in others.items():
        kinds[name] = (kind if kind in contents.others else "vocabulary", "")
    bases = {base: name for name, base in keepers.items()}
    for quad in quads(contents):
        if isinstance(quad[0], BNode) or isinstance(quad[2], BNode):
            yield (_NAMELESS, ""), quad
        elif quad[3] in kinds:
            yield kinds[quad[3]], quad
        else:
            yield (_CLAIMS, bases.get(str(quad[3]).partition("claim/")[0], "")), quad


@dataclass
class _Shelf:
    """The parts of one kind and one keeper; the last of them may be open."""

    holds: str
    keeper: str
    most: int
    change: FolderChange
    parts: list[DatasetPart] = field(default_factory=list)
    _count: int = 0
    _path: Path = Path()
    _raw: IO[bytes] | None = None
    _packing: gzip.GzipFile | None = None

    def put(self, line: bytes) -> None:
        """Write a statement."""
        if self._count == self.most and self.most:
            self.close()
        if self._packing is None:
            words = "-".join(word for word in (self.holds, self.keeper) if word)
            self._path = self.change.staged(f"{words}-{len(self.parts) + 1:04}.nq.gz")
            self._path.parent.mkdir(parents=True, exist_ok=True)
            self._raw = self._path.open("wb")
            self._packing = gzip.GzipFile("", "wb", mtime=0, fileobj=self._raw)
        self._packing.write(line)
        self._count += 1

    def close(self) -> None:
        """Complete the part that is open, and bring it to the disk."""
        if self._packing is None or self._raw is None:
            return
        self._packing.close()
        self._raw.flush()
        os.fsync(self._raw.fileno())
        self._raw.close()
        sum_, size = digest(self._path) or "", self._path.stat().st_size
        self.parts.append(
            DatasetPart(self._path.name, self.holds, self.keeper, self._count, size, sum_)
        )
        self._packing, self._raw, self._count = None, None, 0


# -- a copy ----------------------------------------------------------------------------------------


def prove_parts(folder: Path) -> tuple[int, tuple[RecordError, ...]]:
    """Look at every octet of a dataset in parts.

    Returns
    -------
    tuple
        How many statements it should have, and what is not as it was written.
    """
    try:
        about = json.loads((folder / MANIFEST).read_bytes())
        parts = tuple(DatasetPart(**part) for part in about["parts"])
        told = sums_of(
            [*((p.file, p.sha256) for p in parts), (MANIFEST, digest(folder / MANIFEST) or "")]
        )
        same = (folder / SUMS).read_text(encoding="utf-8") == told
        total = int(about["statements"])
    except (OSError, ValueError, TypeError, KeyError, UnicodeDecodeError):
        return 0, (RecordError(str(folder / MANIFEST), "it cannot be read", _REMEDY),)
    faults = [] if same else [(SUMS, f"it does not say what {MANIFEST} says")]
    for part in parts:
        if Path(part.file).name != part.file:
            faults.append((MANIFEST, f"it names {part.file[:80]!r}, which is not beside it"))
        elif digest(folder / part.file) != part.sha256:
            there = (folder / part.file).exists()
            faults.append((part.file, "it is not as written" if there else "it is not there"))
    if total != sum(part.statements for part in parts):
        faults.append((MANIFEST, "its numbers of statements do not add up"))
    errors = tuple(RecordError(str(folder / file), fault, _REMEDY) for file, fault in faults)
    return total, errors
