"""Changing a collection: seen to do what it says and nothing else, before it counts.

Everything that changes the tables or TriG files of a collection goes through `amend`.
"""

import os
import shutil
from collections.abc import Collection as Some
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

import polars as pl

from glost.record.claims import Claim
from glost.record.errors import RecordError, RecordErrors
from glost.record.files import fingerprint, read_files
from glost.record.record import Record, read_alone
from glost.record.sequence import ClaimSequence
from glost.record.sheets import ROW
from glost.record.together import laid
from glost.record.transaction import FolderChange, Place, changing

_LISTED = 5


class StaleRecordError(RecordErrors):
    """Raised when a collection is no longer as it was when a change of it was made ready.

    Nothing was changed; read the collection again and make the change anew.
    """


def amend(
    record: Record,
    what: str,
    files: Mapping[str, str | bytes | None],
    *,
    added: Some[str],
    removed: Some[str] = (),
) -> Record:
    """FolderChange files of a collection, all or none, and see that only these claims differ.

    Parameters
    ----------
    record
        What the change is based on. If the collection has moved since it was read, the change is
        refused.
    what
        What the change does, in a few words, for whoever has to wait for it or to finish it.
    files
        New content of each file that changes, by its path relative to the collection; None takes
        the file away.
    added
        Ids of the claims that are new with it; one that was there already does no harm.
    removed
        Ids of the claims that are gone with it.

    Returns
    -------
    Record
        The collection as it is now.

    Raises
    ------
    StaleRecordError
        If the collection is no longer what the record was read from.
    RecordErrors
        If what would come of it is no sound collection, or other claims would be new, gone or
        changed; if another is changing the collection. Nothing is then changed.
    OSError
        If it cannot be written; the message says how things stand.
    """
    top, before = record.collection.path, record.own or record
    with changing(Place.within(top), what) as change:
        if fingerprint(top) != record.state:
            raise StaleRecordError([_moved(top)])
        for file, content in files.items():
            if content is None:
                change.drop(file)
            else:
                change.put(file, content)
        after = read_alone(_rehearsal(top, change, files))
        errors = list(differences(before, after, frozenset(added), frozenset(removed), files))
        if errors:
            raise RecordErrors(errors)
        shutil.rmtree(after.collection.path)
        change.commit()
    # What was read is what has been moved into its place; only the folder is another.
    own = replace(after, collection=replace(record.collection, path=top))
    return laid(own, record.members) if record.members else own


def _moved(top: Path) -> RecordError:
    message = "the collection has changed since this change of it was made ready"
    return RecordError(str(top), message, "look at it again, then do the same again")


def _rehearsal(top: Path, change: FolderChange, files: Iterable[str]) -> Path:
    """Lay out what the collection would be, beside the change; it goes when the change goes."""
    stage = change.place.work / "whole"
    known = {path.relative_to(top).as_posix(): path for path in read_files(top)}
    for file in files:
        known.pop(file, None)
        if change.staged(file).exists():
            known[file] = change.staged(file)
    for file, path in known.items():
        (stage / file).parent.mkdir(parents=True, exist_ok=True)
        try:
            os.link(path.resolve(), stage / file)
        except OSError:  # a disk that knows no second names
            shutil.copyfile(path, stage / file)
    return stage


def differences(
    before: Record,
    after: Record,
    added: frozenset[str],
    removed: frozenset[str],
    files: Some[str],
) -> Iterable[RecordError]:
    """Yield what a change does beyond what it says, or does not do.

    Parameters
    ----------
    before, after
        The collection without the change and with it.
    added, removed
        Ids of the claims that are meant to be new, and to be gone.
    files
        The files that change, relative to the collection: claims of others are the same if the
        settings and schemes are.
    """
    old, new = set(before.claims.iris()), set(after.claims.iris())
    base = f"{before.base}claim/"
    meant = {base + name for name in added}, {base + name for name in removed}
    yield from _named("would come up unasked", (new - old) - meant[0])
    yield from _named("would not come up", meant[0] - new)
    yield from _named("would be lost", (old - new) - meant[1])
    yield from _named("would stay", meant[1] & new)
    if before.base != after.base:
        yield RecordError("collection.toml", "the base would change", "nothing was changed")
    if before.schemes == after.schemes:
        touched = {f"{base}{name}" for name in _changed_rows(before, after, files)}
    else:
        touched = old & new
    yield from _named("would be altered", _altered(before.claims, after.claims, touched))


def _named(what: str, iris: set[str]) -> Iterable[RecordError]:
    """Tell of claims a change would do something to that nobody asked for."""
    for iri in sorted(iris)[:_LISTED]:
        message = f"a claim {what} ({len(iris)} in all)" if len(iris) > 1 else f"a claim {what}"
        remedy = "this is a fault of the program; please report it"
        yield RecordError("", message, remedy, iri=iri)


def _changed_rows(before: Record, after: Record, files: Some[str]) -> set[str]:
    """Return the ids of the rows whose cells are not the same before and after, in some files.

    Claims in TriG files that change are among them, whatever they say.
    """
    found: set[str] = set()
    rows = [_rows(record.claims, files) for record in (before, after)]
    for table in rows[0].keys() & rows[1].keys():
        one, two = rows[0][table], rows[1][table]
        names = sorted({*one.columns, *two.columns})
        one, two = (_filled(frame, names) for frame in (one, two))
        both = two.join(one.select("id").unique(), on="id", how="semi")
        found |= set(both.join(one, on=names, how="anti")["id"])
    given = before.claims.parts()[1]
    return found | {before.claims[at].id for at in given if before.claims[at].origin.file in files}


def _rows(claims: ClaimSequence, files: Some[str]) -> dict[str, pl.DataFrame]:
    found: dict[str, list[pl.DataFrame]] = {}
    for sheet in claims.sheets():
        if sheet.rows.file.split("!")[0] in files:
            frame = sheet.rows.frame.drop(ROW).with_columns(
                id=sheet.ids, **{"\x00source": sheet.sources}
            )
            found.setdefault(sheet.table, []).append(frame)
    return {table: pl.concat(frames, how="diagonal") for table, frames in found.items()}


def _filled(frame: pl.DataFrame, names: list[str]) -> pl.DataFrame:
    missing = [pl.lit("").alias(name) for name in names if name not in frame.columns]
    return frame.with_columns(missing).select(pl.col(names).fill_null(""))


def _altered(before: ClaimSequence, after: ClaimSequence, touched: Some[str]) -> set[str]:
    """Return which of some claims are not the same, statements and all."""
    old = {str(claim.iri): claim for claim in before.only(touched)}
    return {
        str(claim.iri)
        for claim in after.only(touched)
        if str(claim.iri) in old and not _same(old[str(claim.iri)], claim)
    }


def _same(one: Claim, other: Claim) -> bool:
    return one == other and set(one.statements) == set(other.statements)
