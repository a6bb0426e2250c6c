"""A store elsewhere, and named questions put to it by the SPARQL 1.1 Protocol.

It holds what `glost export` writes or `glost upload` hands over. Stores differ in what a query that
names no graph reads: the store's own default graph (Oxigraph, Fuseki, rdflib), or every graph it
has at once (Virtuoso). What is believed is a graph of its own either way, and the store is asked
which (`described`): where it is no default graph, all that a question asks of it is asked of the
named graph, with ``GRAPH`` around the whole (SPARQL 1.1 Query, section 13.3). ``FROM`` would do
likewise, but leaves no graph for the claims: without ``FROM NAMED`` a query that has ``FROM`` has
no named graphs (section 13.2).
"""

import csv
import io
import json
import re
import time
from collections.abc import Container, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlencode, urlsplit

import pyoxigraph as ox
from rdflib import Graph, URIRef
from rdflib.namespace import DCTERMS, RDFS, SKOS, XSD

from glost.answer.dataset import VOCABULARY
from glost.answer.parameters import Things
from glost.answer.questions import Answer, QuestionData, Value, question
from glost.answer.refusals import QueryError, bare, brackets, form_of, refuse
from glost.answer.remote_evidence import EvidenceAt, RemoteBasis, SourcesAt
from glost.answer.sparql import Result, result_of
from glost.limits import ANSWER
from glost.names import PREFIXES
from glost.usage import UsageError
from glost.words.labels import Words, of_point

if TYPE_CHECKING:
    import httpx2 as httpx

_PROBES = Path(__file__).with_name("probes.csv")
_FORM = "application/x-www-form-urlencoded"
_JSON, _XML = "application/sparql-results+json", "application/sparql-results+xml"
_TRIPLES = {
    "application/n-triples": ox.RdfFormat.N_TRIPLES,
    "text/turtle": ox.RdfFormat.TURTLE,
    "application/rdf+xml": ox.RdfFormat.RDF_XML,
}
_FORMATS = {
    _JSON: ox.QueryResultsFormat.JSON,
    "application/json": ox.QueryResultsFormat.JSON,
    _XML: ox.QueryResultsFormat.XML,
    "application/xml": ox.QueryResultsFormat.XML,
}
_MOST = "x-sparql-maxrows"
"""Where Virtuoso says that it gave no more rows than it ever gives."""
_TRUTH = {"0": "false", "1": "true"}
_SHOWN = 200
_AT_ONCE = 100
"""Things whose names are asked for in one request."""
_DECLARED = re.compile(r"\bprefix\s+([^\s:]*):", re.IGNORECASE)
_HAS_WORDS = "ASK { glost:Shape a owl:Class }"
_HAS_RECORD = "ASK { ?claim a glost:Claim ; prov:hadPrimarySource ?source }"
_BELIEVED = (
    f"SELECT DISTINCT ?graph {{ GRAPH ?graph {{ glost:Shape a owl:Class }} "
    f"FILTER(?graph != <{VOCABULARY}>) }} ORDER BY ?graph"
)
_RECORDS = (
    "SELECT DISTINCT ?graph { GRAPH ?graph { ?claim a glost:Claim ; "
    "prov:hadPrimarySource ?source } } ORDER BY ?graph"
)
_NAMING = (SKOS.prefLabel, RDFS.label, DCTERMS.title)


class RemoteError(UsageError):
    """A store that gives no answer; the message says what it did and what to do."""


@dataclass(frozen=True)
class RemoteStore:
    """A store that is asked over the network, as `glost.answer.store.Queried` has it.

    Attributes
    ----------
    address
        Where it answers queries; http or https.
    seconds
        How long it may take over a query.
    believed
        The named graph that is asked of whatever names no graph; empty for the store's default
        graph.
    octets
        How large an answer may be.
    user, password
        For a store that asks for them (RFC 7617); empty otherwise. Neither is ever told.
    """

    address: str
    seconds: float = 60.0
    believed: str = ""
    octets: int = ANSWER
    user: str = field(default="", repr=False)
    password: str = field(default="", repr=False)
    _client: "httpx.Client | None" = field(default=None, repr=False, compare=False)

    def query(self, query: str) -> ox.QuerySolutions | ox.QueryBoolean | ox.QueryTriples:
        """Put a SELECT or ASK query; the usual prefixes need not be declared.

        Raises
        ------
        RemoteError
            If the store cannot be reached, refuses, takes too long, or gives no table in JSON or
            XML, or too large a one.
        """
        text = within(query, self.believed) if self.believed else query
        media, written = self._send(_prefixed(text), f"{_JSON}, {_XML};q=0.8", _FORMATS)
        form = _FORMATS[media]
        try:
            if form is ox.QueryResultsFormat.JSON:
                written = _as_specified(written)
            return ox.parse_query_results(written, format=form)
        except (SyntaxError, ValueError, KeyError, TypeError, AttributeError) as error:
            raise self._error(f"gave {media} that cannot be read: {error}", _WHERE) from None

    def answer(self, text: str) -> Result:
        """Put a query of one's own: SELECT, ASK, CONSTRUCT or DESCRIBE.

        It is asked of what is believed, as of the collection itself, unless it says with FROM of
        which graphs it is asked.

        Raises
        ------
        glost.answer.refusals.QueryError
            If it asks another server, or would change the record; it is then not sent. Or if the
            store has no graph for what is believed but a named one, and the query cannot be put so.
        RemoteError
            As `query` does.
        """
        refuse(text)
        form = form_of(text)
        if form not in ("construct", "describe"):
            whole = self if not asks_graphs(text) else replace(self, believed="")
            return result_of(whole.query(text))
        asked = text
        if self.believed and not asks_graphs(text):
            asked = within_template(text, self.believed)
        media, written = self._send(_prefixed(asked), ", ".join(_TRIPLES), _TRIPLES)
        try:
            triples = ox.parse(written, format=_TRIPLES[media])
            lines = {f"{each.subject} {each.predicate} {each.object} .\n" for each in triples}
        except (SyntaxError, ValueError) as error:
            raise self._error(f"gave {media} that cannot be read: {error}", _WHERE) from None
        return Result("statements", (), "".join(sorted(lines)).encode())

    def quads_for_pattern(
        self,
        subject: ox.NamedNode | ox.BlankNode | ox.Triple | None,
        predicate: ox.NamedNode | None,
        object: ox.NamedNode | ox.BlankNode | ox.Literal | ox.Triple | None,
        graph_name: ox.NamedNode | ox.BlankNode | ox.DefaultGraph | None = None,
    ) -> Iterator[ox.Quad]:
        """Yield the statements of a pattern: of the default graph, or of any named graph."""
        slots = zip("spo", (subject, predicate, object), strict=True)
        pattern = " ".join(f"?{name}" if term is None else str(term) for name, term in slots)
        if not isinstance(graph_name, ox.DefaultGraph):
            pattern = f"GRAPH {graph_name or '?g'} {{ {pattern} }}"
        found = self.query(f"SELECT * {{ {pattern} }}")
        if not isinstance(found, ox.QuerySolutions):
            raise self._error("gave no table")
        names = {variable.value for variable in found.variables}
        for row in found:
            s, p, o, g = (
                row[name] if name in names else given
                for name, given in zip(
                    "spog", (subject, predicate, object, graph_name), strict=True
                )
            )
            yield ox.Quad(s, p, o, g)  # type: ignore[arg-type]

    def _send(self, text: str, accept: str, known: Container[str]) -> tuple[str, bytes]:
        """Send a query and return what the answer's media type is, and the answer."""
        import httpx2 as httpx  # comes with an extra

        until = time.monotonic() + self.seconds
        headers = {"content-type": _FORM, "accept": accept}
        body = urlencode({"query": text}).encode()
        try:
            with (
                self._connected() as client,
                client.stream(
                    "POST", self.address, content=body, headers=headers, timeout=self.seconds
                ) as answer,
            ):
                return self._media(answer, known), self._taken(answer, until)
        except httpx.TimeoutException:
            raise self._late() from None
        except (httpx.HTTPError, httpx.InvalidURL, OSError) as error:
            raise self._error(f"cannot be reached: {error or 'no answer'}", _REACH) from None

    @contextmanager
    def _connected(self) -> "Iterator[httpx.Client]":
        import httpx2 as httpx

        if self._client is not None:
            yield self._client
            return
        auth = httpx.BasicAuth(self.user, self.password) if self.user else None
        with httpx.Client(auth=auth, trust_env=False) as client:
            yield client

    def _media(self, answer: "httpx.Response", known: Container[str]) -> str:
        """Return the media type of an answer that has results."""
        status = answer.status_code
        media = answer.headers.get("content-type", "").partition(";")[0].strip().lower()
        if not answer.is_success:
            said = " ".join(_begin(answer).split())[:_SHOWN]
            told = f"answered {status} {answer.reason_phrase}".rstrip()
            told += f': "{said}"' if said else ""
            remedy = _REMEDIES.get(status, _OF_CLASS.get(status // 100, ""))
            if status in _UNKNOWN and self.user:
                remedy = "look at the name and password, and at what that user may read"
            raise self._error(told, remedy)
        if media not in known:
            kind = "a page" if media == "text/html" else "something else"
            raise self._error(
                f"gave {kind} ({media or 'of no media type'}), not the results of a query", _WHERE
            )
        return media

    def _taken(self, answer: "httpx.Response", until: float) -> bytes:
        taken = bytearray()
        for chunk in answer.iter_bytes():
            taken += chunk
            if len(taken) > self.octets:
                raise self._error(f"gave more than {self.octets:,} octets", _LESS)
            if time.monotonic() > until:
                raise self._late()
        if _MOST in answer.headers:
            most = answer.headers[_MOST]
            raise self._error(f"gave only the first {most} rows, as many as it ever gives", _CUT)
        return bytes(taken)

    def _late(self) -> RemoteError:
        return self._error(f"took longer than {self.seconds:g} seconds", "give it more: --seconds")

    def _error(self, told: str, remedy: str = "") -> RemoteError:
        return RemoteError(f"{self.address} {told}" + (f"; {remedy}" if remedy else ""))


_REACH = "look at the address, and whether the store is running"
_WHERE = "look up in the store's manual at which address it answers SPARQL queries"
_LESS = "ask of one thing: name it as a parameter"
_CUT = "ask of one thing, or let the store give more (ResultSetMaxRows)"
_REMEDIES = {
    401: "name a user with --user",
    403: "name a user who may read it with --user",
    404: _WHERE,
    405: _WHERE,
    413: _LESS,
    429: "ask again later",
    503: "ask again later",
    504: _LESS,
}
_UNKNOWN = (401, 403)
_OF_CLASS = {3: "give the address it leads to; it is not followed", 4: _WHERE}


def _as_specified(written: bytes) -> bytes:
    """Return results in JSON without what a store adds of its own, truth values as XSD writes them.

    SPARQL 1.1 Query Results JSON, section 3, lets a store add members, and XML Schema Datatypes
    lets it write ``1`` for ``true``.
    """
    read = json.loads(written)
    if "boolean" in read:
        return json.dumps({"head": {}, "boolean": read["boolean"]}).encode()
    bindings = read["results"]["bindings"]
    for term in (term for row in bindings for term in row.values()):
        if term.get("datatype") == str(XSD.boolean):
            term["value"] = _TRUTH.get(term["value"], term["value"])
    names = {"vars": read["head"]["vars"]}
    return json.dumps({"head": names, "results": {"bindings": bindings}}).encode()


def _begin(answer: "httpx.Response") -> str:
    """Return the first of what an answer says."""
    taken = b""
    for chunk in answer.iter_bytes():
        taken += chunk
        if len(taken) > _SHOWN:
            break
    return taken.decode("utf-8", errors="replace")


def within(query: str, graph: str) -> str:
    """Return a SELECT or ASK query whose whole pattern is asked of a named graph.

    Raises
    ------
    ValueError
        If the graph's name is no IRI.
    """
    return _within(query, graph, 0)


def within_template(query: str, graph: str) -> str:
    """Return a CONSTRUCT query whose whole pattern is asked of a named graph.

    Raises
    ------
    QueryError
        If it has no pattern apart from what it gives (``CONSTRUCT WHERE``, ``DESCRIBE``), around
        which alone the graph could stand.
    ValueError
        If the graph's name is no IRI.
    """
    if form_of(query) != "construct" or re.search(r"(?i)construct\s+(where|from)", bare(query)):
        raise QueryError(
            f"the store has what is believed in a named graph, <{graph}>, and such a query cannot "
            "be put to it alone",
            "write CONSTRUCT { … } WHERE { … } in full",
            trouble="refused",
        )
    return _within(query, graph, 1)


def _within(query: str, graph: str, number: int) -> str:
    """Put GRAPH around what stands in the so-manieth pair of outermost brackets."""
    depth, start, passed = 0, -1, -1
    for found in brackets(query):
        passed += found[0] == "{" and depth == 0
        depth += (found[0] == "{") - (found[0] == "}")
        if start < 0 and found[0] == "{" and passed == number:
            start = found.end()
        elif start >= 0 and not depth:
            inside = query[start : found.start()]
            name = str(ox.NamedNode(graph))
            return f"{query[:start]} GRAPH {name} {{{inside}}} {query[found.start() :]}"
    return query


def asks_graphs(query: str) -> bool:
    """Say whether a query names with FROM the graphs that it is asked of."""
    return re.search(r"(?i)(?<![?$\w:-])from(?![\w:-])", bare(query).partition("{")[0]) is not None


def _prefixed(query: str) -> str:
    """Return a query with the usual prefixes declared that it does not declare itself."""
    own = {name.casefold() for name in _DECLARED.findall(bare(query))}
    lines = (f"PREFIX {n}: <{iri}>\n" for n, iri in PREFIXES.items() if n.casefold() not in own)
    return "".join(lines) + query


@dataclass(frozen=True)
class StoreDescription:
    """What a store says of the collection it holds.

    Attributes
    ----------
    base
        Base IRI of the collection.
    believed
        The named graph of what is believed and what follows; empty if it is the default graph.
    """

    base: str
    believed: str


def described(store: RemoteStore, graph: str = "") -> StoreDescription:
    """Ask a store which collection it holds, and where what is believed stands.

    Parameters
    ----------
    store
        The store.
    graph
        The named graph of what is believed; empty if the store is to be asked.

    Raises
    ------
    RemoteError
        If it holds none, or several, or what is believed is in no graph of its own.
    """
    bases = [each.removesuffix("record") for each in _graphs(store, _RECORDS)]
    if not bases:
        raise RemoteError(f"{store.address} holds no collection; {_HAND_OVER}")
    if len(bases) > 1:
        raise RemoteError(
            f"{store.address} holds {len(bases)} collections ({', '.join(bases)}), whose claims a "
            "question would mix; hand each over to a store or dataset of its own"
        )
    if graph:
        return StoreDescription(bases[0], graph)
    if _yes(store, _HAS_WORDS) and not _yes(store, _HAS_RECORD):
        return StoreDescription(bases[0], "")
    believed = _graphs(store, _BELIEVED)
    if len(believed) != 1:
        which = "several graphs hold" if believed else "no graph of its own holds"
        raise RemoteError(
            f"{store.address} reads every graph where a query names none, and {which} what is "
            f"believed; name it with --graph, or {_HAND_OVER}"
        )
    return StoreDescription(bases[0], believed[0])


_HAND_OVER = "hand the collection over with glost upload"


def _yes(store: RemoteStore, query: str) -> bool:
    """Say whether a query has an answer; Virtuoso gives a table for ASK within GRAPH."""
    found = store.query(query)
    if isinstance(found, ox.QuerySolutions):
        rows = [[getattr(term, "value", "") for term in row] for row in found]
        return bool(rows) and all(all(row) and row != ["0"] for row in rows)
    return bool(found)


def _graphs(store: RemoteStore, query: str) -> list[str]:
    found = store.query(query)
    if not isinstance(found, ox.QuerySolutions):
        return []
    return [row[0].value for row in found if isinstance(row[0], ox.NamedNode)]


def probe(store: RemoteStore) -> None:
    """Ask a store what the specification alone decides; ``probes.csv`` says what.

    Each query has a solution whose every cell has a value, or none, as the column ``answer`` has
    it. Those are tried on which stores are known to differ and on which questions rest.

    Raises
    ------
    RemoteError
        If it answers otherwise: then its answers to questions would be wrong, and nobody would see.
    """
    for each in csv.DictReader(io.StringIO(_PROBES.read_text(encoding="utf-8"))):
        if _yes(store, each["query"]) != (each["answer"] == "yes"):
            raise RemoteError(
                f"{store.address} does not answer queries as specified ({each['specification']}: "
                f"{each['says']}), so that its answers may be wrong; ask the collection, or hand "
                "it over to a store that does"
            )


@dataclass(frozen=True)
class AnswersAt:
    """Answers questions about the collection that a store elsewhere holds.

    Attributes
    ----------
    store
        The store.
    asked
        What questions are put to.
    base
        Base IRI of the collection.
    evidence
        Finds the claims under rows.
    """

    store: RemoteStore
    asked: QuestionData
    base: str
    evidence: EvidenceAt

    def ask(self, name: str, **parameters: object) -> Answer:
        """Put a named question; see `glost.answer.questions.Question.ask`.

        The rows are those that the collection itself would give. The claims under a row are looked
        up in the store when they are asked for; see `glost.answer.remote_evidence`.

        Raises
        ------
        RemoteError
            As `RemoteStore.query` does.
        """
        return question(name).ask(self.asked, **parameters)

    def sparql(self, text: str) -> Result:
        """Put a query of one's own; see `RemoteStore.answer`."""
        return self.store.answer(text)

    def words(self, answer: Answer) -> Words:
        """Return what everything in an answer is called, as the store's graphs name it."""
        return Words(Graph(), self._names(_things(answer)))

    def told(self, answer: Answer) -> RemoteBasis:
        """Look up all that an answer rests on, and return what its words are made from."""
        told = (*answer.rows, *answer.notes)
        claims = {claim.iri: claim for each in told for claim in each.support}
        belief = self.evidence.belief
        claims |= {claim.iri: claim for claim in belief.withdrawn.values()}
        sources = SourcesAt(self.store, tuple(claims.values()))
        beyond = {str(term) for each in told for triple in each.beyond for term in triple
                  if isinstance(term, URIRef)}  # fmt: skip
        words = Words(sources.graph, self._names(_things(answer) | sources.named() | beyond))
        return RemoteBasis(self.base, belief, words)

    def _names(self, things: set[str]) -> dict[str, str]:
        wholes = {iri for each in things for iri in (each, each.partition("#")[0])}
        called = self._called(sorted(wholes))
        for each in sorted(things - set(called)):
            whole = called.get(each.partition("#")[0])
            name = None if whole is None else of_point(URIRef(each), whole)
            called |= {} if name is None else {each: name}
        return called

    def _called(self, things: list[str]) -> dict[str, str]:
        found: dict[str, dict[str, str]] = {}
        for begin in range(0, len(things), _AT_ONCE):
            some = " ".join(str(ox.NamedNode(iri)) for iri in things[begin : begin + _AT_ONCE])
            naming = " ".join(f"<{property_}>" for property_ in _NAMING)
            rows = self.store.query(
                f"SELECT ?thing ?naming ?name {{ VALUES ?thing {{ {some} }} "
                f"VALUES ?naming {{ {naming} }} ?thing ?naming ?name }}"
            )
            for row in rows if isinstance(rows, ox.QuerySolutions) else ():
                thing, by, name = (getattr(term, "value", "") for term in row)
                names = found.setdefault(thing, {})
                names[by] = min(name, names.get(by, name))
        return {thing: _first(names) for thing, names in found.items()}


def _things(answer: Answer) -> set[str]:
    """Return the IRIs that an answer names."""
    values: list[Value] = [value for row in answer.rows for value in row.values]
    values += [value for _, value in answer.settings]
    values += [value for note in answer.notes for value in note.values.values()]
    return {str(value) for value in values if isinstance(value, URIRef)}


def _first(names: Mapping[str, str]) -> str:
    return next(names[str(by)] for by in _NAMING if str(by) in names)


@contextmanager
def at(
    address: str, *, graph: str = "", seconds: float = 60.0, user: str = "", password: str = ""
) -> Iterator[AnswersAt]:
    """Open a store elsewhere for questions; nothing but this address is asked.

    Parameters
    ----------
    address
        Where it answers SPARQL queries; http or https. Redirects are not followed.
    graph
        The named graph of what is believed; empty to ask the store.
    seconds
        How long it may take over each query.
    user, password
        For a store that asks for them; see `RemoteStore`.

    Raises
    ------
    RemoteError
        If the address is none, or as `described` does.
    """
    import httpx2 as httpx

    parts = urlsplit(address)
    if "@" in parts.netloc:  # it would be told in messages
        raise RemoteError("the address holds a name or password; give the name with --user")
    if parts.scheme not in ("http", "https") or not parts.hostname:
        raise RemoteError(
            f'"{address}" is no address of a store; give one with http:// or https://'
        )
    auth = httpx.BasicAuth(user, password) if user else None
    with httpx.Client(auth=auth, trust_env=False) as client:
        plain = RemoteStore(address, seconds, user=user, password=password, _client=client)
        known = described(plain, graph)
        store = replace(plain, believed=known.believed)
        probe(store)
        evidence = EvidenceAt(store, known.base)
        asked = QuestionData(store, Things(store, known.base), evidence)
        yield AnswersAt(store, asked, known.base, evidence)
