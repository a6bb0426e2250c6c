"""A collection read whole: its settings, every claim, and what reading it brought to light."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from pathlib import Path
from urllib.parse import unquote

import polars as pl
from rdflib import URIRef

from glost.findings import Finding, Severity, Side
from glost.record.belief import Belief, believe
from glost.record.cells import Index
from glost.record.checking import (
    check_claim_references,
    check_says_something,
    check_sheet,
    described,
    own_schemes,
    shared_ids,
    source_iris,
)
from glost.record.claims import Claim
from glost.record.collection import Collection, read_collection, read_own_settings
from glost.record.corrections import errors_in
from glost.record.errors import RecordError, RecordErrors, nearest
from glost.record.files import fingerprint, stamp, table_files, trig_files
from glost.record.fitting import Fitter
from glost.record.index import ClaimIndex
from glost.record.oddities import odd_claims, odd_findings
from glost.record.rows import ClaimRows, RowReader, Rows, content_ids
from glost.record.schemes import TermScheme
from glost.record.sequence import ClaimSequence
from glost.record.sheets import DELIMITED, PARQUET, ROW, WORKBOOK, TableSheet, read_sheets
from glost.record.transaction import Place, settle
from glost.record.trig import Written, read_trig

Progress = Callable[[str], None]
"""Told what is being read; does nothing unless a caller shows it."""


_TRIES = 5
"""Times that files are read which change meanwhile."""


def silent(_: str) -> None:
    """Tell nobody what is being read."""


@dataclass(frozen=True)
class Record:
    """Everything a collection says.

    Attributes
    ----------
    collection
        Its settings.
    claims
        Every claim, current or withdrawn, sorted by IRI.
    ids
        Ids that are described, by kind.
    schemes
        Concept schemes in force, the collection's own terms included.
    findings
        What reading brought to light that is not an error: rows that say the same thing twice, a
        change cut short that was finished or undone.
    state
        What tells the files it was read from from every other state of them; see
        `glost.record.files.fingerprint`. Empty if it was not read from files.
    own, members
        Where collections are read together: what the collection itself holds, and each of the
        others whole, by name. `claims` are then those of all, `ids` and `schemes` the own.
    made
        What was made of it once and is kept with it.
    """

    collection: Collection
    claims: ClaimSequence
    ids: Mapping[str, frozenset[str]]
    schemes: Mapping[str, TermScheme]
    findings: tuple[Finding, ...] = ()
    state: str = ""
    own: "Record | None" = None
    members: Mapping[str, "Record"] = field(default_factory=dict)
    _beliefs: dict[date | None, Belief] = field(default_factory=dict, repr=False)
    made: dict[str, object] = field(init=False, default_factory=dict, repr=False, compare=False)

    @property
    def base(self) -> str:
        """The base IRI."""
        return self.collection.base

    def believed(self, as_of: date | None = None) -> Belief:
        """Return what is believed, as of a day (inclusive) or of all there is."""
        if as_of not in self._beliefs:
            self._beliefs[as_of] = believe(self.claims, as_of)
        return self._beliefs[as_of]

    @cached_property
    def index(self) -> ClaimIndex:
        """What all claims state, withdrawn ones too, and which of them state it."""
        return ClaimIndex(self.claims)

    def claim(self, name: str) -> Claim | None:
        """Find a claim by id or IRI."""
        return self.collection.claim(name, self.claims.find)

    def speaking_of(
        self, thing: URIRef, as_of: date | None = None
    ) -> tuple[list[Claim], list[Claim]]:
        """Return the claims about a thing, and those that name it, withdrawn ones included.

        Parameters
        ----------
        thing
            The thing, or a claim, which is the only one about itself.
        as_of
            The last day on which they may have been recorded, inclusive.
        """
        day = as_of.isoformat() if as_of else "9999"
        itself = self.claims.only([thing])
        if itself:
            return [claim for claim in itself if claim.recorded_on <= day], []
        own = self.index.making(self.index.of(thing))
        resting = (claim for claim in self.claims if claim.passage.source == thing)
        named = {claim.iri: claim for claim in (*self.index.making(self.index.to(thing)), *resting)}
        others = (named[iri] for iri in sorted(named.keys() - {claim.iri for claim in own}))
        return (
            [claim for claim in own if claim.recorded_on <= day],
            [claim for claim in others if claim.recorded_on <= day],
        )


@dataclass(frozen=True, slots=True)
class _Checked:
    sheet: TableSheet
    rows: Rows
    ids: pl.Series
    contents: pl.Series
    sources: pl.Series


def read(path: Path | str, progress: Progress = silent) -> Record:
    """Read a collection, and those that are read together with it.

    Parameters
    ----------
    path
        Its folder: ``collection.toml``, ``tables/``, and TriG files beside them.
    progress
        Told the name of each file as it is read.

    Returns
    -------
    Record
        Its claims, each with the passage it rests on.

    Raises
    ------
    RecordErrors
        With everything that is wrong in any of its files, if anything is; or if they change
        again and again while they are read.
    """
    own = read_alone(path, progress)
    if not own.collection.together:
        return own
    from glost.record.partitioned import each
    from glost.record.together import laid

    collection = read_collection(Path(path))
    members = {}
    errors: list[RecordError] = []
    paths = [member.collection.path for member in collection.members]
    for member, found in zip(collection.members, each(read_or_errors, paths), strict=True):
        progress(member.name)
        if isinstance(found, Record):
            members[member.name] = found
        else:
            errors.extend(e.of(member.name) for e in found)
    if errors:
        raise RecordErrors(errors)
    return laid(replace(own, collection=collection), members)


def read_or_errors(path: Path) -> "Record | tuple[RecordError, ...]":
    """Read what a collection itself holds, or return what is wrong with it; see `read_alone`."""
    try:
        return read_alone(path)
    except RecordErrors as bad:
        return bad.errors


def read_alone(path: Path | str, progress: Progress = silent) -> Record:
    """Read what a collection itself holds, and none that is read together with it; see `read`."""
    top = Path(path)
    place = Place.within(top)
    settled = ""
    for _ in range(_TRIES):
        settled = settle(place) or settled
        before = stamp(top)
        try:
            record = _read(top, progress, settled)
        except (RecordErrors, OSError):
            if stamp(top) == before and not place.journal.exists():
                raise
            continue
        if stamp(top) == before and not place.journal.exists():
            return record
    remedy = "wait until whatever writes there has done, then do the same again"
    raise RecordErrors([RecordError(str(top), "its files change while they are read", remedy)])


def _read(top: Path, progress: Progress, settled: str) -> Record:
    collection = read_own_settings(top)
    state = fingerprint(top)
    errors: list[RecordError] = []
    sheets, written = _files(collection, errors, progress)
    schemes = own_schemes(sheets, collection.base)
    index = _index(sheets, written, schemes, collection)
    errors.extend(shared_ids(index.ids))
    checked = [_check(sheet, index, collection, errors) for sheet in sheets]
    fitter = Fitter(collection.base, schemes)
    given = [c for file in written for c in file.claims(fitter, errors)]
    errors.extend(_undescribed(written, index, collection.base))
    known = frozenset([*(name for each in checked for name in each.ids), *(c.id for c in given)])
    index = Index(index.ids, known, schemes)
    for each in checked:
        check_claim_references(each.sheet, each.rows.frame, index, errors)
    findings = _repeats(checked, given, collection, errors)
    if errors:
        raise RecordErrors(errors)
    sheets_of_claims = [
        ClaimRows(each.rows, each.ids, each.sources, collection.base, schemes["certainty"].iris)
        for each in checked
    ]
    findings.extend(odd_findings(sheets_of_claims))
    findings.extend(odd_claims(given))
    made = ClaimSequence.of(sheets_of_claims, given)
    errors.extend(errors_in(made))
    if errors:
        raise RecordErrors(errors)
    findings += [Finding("change-cut-short", Severity.NOTE, (), settled)] if settled else []
    return Record(collection, made, index.ids, schemes, tuple(findings), state)


def _files(
    collection: Collection, errors: list[RecordError], progress: Progress
) -> tuple[list[TableSheet], list[Written]]:
    top = collection.path
    sheets: list[TableSheet] = []
    written: list[Written] = []
    for path in table_files(top):
        file = path.relative_to(top).as_posix()
        if path.suffix.lower() not in DELIMITED | WORKBOOK | PARQUET:
            remedy = "save it as .csv or .xlsx, or move it out of tables/"
            errors.append(RecordError(file, "this is not a table", remedy))
            continue
        progress(file)
        sheets.extend(read_sheets(top, path, errors))
    for path in trig_files(top):
        progress(path.name)
        written.append(read_trig(top, path, collection.base, errors))
    if not sheets and not written and not errors and not collection.together:
        remedy = "put tables into tables/, or start with: glost new FOLDER"
        errors.append(RecordError("tables", "the collection holds no table", remedy))
    return sheets, written


def _index(
    sheets: list[TableSheet],
    written: list[Written],
    schemes: Mapping[str, TermScheme],
    collection: Collection,
) -> Index:
    base = collection.base
    subjects = {thing for file in written for thing in file.subjects(base)}
    named = {thing for file in written for _, thing in file.objects(base)}
    return Index(described(sheets, subjects, named), frozenset(), schemes)


def _check(
    sheet: TableSheet, index: Index, collection: Collection, errors: list[RecordError]
) -> _Checked:
    frame = check_sheet(sheet, index, errors)
    check_says_something(sheet, errors)
    expander = RowReader.of(sheet.table, collection.base, index.schemes)
    contents = ids = content_ids(sheet.table, frame)
    if "claim" in frame.columns:
        named = frame["claim"]
        ids = frame.select(pl.when(named == "").then(contents).otherwise(named).alias("id"))["id"]
    sources = source_iris(sheet.table, frame, index.ids, collection.base)
    origin = sheet.origin or sheet.file
    return _Checked(sheet, Rows(origin, frame, expander), ids, contents, sources)


def _undescribed(written: Iterable[Written], index: Index, base: str) -> Iterable[RecordError]:
    for file in written:
        for claim, thing in file.objects(base):
            kind, _, name = unquote(thing).partition("/")
            if kind == "claim" or name in index.ids.get(kind, ()):
                continue
            near = nearest(name, index.ids.get(kind, ()))
            remedy = f'did you mean "{kind}/{near}"?' if near else "describe it"
            message = f'nothing describes "{thing}"'
            yield RecordError(file.file, message, remedy, iri=claim, found=thing)


def _repeats(
    checked: Sequence[_Checked],
    given: Sequence[Claim],
    collection: Collection,
    errors: list[RecordError],
) -> list[Finding]:
    """Find claim ids borne twice: an error, unless the two rows say the very same."""
    found, errors_here = _rows_twice(checked, collection)
    errors.extend(errors_here)
    if given:
        errors.extend(_also_written(checked, given))
    return found


def _rows_twice(
    checked: Sequence[_Checked], collection: Collection
) -> tuple[list[Finding], list[RecordError]]:
    frames = [
        pl.DataFrame(
            {"id": each.ids, "content": each.contents, "row": each.rows.frame[ROW]}
        ).with_columns(file=pl.lit(each.rows.file))
        for each in checked
    ]
    findings: list[Finding] = []
    errors: list[RecordError] = []
    if not frames:
        return findings, errors
    first: dict[str, tuple[str, int, str]] = {}
    borne = pl.concat(frames)
    for name, content, row, file in borne.filter(pl.col("id").is_duplicated()).iter_rows():
        if name not in first:
            first[name] = (file, row, content)
            continue
        other_file, other, same = first[name]
        if same == content:
            findings.append(_repeat(name, collection, (other_file, other), (file, row)))
        else:
            message = f'the claim id "{name}" is also that of {other_file} row {other}'
            remedy = "give one of them another id, or leave it empty"
            errors.append(RecordError(file, message, remedy, row, "claim", name))
    return findings, errors


def _also_written(checked: Iterable[_Checked], given: Iterable[Claim]) -> Iterable[RecordError]:
    """Find claims in TriG that bear the id of a row."""
    written = {claim.id: claim for claim in given}
    for each in checked:
        rows = pl.DataFrame({"id": each.ids, "row": each.rows.frame[ROW]})
        for name, row in rows.filter(pl.col("id").is_in(sorted(written))).iter_rows():
            claim = written.pop(name, None)
            if claim is not None:
                message = f'the claim id "{name}" is also that of {each.sheet.file} row {row}'
                remedy = "name one otherwise"
                yield RecordError(claim.origin.file, message, remedy, iri=str(claim.iri))


def _repeat(
    name: str, collection: Collection, first: tuple[str, int], second: tuple[str, int]
) -> Finding:
    iri = f"{collection.base}claim/{name}"
    places = [f"{file} row {row}" for file, row in (first, second)]
    return Finding(
        kind="same-row-twice",
        severity=Severity.NOTE,
        about=(iri,),
        message=f"Two rows say the very same: {places[0]} and {places[1]}.",
        sides=tuple(Side("the same row", iri, "", "", place) for place in places),
        remedy="Delete one of the rows, or say where they differ.",
    )
