"""A record on disk, from which one thing is looked up without reading the rest.

What every claim states, the passage it rests on and what was withdrawn of it are rows of SQLite
tables; `store.sql` says what they hold. Whatever is read is data, and nothing that is read is run.
A store is written once and never changed, so that any number of processes may read it.
"""

import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Set
from contextlib import closing
from datetime import date
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from rdflib import BNode, Graph, Literal, URIRef
from rdflib.graph import ReadOnlyGraphAggregate
from rdflib.store import Store
from rdflib.term import Node

from glost.names import bind
from glost.record.belief import Belief, CorrectedPart
from glost.record.claims import Claim, Origin, Passage, Triple

if TYPE_CHECKING:
    from glost.record.collection import Collection
    from glost.record.columns import StatementTable
    from glost.record.record import Record
    from glost.record.sequence import ClaimSequence


class Recorded(Protocol):
    """What looking up things and claims needs of a record, read from its files or from a store."""

    @property
    def collection(self) -> "Collection":
        """Its settings."""

    @property
    def base(self) -> str:
        """The base IRI."""

    @property
    def ids(self) -> Mapping[str, Set[str]]:
        """Ids that are described, by kind."""

    @property
    def made(self) -> dict[str, object]:
        """What was made of it once and is kept with it."""

    def claim(self, name: str) -> Claim | None:
        """Find a claim by id or IRI."""

    def believed(self, as_of: date | None = None) -> Belief:
        """Return what is believed, as of a day (inclusive) or of all there is."""

    def speaking_of(
        self, thing: URIRef, as_of: date | None = None
    ) -> tuple[list[Claim], list[Claim]]:
        """Return the claims about a thing, and those that name it, withdrawn ones included."""


# -- writing -------------------------------------------------------------------------------------


def write(
    record: "Record",
    path: Path,
    as_of: date | None = None,
    vocabulary: Iterable[Triple] = (),
    called: Mapping[str, Iterable[str]] | None = None,
    composed: Mapping[str, str] | None = None,
) -> None:
    """Write a record to a new file.

    Parameters
    ----------
    record
        The record.
    path
        The file; it must not be there.
    as_of
        The last day taken into account for what is believed, inclusive; None for all there is.
    vocabulary
        The statements from which things and statements are worded.
    called
        What its things are called, by IRI, the usual name first.
    composed
        What things without a name are called by what is known of them, by IRI.

    Raises
    ------
    OSError, sqlite3.Error
        If it cannot be written.
    """
    terms = _Terms()
    with closing(sqlite3.connect(path)) as db:
        begin(db, "terms.sql", "store.sql")
        _write_claims(db, record, as_of, terms)
        add(db, "vocabulary", ((terms(s), terms(p), terms(o)) for s, p, o in vocabulary))
        add(db, "term", terms.rows())
        add(db, "kind", ((kind,) for kind in record.ids))
        add(db, "described", ((kind, id_) for kind in record.ids for id_ in record.ids[kind]))
        names = {thing: tuple(some) for thing, some in (called or {}).items()}
        add(db, "called", ((thing, name) for thing in names for name in names[thing] or (None,)))
        add(db, "composed", (composed or {}).items())
        end(db, "store_indexes.sql")


def write_inferred(inferred: Iterable[Triple], path: Path) -> None:
    """Write what follows to a new file.

    Parameters
    ----------
    inferred
        The statements.
    path
        The file; it must not be there.

    Raises
    ------
    OSError, sqlite3.Error
        If it cannot be written.
    """
    terms = _Terms()
    with closing(sqlite3.connect(path)) as db:
        begin(db, "terms.sql", "inferred.sql")
        add(db, "inferred", ((terms(s), terms(p), terms(o)) for s, p, o in inferred))
        add(db, "term", terms.rows())
        end(db, "inferred_indexes.sql")


def begin(db: sqlite3.Connection, *schemas: str, package: Path = Path(__file__).parent) -> None:
    """Make the tables that files beside a module describe, to be filled in one go."""
    db.execute("PRAGMA journal_mode = OFF")  # what is cut short is never put in its place
    db.execute("PRAGMA synchronous = OFF")
    for schema in schemas:
        db.executescript((package / schema).read_text(encoding="utf-8"))
    db.execute("BEGIN")


def add(db: sqlite3.Connection, table: str, rows: Iterable[tuple[Any, ...]]) -> None:
    """Add rows to a table, a value for each of its columns."""
    width = len(db.execute(f"SELECT * FROM {table} LIMIT 0").description)
    db.executemany(f"INSERT INTO {table} VALUES ({', '.join('?' * width)})", rows)


def end(db: sqlite3.Connection, indexes: str, package: Path = Path(__file__).parent) -> None:
    """Write what was added down, and make its indexes."""
    db.commit()
    db.executescript((package / indexes).read_text(encoding="utf-8"))


class _Terms:
    """Numbers of terms, given as they come."""

    def __init__(self) -> None:
        self._numbers: dict[Node, int] = {}

    def __call__(self, term: Node) -> int:
        return self._numbers.setdefault(term, len(self._numbers))

    def rows(self) -> Iterator[tuple[int, str, str, str, str]]:
        """Yield the rows of all terms."""
        return ((number, *spelt(term)) for term, number in self._numbers.items())


def spelt(term: Node) -> tuple[str, str, str, str]:
    """Return a term's text and kind, and a literal's datatype and language."""
    if isinstance(term, Literal):
        return str(term), "literal", str(term.datatype or ""), term.language or ""
    return str(term), "blank" if isinstance(term, BNode) else "iri", "", ""


def _write_claims(
    db: sqlite3.Connection, record: "Record", as_of: date | None, terms: _Terms
) -> None:
    belief = record.believed(as_of)
    claims = list(record.claims)
    numbers = {claim.iri: number for number, claim in enumerate(claims)}
    standing = {claim.iri for claim in belief.claims}
    passages: dict[Passage, int] = {}
    rows, statements = [], []
    withdrawn: list[tuple[int, int, int | None]] = []
    for number, claim in enumerate(claims):
        passage = passages.setdefault(claim.passage, len(passages))
        origin = claim.origin
        rows.append(
            (number, str(claim.iri), passage, claim.certainty, claim.recorded_by,
             claim.recorded_on, claim.note, origin.file, origin.row, origin.table)
        )  # fmt: skip
        if claim.iri in belief.withdrawn:
            withdrawn.append((number, numbers[belief.withdrawn[claim.iri].iri], None))
        by = {
            statement: numbers[part.correction.iri]
            for part in belief.parts.get(claim.iri, ())
            for statement in part.statements
        }
        stands = claim.iri in standing
        for place, triple in enumerate(claim.statements):
            subject, property_, value = map(terms, triple)
            kept = stands and triple not in by
            statements.append((number, place, subject, property_, value, kept))
            if triple in by:
                withdrawn.append((number, by[triple], place))
    add(db, "passage", ((n, terms(p.source), p.locator, p.region) for p, n in passages.items()))
    add(db, "claim", rows)
    add(db, "statement", statements)
    add(db, "withdrawal", withdrawn)


# -- reading -------------------------------------------------------------------------------------


def opened(path: Path) -> sqlite3.Connection:
    """Open a file that is only read, and that nobody changes any more."""
    return sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro&immutable=1", uri=True)


_TERM = "SELECT kind, text, datatype, language FROM term WHERE term = ?"
_NUMBER = """
SELECT term FROM term WHERE text = ? AND kind = ? AND datatype = ? AND language = ?
"""
_CLAIM = """
SELECT iri, source, locator, region, certainty, recorded_by, recorded_on, note, file, row, sheet
FROM claim JOIN passage USING (passage) WHERE claim = ?
"""
_OF_TERMS = """
SELECT DISTINCT claim FROM statement
WHERE {column} IN (SELECT term FROM term WHERE text = ?1 OR (text >= ?2 AND text < ?3))
"""


class StatementTables:
    """The tables of a store, with its terms and claims as the library has them elsewhere.

    Parameters
    ----------
    path
        A file that `write` wrote.
    """

    def __init__(self, path: Path) -> None:
        self._db = opened(path)
        self._terms: dict[int, Node] = {}
        self._numbers: dict[Node, int | None] = {}
        self._claims: dict[tuple[int, bool], Claim] = {}

    def rows(self, query: str, *values: object) -> list[tuple[Any, ...]]:
        """Return the rows that a query gives."""
        return self._db.execute(query, values).fetchall()

    def term(self, number: int) -> Node:
        """Return a term by its number."""
        found = self._terms.get(number)
        if found is None:
            kind, text, datatype, language = self.rows(_TERM, number)[0]
            found = self._terms[number] = term(text, kind, datatype, language)
            self._numbers[found] = number
        return found

    def number(self, term: Node) -> int | None:
        """Return the number of a term; None if nothing here speaks of it."""
        if term not in self._numbers:
            found = self.rows(_NUMBER, *spelt(term))
            self._numbers[term] = found[0][0] if found else None
        return self._numbers[term]

    def iri(self, number: int) -> URIRef:
        """Return a term that is an IRI."""
        return URIRef(str(self.term(number)))

    def triples(
        self, table: str, pattern: tuple[Node | None, ...], given: str = "TRUE"
    ) -> Iterator[Triple]:
        """Yield the statements of a table that fit a pattern, each once, in the order told.

        Parameters
        ----------
        table
            Its name.
        pattern
            Subject, property and object; None where any will do.
        given
            A condition that the rows meet.
        """
        where, values = [given], []
        for column, term in zip(_COLUMNS, pattern, strict=True):
            if term is None:
                continue
            number = self.number(term)
            if number is None:
                return
            where.append(f"{column} = ?")
            values.append(number)
        order = "claim, place" if table == "statement" else "rowid"
        chosen = " AND ".join(where)
        query = f"SELECT subject, property, object FROM {table} WHERE {chosen} ORDER BY {order}"
        for row in dict.fromkeys(self.rows(query, *values)):
            yield self.term(row[0]), self.term(row[1]), self.term(row[2])

    def claim(self, number: int, *, believed: bool = False) -> Claim:
        """Return a claim; with only those of its statements that are believed, if asked for."""
        key = number, believed
        if key not in self._claims:
            iri, source, locator, region, certainty, *rest = self.rows(_CLAIM, number)[0]
            by, on, note, file, row, sheet = rest
            self._claims[key] = Claim(
                URIRef(iri),
                Passage(self.iri(source), locator, region),
                None if certainty is None else URIRef(certainty),
                by,
                on,
                note,
                Origin(file, row, sheet),
                partial(self._stated, number, believed),
            )
        return self._claims[key]

    def _stated(self, number: int, believed: bool) -> tuple[Triple, ...]:
        kept = "AND believed" if believed else ""
        query = "SELECT subject, property, object FROM statement WHERE claim = ?"
        rows = self.rows(f"{query} {kept} ORDER BY place", number)
        return tuple((self.term(s), self.term(p), self.term(o)) for s, p, o in rows)

    def claims(self, query: str, *values: object) -> tuple[Claim, ...]:
        """Return what is believed of the claims whose numbers a query gives, by IRI."""
        numbers = sorted({row[0] for row in self.rows(query, *values)})
        return tuple(self.claim(number, believed=True) for number in numbers)

    def numbered(self, iri: str) -> int | None:
        """Return the number of a claim; None if there is none."""
        found = self.rows("SELECT claim FROM claim WHERE iri = ?", iri)
        return found[0][0] if found else None

    def with_term(self, column: str, thing: str) -> set[int]:
        """Return the claims with a statement that has a thing, or part of its life, in a column."""
        found = self.rows(_OF_TERMS.format(column=column), thing, f"{thing}#", f"{thing}$")
        return {row[0] for row in found}


_CORRECTIONS = "SELECT DISTINCT correction FROM withdrawal"
_COLUMNS = ("subject", "property", "object")


def term(text: str, kind: str, datatype: str, language: str) -> Node:
    """Return the term that `spelt` spells."""
    if kind == "iri":
        return URIRef(text)
    if kind == "blank":
        return BNode(text)
    return Literal(
        text,
        datatype=URIRef(datatype) if datatype else None,
        lang=language or None,
        normalize=False,
    )


class _Table(Store):
    """One of the tables of statements as the store of an rdflib graph."""

    def __init__(self, statements: StatementTables, table: str, given: str = "TRUE") -> None:
        super().__init__()
        self._statements, self._table, self._given = statements, table, given

    def triples(  # rdflib's own stores yield what this yields
        self, triple_pattern: tuple[Node | None, Node | None, Node | None], context: object = None
    ) -> Iterator[tuple[Triple, Iterator[None]]]:
        """Yield the statements that fit a pattern."""
        for triple in self._statements.triples(self._table, triple_pattern, self._given):
            yield triple, iter(())

    def __len__(self, context: object = None) -> int:
        """Count the statements."""
        return sum(1 for _ in self.triples((None, None, None)))


class StoredBelief(Belief):
    """What is believed, looked up in a store.

    Parameters
    ----------
    statements
        The store.
    as_of
        The day it was written for.
    whole
        Gives the record itself, for what needs every claim at once.
    left_out
        Numbers of claims that are taken not to be there.
    """

    def __init__(
        self,
        statements: StatementTables,
        as_of: date | None,
        whole: "Callable[[], Record]",
        left_out: frozenset[int] = frozenset(),
    ) -> None:
        out = ", ".join(map(str, sorted(left_out)))
        there = f"believed AND claim NOT IN ({out})" if out else "believed"
        fields = {"_statements": statements, "as_of": as_of, "_whole": whole}
        # All instances of its class are frozen.
        vars(self).update(fields, _left_out=left_out, _there=there)
        self._statements: StatementTables
        self._whole: Callable[[], Record]
        self._left_out: frozenset[int]
        self._there: str

    def without(self, claims: Iterable[Claim]) -> "StoredBelief | None":
        """Return what is believed if some claims were not there; None if one is a correction."""
        numbers = {self._statements.numbered(claim.iri) for claim in claims}
        found = frozenset(number for number in numbers if number is not None)
        corrections = {row[0] for row in self._statements.rows(_CORRECTIONS)}
        if corrections & found:
            return None
        return StoredBelief(self._statements, self.as_of, self._whole, self._left_out | found)

    @property
    def claims(self) -> "ClaimSequence":
        """The claims nobody has withdrawn, all of them."""
        whole = self._whole().believed(self.as_of).claims
        return whole.without(self._statements.claim(number).iri for number in self._left_out)

    @property
    def replaced(self) -> Mapping[URIRef, tuple[URIRef, ...]]:
        """Each replacing claim's IRI, with the IRIs of the claims it replaces."""
        return self._whole().believed(self.as_of).replaced

    @cached_property
    def withdrawn(self) -> Mapping[URIRef, Claim]:
        """Each withdrawn claim's IRI, with the correction that withdraws it."""
        query = "SELECT claim, correction FROM withdrawal WHERE place IS NULL ORDER BY claim"
        store = self._statements
        return {store.claim(claim).iri: store.claim(by) for claim, by in store.rows(query)}

    @cached_property
    def parts(self) -> Mapping[URIRef, tuple[CorrectedPart, ...]]:
        """Each claim of which some statements are withdrawn by themselves, with what is."""
        query = """SELECT claim, correction, place FROM withdrawal JOIN claim AS c
        ON c.claim = correction WHERE place IS NOT NULL
        ORDER BY withdrawal.claim, c.recorded_on, c.iri, place"""
        query = query.replace("SELECT claim", "SELECT withdrawal.claim")
        store = self._statements
        found: dict[URIRef, dict[int, list[Triple]]] = {}
        for claim, by, place in store.rows(query):
            told = store.claim(claim)
            lost = found.setdefault(told.iri, {}).setdefault(by, [])
            lost.append(told.statements[place])
        return {
            iri: tuple(
                CorrectedPart(iri, store.claim(by), tuple(lost)) for by, lost in parts.items()
            )
            for iri, parts in found.items()
        }

    def statements(self) -> Iterator[Triple]:
        """Yield what the claims say, what two claims say once."""
        return self._statements.triples("statement", (None, None, None), self._there)

    @cached_property
    def graph(self) -> Graph:
        """The union of the claims' statements; nothing can be added to it."""
        return bind(Graph(_Table(self._statements, "statement", self._there)))

    @cached_property
    def worded(self) -> Graph:
        """The same with the vocabulary, which has the names of things."""
        vocabulary = Graph(_Table(self._statements, "vocabulary"))
        return ReadOnlyGraphAggregate([self.graph, vocabulary])

    def rests_on(self, statement: Triple) -> tuple[Claim, ...]:
        """Return the claims that make this very statement."""
        numbers = [self._statements.number(term) for term in statement]
        where = " AND ".join(f"{column} = ?" for column in _COLUMNS)
        query = f"SELECT claim FROM statement WHERE {self._there} AND {where}"
        return self._statements.claims(query, *numbers)

    def table(self, properties: frozenset[str]) -> "StatementTable":
        """Return the statements of some properties, by IRI, as columns."""
        import polars as pl  # takes long to import, and few look-ups need columns

        from glost.record.columns import SCHEMA, StatementTable, literal

        rows: dict[str, list[tuple[str, str, str | None, int]]] = {iri: [] for iri in properties}
        store = self._statements
        for iri, found in rows.items():
            query = f"SELECT subject, object, claim FROM statement WHERE {self._there}"
            for s, o, claim in store.rows(f"{query} AND property = ?", store.number(URIRef(iri))):
                value = store.term(o)
                found.append((str(store.term(s)), str(value), literal(value), claim))
        frames = {i: pl.DataFrame(f, schema=SCHEMA, orient="row") for i, f in rows.items()}
        return StatementTable(_NumberedClaims(store), frames)

    def among(self, *tables: str) -> Belief:
        """Return itself: the store has its index already."""
        return self

    def bearing(self, iri: URIRef) -> tuple[Claim, ...]:
        """Return the claim of an IRI, if it is believed."""
        query = "SELECT claim FROM claim JOIN statement USING (claim) WHERE iri = ?"
        return self._statements.claims(f"{query} AND {self._there}", iri)

    def about(self, thing: str) -> tuple[Claim, ...]:
        """Return the claims with a statement whose subject is the thing or part of its life."""
        whole = str(thing).partition("#")[0]
        query = _OF_TERMS.format(column=f"{self._there} AND subject")
        return self._statements.claims(query, whole, f"{whole}#", f"{whole}$")

    def mentions(self, thing: URIRef) -> tuple[Claim, ...]:
        """Return the claims with a statement whose object is the thing."""
        query = f"SELECT claim FROM statement WHERE {self._there} AND object = ?"
        return self._statements.claims(query, self._statements.number(thing))


class _NumberedClaims:
    """The claims of a store by number, as they are believed."""

    def __init__(self, statements: StatementTables) -> None:
        self._statements = statements

    def __len__(self) -> int:
        (count,) = self._statements.rows("SELECT count(*) FROM claim")[0]
        return int(count)

    def __getitem__(self, number: int, /) -> Claim:
        return self._statements.claim(number, believed=True)

    def places(self, iris: Iterable[str]) -> dict[str, int]:
        """Return the number of those that bear one of some IRIs."""
        numbers = ((iri, self._statements.numbered(iri)) for iri in dict.fromkeys(map(str, iris)))
        return {iri: number for iri, number in numbers if number is not None}


class _Ids(Set[str]):
    """The ids of one kind."""

    def __init__(self, statements: StatementTables, kind: str) -> None:
        self._statements, self._kind = statements, kind

    def __contains__(self, id_: object) -> bool:
        query = "SELECT 1 FROM described WHERE kind = ? AND id = ?"
        return bool(self._statements.rows(query, self._kind, id_))

    def __iter__(self) -> Iterator[str]:
        query = "SELECT id FROM described WHERE kind = ?"
        return (id_ for (id_,) in self._statements.rows(query, self._kind))

    def __len__(self) -> int:
        return sum(1 for _ in self)


class StoredRecord:
    """A record looked up in a store.

    Parameters
    ----------
    path
        A file that `write` wrote.
    collection
        The collection's settings.
    as_of
        The day it was written for.
    whole
        Gives the record itself, for what needs every claim at once.
    """

    def __init__(
        self,
        path: Path,
        collection: "Collection",
        as_of: date | None,
        whole: "Callable[[], Record]",
    ) -> None:
        self.collection = collection
        self._statements = StatementTables(path)
        self._belief = StoredBelief(self._statements, as_of, whole)
        self._whole = whole
        self.made: dict[str, object] = {}

    @property
    def base(self) -> str:
        """The base IRI."""
        return self.collection.base

    def believed(self, as_of: date | None = None) -> Belief:
        """Return what is believed on a day; on any other than the store's, from the record."""
        return self._belief if as_of == self._belief.as_of else self._whole().believed(as_of)

    @cached_property
    def ids(self) -> Mapping[str, Set[str]]:
        """Ids that are described, by kind."""
        kinds = self._statements.rows("SELECT kind FROM kind")
        return {kind: _Ids(self._statements, kind) for (kind,) in kinds}

    @property
    def composed(self) -> dict[str, str]:
        """What things without a name are called, by IRI."""
        return dict(self._statements.rows("SELECT thing, label FROM composed"))

    @property
    def called(self) -> dict[str, list[str]]:
        """What its things are called, as far as that is believed, by IRI."""
        called: dict[str, list[str]] = {}
        for thing, name in self._statements.rows("SELECT thing, name FROM called ORDER BY rowid"):
            names = called.setdefault(thing, [])
            if name is not None:
                names.append(name)
        return called

    def claim(self, name: str) -> Claim | None:
        """Find a claim by id or IRI."""
        return self.collection.claim(name, self._at)

    def _at(self, iri: str) -> Claim | None:
        number = self._statements.numbered(iri)
        return None if number is None else self._statements.claim(number)

    def believes(self, iri: str) -> bool:
        """Say whether a claim is believed on the store's day."""
        return bool(self._belief.bearing(URIRef(iri)))

    def speaking_of(
        self, thing: URIRef, as_of: date | None = None
    ) -> tuple[list[Claim], list[Claim]]:
        """Return the claims about a thing, and those that name it, withdrawn ones included."""
        store, day = self._statements, as_of.isoformat() if as_of else ""

        def there(numbers: Iterable[int]) -> list[Claim]:
            every = (store.claim(number) for number in sorted(numbers))
            return [claim for claim in every if not day or claim.recorded_on <= day]

        itself = store.numbered(thing)
        if itself is not None and there([itself]):
            return there([itself]), []
        own = store.with_term("subject", thing)
        query = "SELECT claim FROM claim JOIN passage USING (passage) WHERE source = ?"
        resting = {row[0] for row in store.rows(query, store.number(thing))}
        return there(own), there((store.with_term("object", thing) | resting) - own)


class StoredInferred:
    """What follows, looked up in a file that `write_inferred` wrote."""

    def __init__(self, path: Path) -> None:
        self._statements = StatementTables(path)

    def __iter__(self) -> Iterator[Triple]:
        """Yield all of it."""
        return self._statements.triples("inferred", (None, None, None))

    def following(self, thing: URIRef) -> Iterator[Triple]:
        """Yield what follows of which a thing is the subject or the object."""
        yield from self._statements.triples("inferred", (thing, None, None))
        yield from self._statements.triples("inferred", (None, None, thing))
