"""The editions of a collection on its site: their files, a list, and a page of each to cite."""

import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from glost.publish.editions.edition import (
    DATASET,
    FOLDER,
    PATCH,
    SIGNATURE,
    SUMS,
    TABLES,
    WORDS,
    Edition,
    editions,
)
from glost.publish.site.frame import PageFrame, fill

_TOLD = {
    DATASET: "every statement, as canonical N-Quads (RDFC-1.0), packed with gzip",
    TABLES: "the collection's own files",
    PATCH: "what changed since the edition before, as an RDF Patch",
    WORDS: "the same in words",
    SUMS: "the sums of these files",
    SIGNATURE: "the keeper's signature of the sums, by OpenSSH",
}
_ROW = re.compile(r"(#{2} |- | {4}- )?(.*)")


class Changes(NamedTuple):
    """A heading of what changed, with its lines; each has lines of its own."""

    heading: str
    lines: list[tuple[str, list[str]]]


def edition_files(collection: Path, frame: PageFrame) -> Iterator[tuple[str, bytes]]:
    """Yield the files of each edition as they are, and pages on them; nothing if there are none."""
    found = editions(collection)
    for each in found:
        folder = collection / FOLDER / each.name
        for path in sorted(folder.iterdir()):
            if path.is_file():
                yield f"{FOLDER}/{each.name}/{path.name}", path.read_bytes()
        yield _page(each, folder, frame)
    if found:
        cited = [(each, cite(each, frame)) for each in reversed(found)]
        yield fill("editions.html", f"{FOLDER}/index.html", frame, title="Editions",
                   section="Data", editions=cited)  # fmt: skip


def cite(edition: Edition, frame: PageFrame) -> str:
    """Return how an edition is cited: who published it, what, which, when and where it is."""
    who = f"{frame.publisher}. " if frame.publisher else ""
    return f"{who}{edition.title}, edition {edition.name} ({edition.day}). {edition.iri}"


def _page(edition: Edition, folder: Path, frame: PageFrame) -> tuple[str, bytes]:
    there = {path.name: path.stat().st_size for path in folder.iterdir()}
    files = [(name, told, there[name]) for name, told in _TOLD.items() if name in there]
    lines = (folder / WORDS).read_text(encoding="utf-8").splitlines()
    return fill(
        "edition.html",
        f"{FOLDER}/{edition.name}/index.html",
        frame,
        title=f"Edition {edition.name}",
        section="Data",
        edition=edition,
        cited=cite(edition, frame),
        files=files,
        changes=_changes(lines),
    )


def _changes(lines: Sequence[str]) -> list[Changes]:
    """Read what changed as `glost.publish.editions.making` wrote it in Markdown."""
    found: list[Changes] = []
    for line in lines:
        row = _ROW.fullmatch(line)
        assert row is not None  # the pattern fits any line
        mark, text = row[1], row[2]
        if mark == "## ":
            found.append(Changes(text.rstrip(":"), []))
        elif found and mark == "- ":
            found[-1].lines.append((text.replace("`", ""), []))
        elif found and mark and found[-1].lines:
            found[-1].lines[-1][1].append(text)
    return found
