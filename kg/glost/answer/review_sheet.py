"""Candidates as a spreadsheet that is filled in and read back.

A row for each candidate, the most uncertain first, with what speaks for and against it and what is
recorded of either. A person fills in ``answer`` (yes, no, later), and if they like ``certainty``,
``evidence`` and ``note``; rows left empty say nothing.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from rdflib import URIRef

from glost.answer.review import PairAnswer, Reviewed, ReviewPair, Sitting, drafted
from glost.record.errors import RecordError, RecordErrors, quoted, suggestion
from glost.record.record import Record
from glost.record.sheets import read_rows
from glost.record.spreadsheets import guarded
from glost.record.writing import delimited
from glost.trade.linking.candidates import worded
from glost.trade.linking.links import Links, Standing, links_in

GIVEN = (
    *("one", "other", "probability", "why", "would_decide"),
    *("one_says", "other_says", "one_iri", "other_iri"),
)
"""Columns that are given."""

FILLED = ("answer", "certainty", "evidence", "note")
"""Columns that a person fills in."""

_NEEDED = ("answer", "one_iri", "other_iri")


@dataclass(frozen=True, slots=True)
class SheetReviewed:
    """What a filled-in sheet says.

    Attributes
    ----------
    said
        The answers that are new.
    known
        How many say what is on record already.
    empty
        How many rows were left empty.
    """

    said: tuple[Reviewed, ...]
    known: int
    empty: int


def sheet(candidates: Iterable[ReviewPair]) -> str:
    """Write candidates as CSV (RFC 4180), no cell of which a spreadsheet program would run.

    Parameters
    ----------
    candidates
        The candidates, in the order in which they are to be looked at.
    """
    rows = [
        [
            *("", "", "", "", each.one.name, each.other.name, f"{each.match.probability:.2f}"),
            *(each.why, "; ".join(worded()[c] for c in each.match.deciding)),
            *("\n".join(one.says) for one in (each.one, each.other)),
            *(str(each.match.one), str(each.match.other)),
        ]
        for each in candidates
    ]
    return delimited([[*FILLED, *GIVEN], *([guarded(cell) for cell in row] for row in rows)])


def read_back(record: Record, path: Path, sitting: Sitting) -> SheetReviewed:
    """Read a filled-in sheet.

    Parameters
    ----------
    record
        The collection that the answers are to be entered into.
    path
        The sheet: CSV, parted by commas, semicolons or tabs, or a workbook.
    sitting
        Who filled it in, when, and on what source.

    Raises
    ------
    RecordErrors
        With everything that is wrong, cell by cell; nothing has then been entered.
    """
    errors: list[RecordError] = []
    rows = read_rows(path, errors)
    header = [cell.casefold().replace(" ", "_") for cell in rows[0]] if rows else []
    errors += _header(path.name, header)
    if errors:
        raise RecordErrors(errors)
    links = links_in(record.believed())
    said: list[Reviewed] = []
    places: list[int] = []
    seen: dict[frozenset[str], tuple[int, str]] = {}
    known = empty = 0
    for number, cells in enumerate(rows[1:], 2):
        row = dict(zip(header, cells, strict=False))
        if not row.get("answer"):
            empty += any(cells)
            errors += _unanswered(path.name, number, row)
            continue
        wrong = [*_misread(path.name, number, row), *_again(path.name, number, row, seen)]
        errors += wrong
        if wrong:
            continue
        one = Reviewed(
            URIRef(row["one_iri"]), URIRef(row["other_iri"]), PairAnswer(row["answer"].casefold()),
            row.get("evidence", "") or row.get("why", ""), row.get("certainty", ""),
            row.get("note", ""),
        )  # fmt: skip
        against = _against(path.name, number, one, links)
        if against is not None:
            errors.append(against)
        elif _is_known(one, links):
            known += 1
        else:
            said.append(one)
            places.append(number)
    errors += _unfit(record, path.name, said, places, sitting)
    if errors:
        raise RecordErrors(errors)
    return SheetReviewed(tuple(said), known, empty)


def _header(file: str, header: Sequence[str]) -> Iterable[RecordError]:
    known = (*FILLED, *GIVEN)
    if not header:
        yield RecordError(file, "the sheet is empty", "make one with: glost review --sheet", 1)
        return
    for name in _NEEDED:
        if name not in header:
            remedy = "leave the header as it was made"
            yield RecordError(file, f'there is no column "{name}"', remedy, 1, name)
    for name in header:
        if name and name not in known:
            remedy = suggestion(name, known, f"columns are {', '.join(known)}")
            yield RecordError(file, f"{quoted(name)} is no column", remedy, 1, name)
    for name in sorted({name for name in header if name and header.count(name) > 1}):
        yield RecordError(file, f"the column {name} stands twice", "take one out", 1, name)


def _unanswered(file: str, number: int, row: Mapping[str, str]) -> Iterable[RecordError]:
    """Find what is said of a pair that is not answered: it would be lost."""
    for name in FILLED[1:]:
        if row.get(name):
            remedy = "answer yes, no or later, or empty the cell"
            yield RecordError(file, "the row has no answer", remedy, number, name, row[name])


def _misread(file: str, number: int, row: Mapping[str, str]) -> Iterable[RecordError]:
    answers = [str(each) for each in PairAnswer]
    given = row["answer"]
    if given.casefold() not in answers:
        remedy = suggestion(given, answers, f"write {', '.join(answers)}, or leave it empty")
        message = f"{quoted(given)} is no answer"
        yield RecordError(file, message, remedy, number, "answer", given)
    for name in ("one_iri", "other_iri"):
        if not row.get(name, "").startswith(("http://", "https://")):
            message = f"{quoted(row.get(name, ''))} is no IRI"
            remedy = "leave the cell as it was made"
            yield RecordError(file, message, remedy, number, name, row.get(name, ""))


def _again(
    file: str, number: int, row: Mapping[str, str], seen: dict[frozenset[str], tuple[int, str]]
) -> Iterable[RecordError]:
    """Find a pair that is answered twice in one sheet."""
    pair = frozenset((row.get("one_iri", ""), row.get("other_iri", "")))
    if pair in seen:
        first, answer = seen[pair]
        message = f"the same pair is answered {answer} in row {first}"
        yield RecordError(file, message, "answer it once", number, "answer", row["answer"])
    seen.setdefault(pair, (number, row["answer"]))


def _against(file: str, number: int, said: Reviewed, links: Links) -> RecordError | None:
    """Find an answer that is against what has been decided since the sheet was made."""
    standing = links.standing(said.one, said.other)
    decided = {Standing.ACCEPTED: PairAnswer.YES, Standing.REJECTED: PairAnswer.NO}.get(standing)
    if standing is not Standing.DISPUTED and decided in (None, said.answer):
        return None
    ids = [claim.id for link in links.between(said.one, said.other) for claim in link.claims]
    message = f"the pair is {standing} already, by {', '.join(sorted(ids))}"
    remedy = "correct that with glost correct, or empty the cell"
    return RecordError(file, message, remedy, number, "answer", str(said.answer))


def _is_known(said: Reviewed, links: Links) -> bool:
    kinds = {link.kind for link in links.between(said.one, said.other)}
    return said.answer.kind in kinds


def _unfit(
    record: Record, file: str, said: Sequence[Reviewed], places: Sequence[int], sitting: Sitting
) -> Iterable[RecordError]:
    """Find what the reader would refuse, at the cells of the sheet."""
    names = {"one": "one_iri", "one_elsewhere": "one_iri", "other": "other_iri",
             "other_elsewhere": "other_iri"}  # fmt: skip
    for error in drafted(record, said, sitting).errors:
        ours = error.file.endswith("links.csv")
        number = places[error.row - 1] if ours and error.row else 0
        column = names.get(error.column, error.column) if ours else ""
        yield RecordError(file, error.message, error.remedy, number, column, error.found)
