"""Claims written as TriG, by hand or by another program, read into the same model as tables."""

import re
from codecs import BOM_UTF8
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache, lru_cache
from pathlib import Path
from typing import TypeAlias

import pyoxigraph as ox
from rdflib import Literal, URIRef
from rdflib.namespace import DCTERMS, OWL, PROV, RDF, RDFS, SKOS, XSD
from rdflib.term import Node

from glost.data import vocabulary
from glost.limits import NESTED, TEXT_FILE
from glost.names import EDTF, GLOST, OA
from glost.record.cells import CellError, checker, text_fault
from glost.record.characters import visible
from glost.record.claims import Claim, Origin, Passage, Triple
from glost.record.dates import DateError
from glost.record.dates import read as read_date
from glost.record.errors import RecordError, quoted, suggestion
from glost.record.fitting import FittedStatements, Fitter
from glost.record.opening import read_whole
from glost.record.tables import ColumnDescription, tables

_DERIVED = ("record", "inferred", "reckoned")
"""Graphs of our own exports that are made again, not read as claims."""

Description: TypeAlias = dict[str, dict[URIRef, list[str]]]
"""Values by property by node, of the graph that describes the claims."""


@dataclass(slots=True)
class Written:
    """What one TriG file holds.

    Attributes
    ----------
    file
        Its path relative to the collection.
    graphs
        Statements by claim IRI, in the order of the file.
    description
        What the default graph and the record graph say of claims, passages and people.
    """

    file: str
    graphs: dict[str, list[Triple]] = field(default_factory=dict)
    description: Description = field(default_factory=dict)

    def subjects(self, base: str) -> Iterator[str]:
        """Yield the things of the collection that claims here describe, as ``kind/id``."""
        for statements in self.graphs.values():
            for subject, _, _ in statements:
                yield from _thing(subject, base)

    def objects(self, base: str) -> Iterator[tuple[str, str]]:
        """Yield the claim and each thing of the collection that it names or rests on."""
        for claim, statements in self.graphs.items():
            for _, predicate, value in statements:
                if predicate not in (GLOST.image, GLOST.withdraws, GLOST.replacedBy):
                    for thing in _thing(value, base):
                        yield claim, thing
            for source in self._values(claim, PROV.hadPrimarySource):
                for thing in _thing(URIRef(source), base):
                    yield claim, thing

    def _values(self, node: str, predicate: URIRef) -> list[str]:
        return self.description.get(node, {}).get(predicate, [])

    def claims(self, fitter: Fitter, errors: list[RecordError]) -> Iterator[Claim]:
        """Make the claims; those without exactly one source are errors.

        Parameters
        ----------
        fitter
            Finds the rows that would make them.
        errors
            Everything wrong is appended here.
        """
        for iri, statements in self.graphs.items():
            sources = self._values(iri, PROV.hadPrimarySource)
            if len(sources) != 1:
                message = (
                    "the claim names no source" if not sources else "the claim names two sources"
                )
                remedy = "state it in the default graph: <claim> prov:hadPrimarySource <source>"
                errors.append(RecordError(self.file, message, remedy, iri=iri))
                continue
            yield self._claim(
                iri, sources[0], FittedStatements(tuple(dict.fromkeys(statements)), fitter)
            )

    def _claim(self, iri: str, source: str, statements: FittedStatements) -> Claim:
        def one(node: str, predicate: URIRef) -> str:
            return next(iter(sorted(self._values(node, predicate))), "")

        passage = one(iri, GLOST.restsOn)
        selector = one(passage, OA.hasSelector)
        agent = one(iri, PROV.wasAttributedTo)
        certainty = one(iri, GLOST.certainty)
        image = one(selector, GLOST.onImage)
        region = one(iri, GLOST.region) or one(selector, RDF.value)
        return Claim(
            iri=URIRef(iri),
            passage=Passage(
                URIRef(source),
                one(iri, GLOST.locator) or one(passage, GLOST.locator),
                f"{image}#{region}" if image else region,
            ),
            certainty=URIRef(certainty) if certainty else None,
            recorded_by=one(agent, RDFS.label) or agent,
            recorded_on=one(iri, DCTERMS.created)[:10],
            note=one(iri, SKOS.note),
            origin=Origin(self.file),
            expand=statements,
        )


def _thing(node: object, base: str) -> Iterator[str]:
    if isinstance(node, URIRef) and node.startswith(base):
        yield str(node).removeprefix(base).partition("#")[0]


def read_trig(top: Path, path: Path, base: str, errors: list[RecordError]) -> Written:
    """Read one TriG file of a collection.

    Parameters
    ----------
    top, path
        The collection's folder and the file.
    base
        The collection's base IRI, against which relative IRIs are read.
    errors
        Everything wrong is appended here.
    """
    written = Written(path.relative_to(top).as_posix())
    described: Description = defaultdict(lambda: defaultdict(list))
    skipped = {base + name for name in _DERIVED} | {str(GLOST).rstrip("#")}
    data = read_whole(top, path, TEXT_FILE)
    if isinstance(data, RecordError):
        errors.append(data)
        return written
    if fault := _too_deep(data):
        errors.append(RecordError(written.file, fault, "name the nodes instead"))
        return written
    try:
        data = data.removeprefix(BOM_UTF8)
        for quad in ox.parse(data, format=ox.RdfFormat.TRIG, base_iri=base):
            _place(quad, base, skipped, written, described, errors)
    except SyntaxError as bad:
        message = f"line {bad.lineno}: {str(bad.msg)[:200]}"
        errors.append(RecordError(written.file, message, "correct the TriG"))
    except (ValueError, OSError) as bad:
        errors.append(RecordError(written.file, str(bad)[:200], "correct the TriG"))
    written.description = {node: dict(values) for node, values in described.items()}
    return written


_QUOTING = re.compile(rb"<<\(|\)>>")


def _too_deep(data: bytes) -> str:
    """Say where triple terms stand in one another deeper than the parser survives, if they do."""
    depth = 0
    for found in _QUOTING.finditer(data):
        depth += 1 if found[0] == b"<<(" else -1
        if depth > NESTED:
            line = data.count(b"\n", 0, found.start()) + 1
            return f"line {line}: statements stand in one another more than {NESTED} deep"
    return ""


def _place(
    quad: ox.Quad,
    base: str,
    skipped: set[str],
    written: Written,
    described: Description,
    errors: list[RecordError],
) -> None:
    errors.extend(_unfit(quad, written.file))
    graph = quad.graph_name
    name = graph.value if isinstance(graph, ox.NamedNode) else ""
    if isinstance(graph, ox.DefaultGraph) or name == f"{base}record":
        wrong = list(_misdescribed(quad, written.file))
        errors.extend(wrong)
        if wrong:
            return
        described[_key(quad.subject)][URIRef(quad.predicate.value)].append(_key(quad.object))
    elif name.startswith(f"{base}claim/"):
        name = name.partition("#")[0]  # what is withdrawn of a claim stands in a graph of its own
        statement = _statement(quad)
        if statement is None:
            message = f"{quad.subject} {quad.predicate} {quad.object} has a blank node"
            errors.append(RecordError(written.file, message, "give it an IRI", iri=name))
            return
        written.graphs.setdefault(name, []).append(statement)
        errors.extend(_checked(statement, written.file, name))
    elif name not in skipped:
        remedy = f"name the graph of a claim <{base}claim/ID>"
        error = RecordError(
            written.file, "this graph is not a claim", remedy, iri=name or str(graph)
        )
        if error not in errors:
            errors.append(error)


def _unfit(quad: ox.Quad, file: str) -> Iterable[RecordError]:
    """Find terms that may not stand in a record."""
    named = isinstance(quad.graph_name, ox.NamedNode)
    place = visible(_key(quad.graph_name if named else quad.subject), lines=False)
    for term in (quad.subject, quad.predicate, quad.object):
        if fault := text_fault(_key(term)):
            yield RecordError(file, fault.message, fault.remedy, iri=place)
        iri = term.datatype if isinstance(term, ox.Literal) else term
        if isinstance(iri, ox.NamedNode) and not _is_iri(iri.value):
            message = f"{quoted(iri.value)} is not an IRI"
            yield RecordError(file, message, "write it as in RFC 3987", iri=place)


@lru_cache(maxsize=1 << 16)
def _is_iri(text: str) -> bool:
    """Say whether the store takes an IRI; the parser is more lenient with those of prefixes."""
    try:
        ox.NamedNode(text)
    except ValueError:
        return False
    return True


def _misdescribed(quad: ox.Quad, file: str) -> Iterable[RecordError]:
    """Find what the description of a claim gives in a form that it cannot have."""
    subject = visible(_key(quad.subject), lines=False)
    predicate = URIRef(quad.predicate.value)
    if predicate in _NAMING and not isinstance(quad.object, ox.NamedNode):
        message = f"{quoted(_key(quad.object))} is no IRI, and {quoted(predicate)} takes one"
        yield RecordError(file, message, "name the thing by its IRI", iri=subject)
    if predicate == DCTERMS.created:
        try:
            checker(tables()["potteries"].column("recorded_on"), None)(_key(quad.object)[:10])
        except CellError as bad:
            yield RecordError(file, bad.message, bad.remedy, iri=subject)


_NAMING = {PROV.hadPrimarySource, GLOST.certainty}
"""Properties of claims whose values are things with names."""


def _key(node: object) -> str:
    return str(node.value) if isinstance(node, ox.NamedNode | ox.Literal) else str(node)


def _statement(quad: ox.Quad) -> Triple | None:
    if not isinstance(quad.subject, ox.NamedNode):
        return None
    predicate = URIRef(quad.predicate.value)
    subject = URIRef(quad.subject.value)
    if isinstance(quad.object, ox.NamedNode):
        return subject, predicate, URIRef(quad.object.value)
    if isinstance(quad.object, ox.Literal):
        return subject, predicate, _literal(quad.object)
    return None


def _literal(term: ox.Literal) -> Literal:
    """Take a literal over with its lexical form as written."""
    if term.language:
        return Literal(term.value, lang=term.language)
    datatype = URIRef(term.datatype.value)
    return Literal(
        term.value, datatype=None if datatype == XSD.string else datatype, normalize=False
    )


def _checked(statement: Triple, file: str, claim: str) -> Iterable[RecordError]:
    subject, predicate, value = statement
    if predicate == GLOST.date and "/source/" in str(subject) and "#" not in str(subject):
        message = f"glost:date dates an instant, and is given to {quoted(str(subject))}"
        yield RecordError(file, message, "write glost:sourceDate", iri=claim)
    if predicate == OWL.sameAs:
        message = "owl:sameAs would make two things of the record one for good"
        remedy = "say skos:closeMatch or skos:exactMatch, which keeps what is said of each apart"
        yield RecordError(file, message, remedy, iri=claim)
    for term in (predicate, value if predicate == RDF.type else None):
        if isinstance(term, URIRef) and term.startswith(GLOST) and term not in _terms():
            names = [str(known).removeprefix(str(GLOST)) for known in _terms()]
            short = str(term).removeprefix(str(GLOST))
            remedy = suggestion(short, names, "see the vocabulary for its terms")
            message = f"glost:{short} is not a term of the vocabulary"
            yield RecordError(file, message, remedy, iri=claim)
    if isinstance(value, Literal) and value.datatype == EDTF:
        try:
            read_date(str(value))
        except DateError as bad:
            message = f"{quoted(value)} is not an EDTF date: {bad.reason}"
            yield RecordError(file, message, bad.remedy, iri=claim)
    column = _values().get(str(predicate))
    if column is not None:
        yield from _wrong_value(value, column, file, claim)


def _wrong_value(
    value: Node, column: ColumnDescription, file: str, claim: str
) -> Iterable[RecordError]:
    """Check the value of a property as the cell of its column would be checked."""
    short = column.property.removeprefix(str(GLOST))
    if not isinstance(value, Literal):
        message = f"glost:{short} is given {quoted(str(value))}, and takes a {column.base}"
        yield RecordError(file, message, "write it as a literal", iri=claim)
        return
    try:
        checker(column, None)(str(value))
    except CellError as bad:
        yield RecordError(file, f"glost:{short}: {bad.message}", bad.remedy, iri=claim)


@cache
def _values() -> dict[str, ColumnDescription]:
    """Return the columns whose cells are numbers, days, or yes and no, by their property."""
    plain = {"integer", "nonNegativeInteger", "decimal", "date", "boolean"}
    return {
        column.property: column
        for table in tables().values()
        for column in table.giving
        if column.base in plain and not column.datatype and not column.value
    }


@cache
def _terms() -> frozenset[URIRef]:
    return frozenset(
        term
        for term in vocabulary().subjects(RDF.type)
        if isinstance(term, URIRef) and term.startswith(GLOST)
    )
