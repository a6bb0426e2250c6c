"""The collection in CIDOC CRM 7.1.3, by paths that stand in a table.

``ontology/alignments/crm_paths.csv`` has a row for each mapping: of which class the thing is
(several parted by ``|``, none for any), which property is mapped (with ``#begin`` and the like
before it if its subject is that point of a thing), the path in the CRM, and why. A path is made of
chains parted by `` ; ``, each of nodes and properties in turn:

- ``{s}`` and ``{o}`` are the subject and the value, ``{t}`` the thing whose point the subject is,
  and ``{b}`` the collection;
- ``{s}#production:E12_Production`` is another thing, named after the first, of that class;
- ``{o:text}`` is the value as plain text, ``{o:same}`` as it is, ``{o:first}`` and ``{o:last}`` the
  first and last second of a day;
- ``<IRI>`` and ``glost:copiedFrom`` name themselves.

Claims are assignments of attributes (E13), one for each statement, and sets of propositions under
CRMinf 1.0 (I4) that somebody came to believe (I7, I2).
"""

import csv
import re
from collections.abc import Callable, Iterable, Iterator, Set
from dataclasses import dataclass
from functools import cache, lru_cache
from urllib.parse import quote

import pyoxigraph as ox
from rdflib import Literal, URIRef
from rdflib.namespace import RDF, RDFS, SKOS, TIME, XSD
from rdflib.term import Node

from glost.data import folder, vocabulary
from glost.names import CRM, CRMINF, GLOST, PREFIXES, SCHEMES
from glost.publish.site.holdings import SiteContents
from glost.record.claims import Claim, Triple
from glost.record.provenance import passage_iri, recorder_iri
from glost.record.terms import to_oxigraph

_WRITTEN = {"crm": str(CRM), "crminf": str(CRMINF), "rdfs": str(RDFS), "xsd": str(XSD)}
_FIRST, _LAST = "T00:00:00Z", "T23:59:59Z"
_DATE_TIME = ox.NamedNode(str(XSD.dateTime))

Values = dict[str, str | ox.NamedNode | ox.Literal]
Fill = Callable[["_Filling"], ox.NamedNode | ox.Literal]


@dataclass(frozen=True, slots=True)
class _Filling:
    """What a path is filled with: the IRIs of subject, thing and collection, and the value."""

    subject: str
    thing: str
    base: str
    value: ox.NamedNode | ox.Literal

    @property
    def text(self) -> str:
        """The value as part of an IRI."""
        return quote(self.value.value, safe="")


@dataclass(frozen=True, slots=True)
class _Node:
    """A node of a path: what makes it, and the class it is of, if that is said."""

    make: Fill
    kind: ox.NamedNode | None


@dataclass(frozen=True, slots=True)
class Path:
    """One mapping into the CRM.

    Attributes
    ----------
    classes
        Of which of these classes the thing is; empty for any.
    point
        The fragment of its subject, ``#begin``; empty for a thing itself.
    mapped
        The property that is mapped.
    text
        The path as written.
    reason
        Why it is mapped so.
    """

    classes: frozenset[URIRef]
    point: str
    mapped: URIRef
    text: str
    reason: str

    @property
    def chains(self) -> tuple[tuple[str, ...], ...]:
        """The nodes and properties of each chain, as written."""
        return tuple(tuple(each.split(" ")) for each in self.text.split(" ; "))


CRM_PATHS = "crm_paths"
"""The table of paths into the CRM, by its name in ``ontology/alignments/``."""


@cache
def paths(table: str = CRM_PATHS) -> tuple[Path, ...]:
    """Read a table of paths."""
    with (folder("ontology") / "alignments" / f"{table}.csv").open(
        encoding="utf-8", newline=""
    ) as file:
        return tuple(_path(row) for row in csv.DictReader(file))


def _path(row: dict[str, str]) -> Path:
    point, _, name = row["property"].rpartition(" ")
    classes = frozenset(URIRef(_whole(each)) for each in row["class"].split("|") if each)
    return Path(classes, point, URIRef(_whole(name)), row["path"], row["reason"])


def _whole(name: str) -> str:
    """Write a name out: ``rdf:type``, ``P2_has_type`` or ``madeBy``."""
    prefix, colon, local = name.partition(":")
    if colon:
        return str(PREFIXES[prefix]) + local
    return str(CRM if re.match(r"[EP]\d", name) else GLOST) + name


_NODE = re.compile(r"\{(?P<of>[stob])(:(?P<form>\w+))?\}(?P<rest>[^:]*)(:(?P<kind>\w\S*))?")
_FIXED = re.compile(r"(<(?P<iri>[^>]+)>|(?P<name>\w+:\w+))(:(?P<kind>E\S*))?")


def _node(text: str) -> _Node:
    match = _NODE.fullmatch(text)
    if match is None:
        fixed = _FIXED.fullmatch(text)
        if fixed is None:
            raise ValueError(f"{text!r} is no node of a path")
        named = ox.NamedNode(fixed["iri"] or _whole(fixed["name"]))
        return _Node(lambda _: named, _kind(fixed["kind"]))
    return _Node(_making(match["of"], match["form"] or "", match["rest"]), _kind(match["kind"]))


def _kind(name: str | None) -> ox.NamedNode | None:
    return ox.NamedNode(_whole(name)) if name else None


def _making(of: str, form: str, rest: str) -> Fill:
    if of == "o" and form:
        return _FORMS[form]
    if of == "o" and not rest:
        return lambda filling: filling.value
    own: Callable[[_Filling], str] = {
        "s": lambda filling: filling.subject,
        "t": lambda filling: filling.thing,
        "b": lambda filling: filling.base,
    }[of]
    before, value, _ = rest.partition("{o}")

    def make(filling: _Filling) -> ox.NamedNode:
        return ox.NamedNode(own(filling) + before + (filling.text if value else ""))

    return make


_FORMS: dict[str, Fill] = {
    "text": lambda filling: ox.Literal(filling.value.value),
    "same": lambda filling: filling.value,
    "first": lambda filling: ox.Literal(filling.value.value + _FIRST, datatype=_DATE_TIME),
    "last": lambda filling: ox.Literal(filling.value.value + _LAST, datatype=_DATE_TIME),
}

_TYPE = ox.NamedNode(str(RDF.type))


class _Compiled:
    """A path made ready: what it fits, and the statements it makes."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._chains = []
        for chain in path.chains:
            nodes = [_node(each) for each in chain[::2]]
            links = [ox.NamedNode(_whole(each)) for each in chain[1::2]]
            self._chains.append((nodes, links))

    def __call__(self, filling: _Filling) -> Iterator[ox.Triple]:
        for nodes, links in self._chains:
            made = [node.make(filling) for node in nodes]
            for one, node in zip(made, nodes, strict=True):
                if node.kind is not None:
                    yield ox.Triple(one, _TYPE, node.kind)  # type: ignore[arg-type]
            for link, one, other in zip(links, made, made[1:], strict=False):
                yield ox.Triple(one, link, other)  # type: ignore[arg-type]


@cache
def _compiled(table: str) -> dict[URIRef, tuple[_Compiled, ...]]:
    found: dict[URIRef, list[_Compiled]] = {}
    for path in paths(table):
        found.setdefault(path.mapped, []).append(_Compiled(path))
    return {name: tuple(each) for name, each in found.items()}


def crm_turtle(holdings: SiteContents, before: bytes = b"", same: Set[str] = frozenset()) -> bytes:
    """Write the collection in CIDOC CRM's classes and properties, as Turtle.

    What is believed, what follows and the bounds of dates go by the table of paths; every claim,
    withdrawn ones too, is an assignment of each attribute it gives. What no path maps is left out.

    Parameters
    ----------
    holdings
        What the site is made of.
    before
        The same file as it was written before, of a collection with the same base IRI.
    same
        IRIs of claims of which all is as it was then: what is told of them is taken from there.
    """
    made = mapped(holdings, CRM_PATHS)
    made.update(_beside_claims(holdings))
    same = (
        same - {str(each.subject).strip("<>").partition("#")[0] for each in made}
        if before
        else frozenset()
    )
    own = {t for c in holdings.claims if str(c.iri) not in same for t in _of_claim(holdings, c)}
    made |= set(_types(made))
    made |= set(_unsorted(holdings, made))
    made |= own
    written = ox.serialize(sorted(made, key=str), format=ox.RdfFormat.TURTLE, prefixes=_WRITTEN)
    if not same:
        return written or b""
    blocks = _blocks(written or b"")
    kept = {
        name: told for name, told in _blocks(before).items() if name[1:-1].partition("#")[0] in same
    }
    return b"\n".join(told for _, told in sorted((blocks | kept).items())) + b"\n"


def _blocks(turtle: bytes) -> dict[str, bytes]:
    """Return what is said of each subject, as the subject is written out; prefixes come first."""
    found: dict[str, bytes] = {}
    for told in re.split(rb"\n(?!\t)", turtle.removesuffix(b"\n")):
        name = told[: told.index(b" ")].decode()
        if name == "@prefix":
            name = ""
        elif name[0] not in "<_":
            prefix, _, local = name.partition(":")
            name = f"<{_WRITTEN[prefix]}{local}>"
        found[name] = found[name] + b"\n" + told if name in found else told
    return found


def mapped(holdings: SiteContents, table: str) -> set[ox.Triple]:
    """Map what is believed, what follows and the bounds of dates by a table of paths."""
    contents = holdings.snapshot.contents
    made: set[ox.Triple] = set()
    for part in (holdings.snapshot.belief.statements(), contents.inferred, contents.reckoned):
        made.update(_mapped(holdings, part, table))
    return _in_order(made)


def _mapped(
    holdings: SiteContents, statements: Iterable[Triple], table: str
) -> Iterator[ox.Triple]:
    compiled, kinds, base = _compiled(table), holdings.kinds, holdings.base
    for subject, property_, value in statements:
        mapped = compiled.get(property_, ())  # type: ignore[call-overload]
        found = _typed(value, mapped) if property_ == RDF.type else mapped
        if not found or not isinstance(subject, URIRef) or not isinstance(value, URIRef | Literal):
            continue
        thing, mark, fragment = str(subject).partition("#")
        filling = None
        for each in found:
            path = each.path
            if path.point != mark + fragment and (path.point or mark):
                continue
            typed = property_ == RDF.type or not path.classes
            if not typed and path.classes.isdisjoint(kinds.get(thing, ())):
                continue
            if filling is None:
                term = to_oxigraph(value)
                assert isinstance(term, ox.NamedNode | ox.Literal)
                filling = _Filling(str(subject), thing, base, term)
            yield from each(filling)


def _typed(kind: Node, mapped: tuple[_Compiled, ...]) -> tuple[_Compiled, ...]:
    return tuple(each for each in mapped if kind in each.path.classes)


_BY, _UNTIL = CRM.P81a_end_of_the_begin, CRM.P81b_begin_of_the_end


def _in_order(made: set[ox.Triple]) -> set[ox.Triple]:
    """Leave out bounds within which a time-span surely lasted if they are the wrong way round.

    P81a and P81b tell a least extent; a beginning that may be later than the end may leaves none.
    """
    ends: dict[str, dict[str, str]] = {}
    for each in made:
        if each.predicate.value in (str(_BY), str(_UNTIL)):
            name = getattr(each.subject, "value", "")
            ends.setdefault(name, {})[each.predicate.value] = getattr(each.object, "value", "")
    crossed = {
        name for name, told in ends.items() if len(told) == 2 and told[str(_BY)] > told[str(_UNTIL)]
    }
    return {
        each
        for each in made
        if each.predicate.value not in (str(_BY), str(_UNTIL))
        or getattr(each.subject, "value", "") not in crossed
    }


# -- claims ---------------------------------------------------------------------------------------

_BELIEVED, _WITHDRAWN = (
    URIRef(f"{SCHEMES}claim-status/{each}") for each in ("believed", "withdrawn")
)
_FRAME = {RDF.type, GLOST.run, TIME.hasBeginning, TIME.hasEnd}
"""What holds statements together and gives no attribute."""


_term = lru_cache(maxsize=1 << 16)(to_oxigraph)


def _crm(*triple: Node) -> ox.Triple:
    subject, predicate, value = map(_term, triple)
    return ox.Triple(subject, predicate, value)  # type: ignore[arg-type]


def _of_claim(holdings: SiteContents, claim: Claim) -> Iterator[ox.Triple]:
    """Yield a claim as propositions, what it assigns, who came to believe it, and whether still.

    All are about the claim or what is named after it.
    """
    iri, source = claim.iri, claim.passage.source
    recording = URIRef(f"{iri}#recording")
    yield _crm(iri, RDF.type, CRMINF.I4_Proposition_Set)
    yield _crm(iri, RDF.type, CRM.E73_Information_Object)
    yield _crm(recording, RDF.type, CRMINF.I7_Belief_Adoption)
    yield _crm(recording, RDF.type, CRM.E7_Activity)
    yield _crm(recording, CRMINF.J7_is_based_on_evidence_from, source)
    yield _crm(recording, CRM.P16_used_specific_object, source)
    if claim.recorded_by:
        person = recorder_iri(holdings.base, claim.recorded_by)
        yield _crm(recording, CRM.P14_carried_out_by, person)
    if claim.recorded_on:
        span = URIRef(f"{iri}#recorded")
        yield _crm(recording, CRM["P4_has_time-span"], span)
        yield _crm(span, RDF.type, CRM["E52_Time-Span"])
        for bound, second in (
            (CRM.P82a_begin_of_the_begin, _FIRST),
            (CRM.P82b_end_of_the_end, _LAST),
        ):
            moment = Literal(claim.recorded_on + second, datatype=XSD.dateTime, normalize=False)
            yield _crm(span, bound, moment)
    passage = passage_iri(holdings.base, claim.passage)
    if passage is not None:
        yield _crm(iri, CRM.P67_refers_to, passage)
    status = _WITHDRAWN if iri in holdings.withdrawn else _BELIEVED
    yield from _belief(iri, recording, status)
    yield from _assigned(iri, holdings.graphs[iri], recording, status)
    for part in holdings.snapshot.belief.parts.get(iri, ()):
        yield _crm(part.iri, RDF.type, CRMINF.I4_Proposition_Set)
        yield _crm(part.iri, RDF.type, CRM.E73_Information_Object)
        yield _crm(part.iri, CRM.P148i_is_component_of, iri)
        yield from _belief(part.iri, recording, _WITHDRAWN)
        yield from _assigned(part.iri, part.statements, recording, _WITHDRAWN)


def _beside_claims(holdings: SiteContents) -> Iterator[ox.Triple]:
    """Yield what claims share: who recorded them, passages, and the types that they speak of."""
    for claim in holdings.claims:
        if claim.recorded_by:
            person = recorder_iri(holdings.base, claim.recorded_by)
            yield _crm(person, RDF.type, CRM.E39_Actor)
            yield _crm(person, RDFS.label, Literal(claim.recorded_by))
        passage = passage_iri(holdings.base, claim.passage)
        if passage is not None:
            yield _crm(passage, RDF.type, CRM.E73_Information_Object)
            if claim.passage.locator:
                yield _crm(passage, RDFS.label, Literal(claim.passage.locator))
        withdrawn = claim.iri in holdings.withdrawn
        for status in {
            _WITHDRAWN if withdrawn else _BELIEVED,
            *(_WITHDRAWN for _ in holdings.snapshot.belief.parts.get(claim.iri, ())),
        }:
            yield _crm(status, RDF.type, CRM.E55_Type)
            yield _crm(status, RDF.type, CRMINF.I6_Belief_Value)
    for property_ in {t[1] for told in holdings.graphs.values() for t in told} - _FRAME:
        yield _crm(property_, RDF.type, CRM.E55_Type)


def _within(iri: URIRef, name: str) -> URIRef:
    """Name something after a claim or a withdrawn part of one."""
    return URIRef(f"{iri}{'.' if '#' in iri else '#'}{name}")


def _belief(iri: URIRef, recording: URIRef, status: URIRef) -> Iterator[ox.Triple]:
    belief = _within(iri, "belief")
    yield _crm(belief, RDF.type, CRMINF.I2_Belief)
    yield _crm(belief, CRMINF.J4_that, iri)
    yield _crm(belief, CRMINF.J5_holds_to_be, status)
    yield _crm(recording, CRMINF.J6_adopted, belief)
    yield _crm(iri, CRM.P2_has_type, status)


def _assigned(
    iri: URIRef, statements: Iterable[Triple], recording: URIRef, status: URIRef
) -> Iterator[ox.Triple]:
    """Yield an assignment for each statement that gives an attribute, in the statements' order."""
    given = sorted(each for each in statements if each[1] not in _FRAME)
    for number, (subject, property_, value) in enumerate(given, 1):
        assignment = _within(iri, f"s{number}")
        yield _crm(assignment, RDF.type, CRM.E13_Attribute_Assignment)
        yield _crm(recording, CRM.P9_consists_of, assignment)
        yield _crm(assignment, CRM.P140_assigned_attribute_to, subject)
        yield _crm(assignment, CRM.P177_assigned_property_of_type, property_)
        yield _crm(assignment, CRM.P2_has_type, status)
        if isinstance(value, Literal):
            wording = _within(iri, f"v{number}")
            yield _crm(assignment, CRM.P141_assigned, wording)
            yield _crm(wording, RDF.type, CRM.E90_Symbolic_Object)
            yield _crm(wording, CRM.P190_has_symbolic_content, Literal(str(value)))
        else:
            yield _crm(assignment, CRM.P141_assigned, value)


def _unsorted(holdings: SiteContents, made: set[ox.Triple]) -> Iterator[ox.Triple]:
    """Yield that what claims speak of, and no path maps, is an entity of whatever class."""
    known = {each.subject.value for each in made if each.predicate == _TYPE}  # type: ignore[union-attr]
    known |= {str(iri) for iri in holdings.graphs}
    spoken = {
        term
        for told in holdings.graphs.values()
        for subject, property_, value in told
        if property_ not in _FRAME
        for term in (subject, value)
    }
    for term in spoken:
        if not isinstance(term, Literal) and str(term) not in known:
            yield _crm(term, RDF.type, CRM.E1_CRM_Entity)


def _types(made: set[ox.Triple]) -> Iterator[ox.Triple]:
    """Yield what the vocabulary and its schemes say of the types: labels, and what is wider."""
    known, kind = vocabulary(), ox.NamedNode(str(CRM.E55_Type))
    waiting = {str(each.subject.value) for each in made if each.object == kind}  # type: ignore[union-attr]
    done: set[str] = set()
    while waiting:
        name = URIRef(waiting.pop())
        done.add(str(name))
        yield _crm(name, RDF.type, CRM.E55_Type)
        for property_ in (RDFS.label, SKOS.prefLabel):
            for text in known.objects(name, property_):
                yield _crm(name, RDFS.label, text)
        for wide in known.objects(name, SKOS.broader):
            yield _crm(name, CRM.P127_has_broader_term, wide)
            waiting |= {str(wide)} - done
