"""What things are called: labels made from the record by patterns that are data.

A thing's own name leads, where it has one; else what is known of it is put together as
``patterns.toml`` has it. Things of a kind that would be called alike are told apart by more of what
is known, at last by their ids. A label needs the record alone; a heading adds what dates the thing.
"""

from collections.abc import Callable, Container, Iterable, Iterator, Mapping
from contextlib import contextmanager
from functools import cache, cached_property
from typing import NamedTuple, Protocol
from urllib.parse import unquote

from rdflib import Graph, Literal, URIRef
from rdflib.namespace import DCTERMS, RDF, RDFS, SKOS
from rdflib.term import Node

from glost.data import vocabulary
from glost.names import EDTF, GLOST, SCHEMES
from glost.record.claims import Claim, Triple
from glost.record.dates import DateError, describe
from glost.record.dates import read as read_date
from glost.words.english import joined
from glost.words.patterns import (
    KindPatterns,
    OptionalParts,
    PathStep,
    Pattern,
    PatternPart,
    PropertyPath,
    led_from,
    own_paths,
    own_properties,
    patterns,
    terms,
)
from glost.words.spans import life, loosely, years

NAMES = (RDFS.label, SKOS.prefLabel, DCTERMS.title)
"""The properties of a thing's own name, the first of them that it has before the others."""

_OF_POINT = {
    "begin": "start of ",
    "end": "end of ",
    "made": "date of making of ",
    "decorated": "date of decorating of ",
    "run": "time of ",
    "region": "part shown of ",
}
POINTS = tuple(_OF_POINT)
"""What the IRI of a point or stretch in a thing's life ends with."""
_SEVERAL = 3
"""So many values of one property are told in a label."""


def of_point(point: URIRef, whole: str) -> str | None:
    """Return what a point or stretch in a thing's life is called, given what the thing is called.

    None if its IRI ends as that of no such point.
    """
    words = _OF_POINT.get(str(point).partition("#")[2])
    return None if words is None else words + whole


class WordedTimes(Protocol):
    """What words need of a chronology: when a point falls at the earliest and latest."""

    def bounds(self, point: URIRef) -> "PointBounds":
        """Return when a point falls, with what clashes settled at the least cost."""

    def reading_bounds(self, point: URIRef) -> "PointBounds":
        """Return when a point falls however contradictions are settled."""


class PointBounds(Protocol):
    """When a point falls at the earliest and latest."""

    @property
    def earliest(self) -> int | None:
        """The first day on which it may fall; None where nothing bounds it."""

    @property
    def latest(self) -> int | None:
        """The last day on which it may fall; None where nothing bounds it."""


_OFTEN = 300
"""Times after which looking round for what is called alike costs more than looking through all."""


_NAMED = tuple(((PathStep(name, inverse=False),),) for name in NAMES)
"""The ways to a thing's names, as patterns have them."""


class _Text(NamedTuple):
    """What a thing is called within a sentence, and whether it was put together."""

    text: str
    made: bool = False


class Words:
    """What things are called in a graph, each looked up once.

    It may stand wherever a function of this package takes a graph.

    Parameters
    ----------
    graph
        What is believed, with the vocabulary; it must not change any more. Or what gives it, asked
        for the first thing that is not among those known.
    known
        What is known already: labels by IRI.
    claims
        Finds a claim by its IRI; without it, claims are called by their ids.
    """

    def __init__(
        self,
        graph: Graph | Callable[[], Graph],
        known: Mapping[str, str] | None = None,
        claims: Callable[[str], Claim | None] | None = None,
    ) -> None:
        self._graph = graph
        self._known = known or {}
        self._claims = claims
        self._labels: dict[Node, str] = {}
        self._alike: dict[URIRef, _Text] = {}
        self._distinct: dict[URIRef, _Text] = {}
        self._looked_round = 0
        self._by_text: dict[str, dict[str, set[URIRef]]] = {}
        self._being_gathered: set[str] = set()

    def label(self, term: Node) -> str:
        """Return what a thing is called; see `label`."""
        if term not in self._labels:
            self._labels[term] = self._found(term)
        return self._labels[term]

    def take_over(self, before: "Words", changed: Container[URIRef]) -> None:
        """Take over what things are called in the same graph as it was before a change.

        Parameters
        ----------
        before
            What words them as they were.
        changed
            Every thing that may be called otherwise now, and every thing of which something is
            stated or no longer stated. Only what is called by patterns, or is no thing of the
            record, is taken over: of all else nothing says what its name hangs on; nor of what is
            told by a claim, which is called by all that it says.
        """
        taken = {kind for kind in patterns() if not told_by_claims(kind)}

        def stays(term: Node) -> bool:
            if not isinstance(term, URIRef):
                return True
            whole, _, point = term.partition("#")
            if str(term).startswith((SCHEMES, GLOST)):
                return term not in changed
            named = kind_of(URIRef(whole)) in taken and (not point or point in _OF_POINT)
            return named and URIRef(whole) not in changed and term not in changed

        told = {*before._labels, *before._alike, *before._distinct}
        stay = {term for term in told if stays(term)}
        self._labels.update({t: text for t, text in before._labels.items() if t in stay})
        self._alike.update({t: text for t, text in before._alike.items() if t in stay})
        self._distinct.update({t: text for t, text in before._distinct.items() if t in stay})

    def _found(self, term: Node) -> str:
        if not isinstance(term, URIRef):
            return str(term)
        known = self._known.get(str(term))
        if known is not None:
            return known
        text, made = self._within(term)
        return text[:1].upper() + text[1:] if made else text

    @cached_property
    def graph(self) -> Graph:
        """What is believed, with the vocabulary."""
        return self._graph if isinstance(self._graph, Graph) else self._graph()

    # -- labels ------------------------------------------------------------------------------------

    def within(self, term: URIRef) -> str:
        """Return what a thing is called within a sentence: what was put together begins small."""
        return self._within(term).text

    def named(self, thing: URIRef) -> bool:
        """Say whether a thing is called by a name or number of its own."""
        made = self._base(thing).made
        return not made or first(self.graph, thing, GLOST.treatmentNumber) is not None

    def by_itself(self, thing: URIRef) -> str:
        """Return what a thing is called by itself, before it is told apart from others."""
        return self._base(thing).text

    def told_apart(self, alike: Iterable[URIRef], text: str) -> dict[URIRef, str]:
        """Return what each of some things of a kind is called that are all called alike by itself.

        Parameters
        ----------
        alike
            All things of their kind that are called so.
        text
            What each is called by itself.
        """
        things = sorted(alike)
        its = patterns().get(kind_of(things[0])) if things else None
        more = list(its.apart) if its is not None else []
        return {each: told.text for each, told in self._apart(things, _Text(text), more)}

    def known(self, thing: URIRef) -> bool:
        """Say whether anything is known that a thing could be called by."""
        return self._base(thing).text != _last_resort(thing)

    def findable(self, term: Node) -> str:
        """Return a label; of a piece with its id, since many are called alike but for that."""
        if isinstance(term, URIRef) and kind_of(term) == "piece":
            return self.with_id(term)
        return self.label(term)

    def with_id(self, thing: URIRef) -> str:
        """Return a label with the id, by which it can be asked for: ``Saucer, Alder (wv-056)``."""
        found, slug = self.label(thing), _slug(thing)
        if found.casefold() == slug.casefold() or found.endswith((f"({slug})", f" {slug}")):
            return found
        return f"{found} ({slug})"

    def _within(self, term: URIRef) -> _Text:
        """Return the same, told apart from all others, and whether it was put together."""
        if term not in self._distinct:
            self._distinct[term] = _Text(_last_resort(term))  # what is known only by itself
            self._distinct.update(self._told_apart(term))
        return self._distinct[term]

    def _told_apart(self, term: URIRef) -> dict[URIRef, _Text]:
        whole, _, point = str(term).partition("#")
        if point in _OF_POINT and whole != str(GLOST).rstrip("#"):
            return {term: _Text(_OF_POINT[point] + self._within(URIRef(whole)).text)}
        if kind_of(term) == "claim" and self._claims is not None:
            claim = self._claims(term)
            return {term: _Text(self.claim(claim), True)} if claim is not None else {}
        found = self._base(term)
        its = patterns().get(kind_of(term))
        known = getattr(self.graph, "told_apart", None)  # some have told them apart already
        told = known(term, found.text) if known is not None and its is not None else None
        if told is not None:
            return {term: _Text(told, found.made)}
        alike = self._called_alike(term, found, its) if its is not None else {term}
        if its is None or len(alike) < 2:
            return {term: found}
        return dict(self._apart(alike, found, list(its.apart)))

    def _called_alike(self, term: URIRef, found: _Text, its: KindPatterns) -> set[URIRef]:
        """Return the things of its kind that are called the same, the thing among them.

        They agree in what the label is made of, so only those are looked at that do in one of it.
        """
        graph, kind = self.graph, kind_of(term)
        known = getattr(graph, "called_alike", None)  # some know without looking round
        alike = known(kind, found.text) if known is not None else ()
        if term in alike:  # else it is called by what they know nothing of, such as a claim
            return set(alike)
        self._looked_round += 1
        if self._looked_round > _OFTEN and kind not in self._being_gathered:
            return {term, *self._gathered(kind).get(found.text, ())}
        for ways in (*(_NAMED if not found.made else ()), *its.key, *_NAMED):
            value = next(filter(None, (_end(graph, term, path) for path in ways)), None)
            if value is not None:
                # Two claims may be called alike; what is named by them agrees in none.
                by_claim = told_by_claims(kind)
                near = {
                    each
                    for path in ways
                    for each in (
                        graph.subjects(path[0].property_)
                        if by_claim
                        else led_from(graph, path, value)
                    )
                    if isinstance(each, URIRef) and kind_of(each) == kind
                }
                return {each for each in near if self._base(each).text == found.text} | {term}
        return {term}

    def _gathered(self, kind: str) -> dict[str, set[URIRef]]:
        """Return the things of a kind by what each is called by itself, gathered once."""
        if kind not in self._by_text:
            self._being_gathered.add(kind)  # whose names may be made of others of the kind
            found: dict[str, set[URIRef]] = {}
            for each in self._of_kind.get(kind, ()):
                found.setdefault(self.by_itself(each), set()).add(each)
            self._being_gathered.discard(kind)
            self._by_text[kind] = found
        return self._by_text[kind]

    @cached_property
    def _of_kind(self) -> dict[str, set[URIRef]]:
        found: dict[str, set[URIRef]] = {}
        for each in {URIRef(str(s).partition("#")[0]) for s in self.graph.subjects()}:
            found.setdefault(kind_of(each), set()).add(each)
        return found

    def _apart(
        self, alike: Iterable[URIRef], found: _Text, more: list[Pattern]
    ) -> Iterator[tuple[URIRef, _Text]]:
        """Yield what things that are called alike are called with what tells them apart."""
        alike = sorted(alike)
        if not alike:
            return
        if len(alike) == 1:
            yield alike[0], found
        elif not more:
            yield from (
                (each, _Text(f"{found.text} ({_slug(each)})", found.made)) for each in alike
            )
        else:
            groups: dict[str, list[URIRef]] = {}
            for each in alike:
                added = self._filled(each, more[0]) or ""
                groups.setdefault(added, []).append(each)
            for added, group in groups.items():
                text = found.text + (added if len(groups) > 1 else "")
                yield from self._apart(group, _Text(text, found.made), more[1:])

    def _base(self, term: URIRef) -> _Text:
        """Return what a thing is called by itself, whatever others are called."""
        if term not in self._alike:
            self._alike[term] = self._made(term)
        return self._alike[term]

    def _made(self, term: URIRef) -> _Text:
        its = patterns().get(kind_of(term)) or self._by_class(term)
        name = terms().get(term) or self._name(term)
        if its is None:
            return _Text(name) if name else _Text(_last_resort(term), bool(kind_of(term)))
        for pattern in its.label:
            text = self._filled(term, pattern)
            if text is not None:
                return _Text(text, text != name)
        return _Text(_last_resort(term), True)

    def _by_class(self, term: URIRef) -> KindPatterns | None:
        if "#" not in term and kind_of(term) != "judgement":
            return None
        classes = sorted(str(each).removeprefix(GLOST) for each in self.graph[term : RDF.type])
        return next((patterns()[each] for each in classes if each in patterns()), None)

    def _name(self, term: URIRef) -> str:
        for property_ in NAMES:
            found = sorted(
                self.graph.objects(term, property_), key=lambda o: (not _english(o), str(o))
            )
            if found:
                return str(found[0])
        return ""

    # -- patterns ----------------------------------------------------------------------------------

    def _filled(self, term: URIRef, pattern: Iterable[object]) -> str | None:
        """Fill a pattern; None if a part of it is not known."""
        told = []
        for part in pattern:
            if isinstance(part, OptionalParts):
                told.append(self._filled(term, part.parts) or "")
            elif isinstance(part, PatternPart):
                value = self._chosen(term, part)
                if not value:
                    return None
                told.append(value)
            else:
                told.append(str(part))
        return "".join(told)

    def _chosen(self, term: URIRef, part: PatternPart) -> str:
        for choice in part.choices:
            if isinstance(choice, str):
                return choice
            name = "" if choice else self._name(term)
            if value := self._values(term, choice, part.less) if choice else name:
                return value
        return ""

    def _values(self, term: URIRef, path: PropertyPath, less: str) -> str:
        graph = self.graph
        found: set[Node] = {term}
        for property_, inverse in ((step.property_, step.inverse) for step in path):
            found = {
                value
                for each in found
                for value in (graph.subjects(property_, each) if inverse
                              else graph.objects(each, property_))
            }  # fmt: skip
        texts = sorted({self._value(each).removesuffix(less) for each in found})
        if len(texts) < 2:
            return "".join(texts)
        single = (path[-1].property_, GLOST.singleValued, None) in graph
        return joined(texts, _SEVERAL, "or" if single else "and")

    def _value(self, value: Node) -> str:
        return self.within(value) if isinstance(value, URIRef) else date_in_words(value)

    def rests_on(self, thing: URIRef) -> tuple[Triple, ...]:
        """Return what is stated of a thing that its label may be made of."""
        its = patterns().get(kind_of(thing))
        properties = dict.fromkeys(NAMES)
        if its is not None:
            several = (*its.label, *its.apart)
            properties.update(
                dict.fromkeys(own_properties(part for one in several for part in one))
            )
        return tuple(
            each for name in properties for each in self.graph.triples((thing, name, None))
        )

    # -- headings ----------------------------------------------------------------------------------

    def heading(self, thing: URIRef, times: WordedTimes) -> str:
        """Return a label with what dates the thing; see `heading`."""
        its, found = patterns().get(kind_of(thing)), self.label(thing)
        if its is None or not its.dates or "#" in thing:
            return found
        points = self.points(thing)
        told = _dated(its, points, times.bounds)
        if not told or told.strip(" ,()") in found:
            return found
        settled = told == _dated(its, points, times.reading_bounds)
        return found + told + ("" if settled else " (disputed)")

    def points(self, thing: URIRef) -> tuple[URIRef, ...]:
        """Return the points by which a heading dates a thing."""
        its = patterns().get(kind_of(thing))
        if its is None or not its.dates:
            return ()
        names = ("begin", "end") if its.point == "run" else (its.point,)
        return tuple(thing if name == "itself" else URIRef(f"{thing}#{name}") for name in names)

    def source(self, source: URIRef) -> str:
        """Cite a source by its short title and year: ``Catalogue No. 6, 1906``.

        A title is cut where its pattern says so, if nothing else is called what is left; a year
        that the title holds is not said again.
        """
        found, its = self.label(source), patterns()[SOURCE]
        title = self._name(source) if kind_of(source) == SOURCE else ""
        if title and found.startswith(title) and its.short:
            cut = Literal(title.partition(its.short)[0])
            if title[:1] == "[" and "]" not in cut:
                cut = Literal(f"{cut}]")
            if not any((None, name, cut) in self.graph for name in NAMES):
                found = str(cut) + found.removeprefix(title)
        if kind_of(source) == "piece":
            return self.with_id(source)
        date = first(self.graph, source, GLOST.sourceDate) if title else None
        told = _literal_years(date) if date is not None else ""
        return found if not told or told in found else f"{found}, {told}"

    def claim(self, claim: Claim) -> str:
        """Name a claim by where it stands and what it speaks of."""
        about = list(dict.fromkeys(str(s).partition("#")[0] for s, _, _ in claim.statements))
        articles = [each for each in about if kind_of(URIRef(each)) == "article"]
        about = articles or about  # of a line of a list, what it offers
        names = joined((self.within(URIRef(each)) for each in about), _SEVERAL)
        if set(about) == {str(claim.passage.source)}:
            return f"what {names} shows"
        place = f", {claim.passage.locator}," if claim.passage.locator else ""
        return f"what {self.source(claim.passage.source)}{place} says of {names}"


SOURCE = "source"


def _literal_years(date: Node) -> str:
    try:
        found = read_date(str(date), 0)
    except DateError:
        return ""
    told = years((found.earliest, found.latest))
    return f"about {told}" if told and "~" in str(date) else told


def _dated(
    its: KindPatterns, points: Iterable[URIRef], bounds: Callable[[URIRef], PointBounds]
) -> str:
    """Return what a heading adds to a label."""
    spans = [(each.earliest, each.latest) for each in map(bounds, points)]
    if len(spans) == 1:
        told = years(spans[0])
    else:
        told = life(spans[0], spans[1])
        if not told and (loose := loosely(spans[0], spans[1], its.begun, its.ended)):
            return f", {loose}"
    return its.dates.format(told) if told else ""


@cache
def told_by_claims(kind: str) -> bool:
    """Say whether things of a kind are called by claims that they name."""
    its = patterns().get(kind)
    paths = own_paths(part for one in (*its.label, *its.apart) for part in one) if its else ()
    claims = (RDFS.range, GLOST.Claim)
    return any((step.property_, *claims) in vocabulary() for path in paths for step in path)


def words_of(graph: Graph | Words) -> Words:
    """Return words, from what stands where they may."""
    if isinstance(graph, Words):
        return graph
    known: Words | None = vars(graph).get("words")
    return Words(graph) if known is None else known


@contextmanager
def remembered(graph: Graph) -> Iterator[None]:
    """Name each thing once while this lasts, and the graph must not change.

    Parameters
    ----------
    graph
        What is believed, with the vocabulary: whoever words anything from it takes the same words.
    """
    before, vars(graph)["words"] = vars(graph).get("words"), Words(graph)
    try:
        yield
    finally:
        vars(graph)["words"] = before


def graph_of(words: Graph | Words) -> Graph:
    """Return what is believed, with the vocabulary, from what stands where a graph may."""
    return words.graph if isinstance(words, Words) else words


def labels(words: Words) -> dict[str, str]:
    """Return what everything is called of which words can tell, by IRI."""
    terms = {term for triple in words.graph for term in triple if isinstance(term, URIRef)}
    return {str(term): words.label(term) for term in sorted(terms)}


def label(term: Node, graph: Graph | Words) -> str:
    """Return what a thing is called.

    Parameters
    ----------
    term
        A thing, a concept, a class, a property or a literal.
    graph
        What is believed, with the vocabulary.

    Returns
    -------
    str
        Its name, or what the patterns of its kind make of what is known, told apart from whatever
        else of its kind would be called the same; its kind and id if nothing is known. A literal
        as it stands.
    """
    return words_of(graph).label(term)


def heading(thing: URIRef, graph: Graph | Words, times: WordedTimes) -> str:
    """Return what a thing is called, with the years that date it: what stands above its page.

    Parameters
    ----------
    thing
        The thing.
    graph
        What is believed, with the vocabulary.
    times
        The chronology.
    """
    return words_of(graph).heading(thing, times)


def _end(graph: Graph | Words, term: Node, path: PropertyPath) -> Node | None:
    """Return where a path leads to from a thing, the first of several; None if nowhere."""
    own = graph_of(graph)
    ends: set[Node] = {term}
    for step in path:
        ends = {
            each
            for at in ends
            for each in (own.subjects(step.property_, at) if step.inverse
                         else own.objects(at, step.property_))
        }  # fmt: skip
    return min(ends, key=repr, default=None)


def first(graph: Graph | Words, term: Node, property_: URIRef) -> Node | None:
    """Return a value of a property, the same one whatever the order in which they were recorded."""
    return min(graph_of(graph).objects(term, property_), key=repr, default=None)


def kind_of(term: URIRef) -> str:
    """Return the kind of a thing by its IRI: ``shape``; empty for what has none."""
    if "#" in term or str(term).startswith((SCHEMES, str(DCTERMS))):
        return ""
    parts = str(term).rsplit("/", 2)
    return parts[-2] if len(parts) > 2 else ""


def _slug(term: URIRef) -> str:
    return unquote(str(term).rsplit("#" if "#" in term else "/", 1)[-1])


def _last_resort(term: URIRef) -> str:
    return f"{kind_of(term)} {_slug(term)}".strip()


def date_in_words(term: Node) -> str:
    """Return a date in words; any other literal as it stands."""
    if not isinstance(term, Literal) or term.datatype != EDTF:
        return str(term)
    try:
        return describe(read_date(str(term)))
    except DateError:
        return str(term)


def _english(node: Node) -> bool:
    return isinstance(node, Literal) and (node.language or "en").startswith("en")
