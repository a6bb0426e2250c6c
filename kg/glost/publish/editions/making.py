"""An edition made of a collection as it is, and what changed in it since the one before."""

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from hashlib import sha256
from itertools import groupby
from operator import attrgetter
from pathlib import Path
from tempfile import TemporaryDirectory

from glost import __version__
from glost.answer.affected import FATES
from glost.answer.consequences import Consequences
from glost.answer.dataset import unsorted
from glost.answer.snapshot import Snapshot
from glost.answer.workspace import Workspace
from glost.publish.editions.canonical import digest_of, lines_of, packed
from glost.publish.editions.edition import (
    ABOUT,
    DATASET,
    FOLDER,
    NAMED,
    PATCH,
    SIGNATURE,
    SUMS,
    TABLES,
    WORDS,
    Edition,
    editions,
    sums_of,
)
from glost.publish.editions.packing import opened, pack
from glost.publish.editions.patch import patch
from glost.publish.editions.proving import lines, sign
from glost.record.changes import between
from glost.record.errors import RecordError, RecordErrors, quoted
from glost.record.files import digest, fingerprint
from glost.record.transaction import Place, changing

_MOST = 200
"""Rows of changed answers to one question that are written out."""


def make(
    snapshot: Snapshot, name: str, day: date, note: str = "", key: Path | None = None
) -> Edition:
    """Make an edition of a collection as it stands, in its folder ``editions``.

    Parameters
    ----------
    snapshot
        The collection, without a day to go back to.
    name
        The edition's name.
    day
        The day it is made, not before that of the last.
    note
        What its keeper says of it.
    key
        A private key to sign it with; None to leave it unsigned.

    Raises
    ------
    RecordErrors
        If the name cannot be one or is taken, if nothing changed since the last edition, or if
        the collection's files changed meanwhile. Nothing is then written.
    """
    collection = snapshot.path
    state, earlier = fingerprint(collection), editions(collection)
    last = earlier[-1] if earlier else None
    _check(collection, name, day, earlier)
    snapshot.progress("statements")
    now = lines_of(unsorted(snapshot.contents))
    edition = _described(snapshot, name, day, now, last, note)
    if last is not None and last.digest == edition.digest:
        problem = f"nothing has changed since the edition {quoted(last.name)}"
        raise _refused(collection, problem, "make one when there is something new")
    files: dict[str, bytes] = {
        ABOUT: edition.written().encode(),
        DATASET: packed(now),
        TABLES: pack(collection),
    }
    if last is not None:
        before = lines(collection / FOLDER / last.name)
        files[PATCH] = patch(before, now, of=last.digest, gives=edition.digest).encode()
    snapshot.progress("what changed")
    files[WORDS] = "\n".join([*_changes(snapshot, edition, last), ""]).encode()
    _write(collection, name, files, key, state)
    return edition


def _check(collection: Path, name: str, day: date, earlier: Sequence[Edition]) -> None:
    if not NAMED.fullmatch(name):
        problem = f"{quoted(name)} cannot be the name of an edition"
        remedy = "use letters, figures, points, hyphens and underscores, such as 2026.1"
        raise _refused(collection, problem, remedy)
    if name.lower() in {each.name.lower() for each in earlier}:
        problem = f"there is an edition {quoted(name)} already"
        raise _refused(collection, problem, "an edition is never changed; give another name")
    if earlier and day.isoformat() < earlier[-1].day:
        problem = f"{day} is before the last edition, which is of {earlier[-1].day}"
        raise _refused(collection, problem, "give a day that is not before it with --on")


def _refused(collection: Path, problem: str, remedy: str) -> RecordErrors:
    return RecordErrors([RecordError(str(collection / FOLDER), problem, remedy)])


def _described(
    snapshot: Snapshot, name: str, day: date, now: Sequence[str], last: Edition | None, note: str
) -> Edition:
    settings, folder = snapshot.record.collection, snapshot.path / FOLDER
    return Edition(
        name=name,
        day=day.isoformat(),
        base=settings.base,
        title=settings.title,
        statements=len(now),
        claims=len(snapshot.record.claims),
        sources=len({claim.passage.source for claim in snapshot.record.claims}),
        digest=digest_of(now),
        program=__version__,
        previous="" if last is None else last.name,
        previous_sums="" if last is None else digest(folder / last.name / SUMS) or "",
        note=note,
    )


def _write(
    collection: Path, name: str, files: dict[str, bytes], key: Path | None, state: str
) -> None:
    """Write an edition's files, all or none, if the collection is still what they were made of."""
    sums = sums_of((file, sha256(content).hexdigest()) for file, content in files.items()).encode()
    files = {**files, SUMS: sums}
    if key is not None:
        with TemporaryDirectory() as place:
            (Path(place) / SUMS).write_bytes(sums)
            files[SIGNATURE] = sign(Path(place) / SUMS, key)
    with changing(Place.within(collection), "make an edition") as change:
        if fingerprint(collection) != state:
            problem = "the collection changed while the edition was made"
            raise _refused(collection, problem, "run it again; nothing was written")
        for file, content in files.items():
            change.put(f"{FOLDER}/{name}/{file}", content)
        change.commit()


def _changes(snapshot: Snapshot, edition: Edition, last: Edition | None) -> Iterator[str]:
    """Say in Markdown what an edition changes."""
    yield f"# {edition.title}, edition {edition.name}, {edition.day}"
    if edition.note:
        yield from ("", edition.note)
    yield ""
    if last is None:
        yield (
            f"The first edition: {edition.claims:,} claims from {edition.sources:,} sources, "
            f"{edition.statements:,} statements with all that follows."
        )
        return
    yield from changes(snapshot, last)


def changes(snapshot: Snapshot, since: Edition) -> Iterator[str]:
    """Say in Markdown, line by line, what changed in a collection since one of its editions.

    Parameters
    ----------
    snapshot
        The collection as it is.
    since
        The edition.

    Raises
    ------
    RecordErrors
        If the edition's files are not what its sums say.
    """
    yield f"Changes since the edition {since.name} of {since.day}."
    with opened(snapshot.path, since.name) as place:
        workspace = Workspace(Snapshot(place))
        found = workspace.apply(between(workspace.record, snapshot.record))
        for line in found.lines():
            yield from (f"- {line.strip()}",) if line.startswith(" ") else ("", f"## {line}", "")
        yield from ("", "## Answers that changed", "")
        yield from _answers(found, workspace.snapshot)


def _answers(found: Consequences, now: Snapshot) -> Iterator[str]:
    """Say which answers changed to questions that are asked of nothing in particular.

    One that is asked of a year or a thing changes with the dates and claims told above.
    """
    some = False
    whole = (each for each in found.coming() if not each.parameters)
    for question, answers in groupby(whole, key=attrgetter("question")):
        rows = list(answers)
        counts = Counter(each.fate for each in rows)
        told = ", ".join(f"{counts[fate]} {words}" for fate, words in FATES.items() if counts[fate])
        yield f"- `{question}`: {told}"
        some = True
        for each in rows[:_MOST]:
            yield f"    - {FATES[each.fate]}: {found.answer(each, now.words)}"
        if len(rows) > _MOST:
            yield f"    - and {len(rows) - _MOST} more"
    if not some:
        yield "None."
