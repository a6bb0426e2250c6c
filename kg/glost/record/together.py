"""Collections read together: each whole, and its keeper's.

Nothing is copied and nothing is made one: claims stand side by side under the identifiers that
their keepers gave them, and things meet by links alone.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from os.path import relpath
from pathlib import Path

from glost.record.cells import text_fault
from glost.record.claims import Claim, Origin
from glost.record.collection import base_fault, read_members
from glost.record.errors import RecordError, RecordErrors
from glost.record.files import SETTINGS
from glost.record.record import Record
from glost.record.rows import ClaimRows
from glost.record.sequence import ClaimSequence
from glost.record.starting import header
from glost.record.tables import tables
from glost.record.transaction import Place, changing


def laid(own: Record, members: Mapping[str, Record]) -> Record:
    """Lay collections side by side.

    Parameters
    ----------
    own
        What is recorded of all of them together: links, and the sources these rest on.
    members
        The collections, by name. The order does not matter, and one that is given twice counts
        once.

    Returns
    -------
    Record
        All their claims. A claim's origin names the keeper: ``valley: tables/shapes.csv``.
    """
    parts = {record.base: (name, record) for name, record in sorted(members.items(), reverse=True)}
    ordered = sorted(parts.values(), key=lambda part: part[0])
    sheets, given = list(own.claims.sheets()), _given(own)
    findings = list(own.findings)
    for name, record in ordered:
        sheets += [_of(name, sheet) for sheet in record.claims.sheets()]
        given += [replace(claim, origin=_at(name, claim)) for claim in _given(record)]
        findings += [replace(f, message=f"{name}: {f.message}") for f in record.findings]
    return Record(
        own.collection,
        ClaimSequence.of(sheets, given),
        own.ids,
        own.schemes,
        tuple(findings),
        own.state,
        own,
        dict(ordered),
    )


def _given(record: Record) -> list[Claim]:
    """Return the claims that are no rows."""
    return [record.claims[place] for place in record.claims.parts()[1]]


def _of(name: str, sheet: ClaimRows) -> ClaimRows:
    return replace(sheet, rows=replace(sheet.rows, file=f"{name}: {sheet.rows.file}"))


def _at(name: str, claim: Claim) -> Origin:
    return replace(claim.origin, file=f"{name}: {claim.origin.file}")


def begin(path: Path, title: str, base: str, folders: Iterable[Path]) -> tuple[Path, ...]:
    """Start what reads collections together: settings, and tables for what links them.

    Parameters
    ----------
    path
        The folder; made if it is not there.
    title, base
        As for `glost.record.starting.begin`; the base is none of theirs.
    folders
        The folders of the collections. Each is called by its folder's name.

    Returns
    -------
    tuple of Path
        The files written.

    Raises
    ------
    RecordErrors
        If a folder holds no collection, two are called the same, the base is one of theirs, or the
        folder holds a collection already. Nothing is then written.
    """
    errors = []
    if fault := text_fault(title):
        errors.append(RecordError(SETTINGS, f"title: {fault.message}", fault.remedy))
    if message := base_fault(base):
        remedy = "write it like https://example.org/together/"
        errors.append(RecordError(SETTINGS, message, remedy))
    lines: dict[str, str] = {}
    for folder in folders:
        name = "".join(c if c.isascii() and c.isalnum() else "-" for c in folder.resolve().name)
        name = name.casefold().strip("-") or "collection"
        name = name if name[0].isalpha() else f"c-{name}"
        place = Path(relpath(folder.resolve(), path.resolve())).as_posix()
        if lines.get(name, place) != place:
            remedy = "rename a folder, or write both into [together] under names of your own"
            errors.append(RecordError(str(folder), f"another is called {name}", remedy))
        lines[name] = place
    if (path / SETTINGS).exists():
        errors.append(RecordError(SETTINGS, f"{path} already has it", "name another folder"))
    read_members(path, lines, base, errors)
    if errors:
        raise RecordErrors(errors)
    texts = {f"tables/{name}.csv": header(tables()[name]) for name in ("links", "sources")}
    texts[SETTINGS] = _settings(title, base, lines)
    with changing(Place.within(path), "lay collections together") as change:
        for name, text in texts.items():
            change.put(name, text)
        change.commit()
    return tuple(path / name for name in texts)


def _settings(title: str, base: str, lines: Mapping[str, str]) -> str:
    members = "".join(f"{name} = {json.dumps(lines[name])}\n" for name in sorted(lines))
    return (
        f"title = {json.dumps(title, ensure_ascii=False)}\n"
        f"base = {json.dumps(base)}\n"
        "\n"
        "# The collections that are read together, each by a name of your own. Each stays\n"
        "# whole and its keeper's; what links them stands in tables/links.csv here.\n"
        "[together]\n" + members
    )
