"""Which things are called alike but for what tells them apart, kept up to date.

Whether a label needs more than its parts depends on every other thing of its kind. What asks for a
label therefore notes the text it looked for, and is made again only if other things bear that text.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache

from rdflib import Graph, URIRef
from rdflib.graph import ReadOnlyGraphAggregate
from rdflib.term import Node

from glost.record.claims import Triple
from glost.words.labels import POINTS, Words, kind_of
from glost.words.patterns import PropertyPath, led_from, own_paths, patterns

CalledText = tuple[str, str]
"""A kind of things, and what one of them is called by itself."""


class CalledAlike:
    """The things of a collection by what each is called by itself.

    Parameters
    ----------
    graph
        What is believed, with the vocabulary, to begin with.
    texts
        What each thing is called by itself, if that is known; else it is looked up.
    """

    def __init__(self, graph: Graph, texts: Mapping[str, str] | None = None) -> None:
        if texts is None:
            words = Words(graph)
            things = {each for each in map(_whole, graph.subjects()) if _has_patterns(each)}
            texts = {str(each): words.by_itself(each) for each in things}
        self._texts = dict(texts)
        self._things: dict[CalledText, set[URIRef]] = defaultdict(set)
        for iri, text in self._texts.items():
            self._things[kind_of(URIRef(iri)), text].add(URIRef(iri))

    @property
    def texts(self) -> Mapping[str, str]:
        """What each thing is called by itself, by IRI."""
        return self._texts

    def of(self, kind: str, text: str) -> frozenset[URIRef]:
        """Return the things of a kind that are called so."""
        return frozenset(self._things.get((kind, text), ()))

    def revise(
        self, graph: Graph, changed: Iterable[Triple]
    ) -> tuple[set[CalledText], set[URIRef]]:
        """Take in a change.

        Parameters
        ----------
        graph
            What is believed now, with the vocabulary.
        changed
            Every statement that came or went.

        Returns
        -------
        tuple
            The texts that other things bear than before; and the things that may be called
            otherwise now.
        """
        words, texts = Words(graph), set[CalledText]()
        waiting = {each for triple in changed for each in _named_by(graph, triple)}
        done, called = set[URIRef](), set[URIRef]()
        while waiting:
            thing = waiting.pop()
            if thing in done or not _has_patterns(thing):
                continue
            done.add(thing)
            kind, before = kind_of(thing), self._texts.get(str(thing))
            after = words.by_itself(thing) if (thing, None, None) in graph else None
            members = {thing}
            for text in {before, after} - {None}:
                members |= self._things[kind, str(text)]  # what tells them apart may be another
            if before != after:
                texts |= {(kind, text) for text in (before, after) if text is not None}
                self._put(thing, before, after)
            called |= members
            if before != after or len(members) > 1:
                waiting |= {x for each in members for x in _made_of(graph, each)} - done
        return texts, called

    def _put(self, thing: URIRef, before: str | None, after: str | None) -> None:
        kind = kind_of(thing)
        if before is not None:
            self._things[kind, before].discard(thing)
            del self._texts[str(thing)]
        if after is not None:
            self._things[kind, after].add(thing)
            self._texts[str(thing)] = after


class ToldApart:
    """What tells things apart that are called alike, worked out once for all of them.

    Parameters
    ----------
    called
        Which things are called alike.
    make
        Works out what tells those of a kind apart that are called so, and puts it in `texts`.
    texts
        What is worked out already: by kind and text, what each thing is called.
    """

    def __init__(
        self,
        called: CalledAlike,
        make: Callable[[str, str], None],
        texts: Mapping[CalledText, Mapping[str, str]],
    ) -> None:
        self.texts: dict[CalledText, Mapping[str, str]] = dict(texts)
        self._called, self._make = called, make
        self._being_made: set[CalledText] = set()

    def text(self, thing: URIRef, text: str) -> str | None:
        """Return what a thing is called that is called so by itself.

        None if nothing else is called so, or what tells them apart is being worked out.
        """
        key = kind_of(thing), text
        if key not in self.texts:
            alike = self._called.of(*key)
            if len(alike) < 2 or thing not in alike or key in self._being_made:
                return None
            self._make(*key)
        return self.texts[key].get(str(thing))

    def work_out(self, kind: str, text: str, graph: Graph) -> None:
        """Work out what the things of a kind are called that are called so by themselves."""
        self._being_made.add((kind, text))
        told = Words(graph).told_apart(self._called.of(kind, text), text)
        self._being_made.discard((kind, text))
        self.texts[kind, text] = {str(thing): its for thing, its in told.items()}


class WordedGraph(ReadOnlyGraphAggregate):
    """What is believed, with the vocabulary; it knows without looking round what is called alike.

    Parameters
    ----------
    graph
        What is believed, with the vocabulary.
    called
        Which things are called alike in it.
    apart
        What tells them apart.
    """

    def __init__(
        self, graph: ReadOnlyGraphAggregate, called: CalledAlike, apart: ToldApart
    ) -> None:
        super().__init__(graph.graphs)
        self.called_alike = called.of  # see `glost.words.labels`
        self.told_apart = apart.text


@cache
def _paths() -> dict[URIRef, tuple[tuple[str, PropertyPath, int], ...]]:
    """Return, by property, the paths of patterns that go by it: of what kind, and at which step."""
    found: dict[URIRef, list[tuple[str, PropertyPath, int]]] = defaultdict(list)
    for kind, its in patterns().items():
        for path in dict.fromkeys(
            own_paths(part for one in (*its.label, *its.apart) for part in one)
        ):
            for place, step in enumerate(path):
                found[step.property_].append((kind, path, place))
    return {verb: tuple(paths) for verb, paths in found.items()}


def _named_by(graph: Graph, triple: Triple) -> Iterator[URIRef]:
    """Yield the things whose labels may be made with a statement, its own thing first."""
    yield _whole(triple[0])
    for kind, path, place in _paths().get(URIRef(str(triple[1])), ()):
        start = triple[2] if path[place].inverse else triple[0]
        yield from _led_from(graph, kind, path[:place], start)


def _made_of(graph: Graph, thing: URIRef) -> Iterator[URIRef]:
    """Yield the things whose labels may be made with that of another, or of a part of its life."""
    for named in (thing, *(URIRef(f"{thing}#{point}") for point in POINTS)):
        ends = [(verb, False) for verb in graph.predicates(None, named)]
        ends += [(verb, True) for verb in graph.predicates(named, None)]
        for verb, inverse in set(ends):
            for kind, path, place in _paths().get(URIRef(str(verb)), ()):
                if place == len(path) - 1 and path[place].inverse == inverse:
                    yield from _led_from(graph, kind, path, named)


def _led_from(graph: Graph, kind: str, path: PropertyPath, end: Node) -> Iterator[URIRef]:
    """Yield the things of a kind from which a path leads to an end."""
    for each in led_from(graph, path, end):
        if isinstance(each, URIRef) and kind_of(each) == kind:
            yield each


def _whole(term: object) -> URIRef:
    return URIRef(str(term).partition("#")[0])


def _has_patterns(thing: URIRef) -> bool:
    return kind_of(thing) in patterns()
