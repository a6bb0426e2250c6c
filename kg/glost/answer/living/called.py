"""Which things are called alike but for what tells them apart, kept up to date.

Whether a label needs more than its parts depends on every other thing of its kind. What asks for a
label therefore notes the text it looked for, and is made again only if other things bear that text.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping

from rdflib import Graph, URIRef
from rdflib.graph import ReadOnlyGraphAggregate

from glost.record.claims import Triple
from glost.words.labels import Words, kind_of
from glost.words.patterns import patterns

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

    def revise(self, graph: Graph, changed: Iterable[Triple]) -> set[CalledText]:
        """Take in a change; return the texts that other things bear than before.

        Parameters
        ----------
        graph
            What is believed now, with the vocabulary.
        changed
            Every statement that came or went.
        """
        words, found = Words(graph), set[CalledText]()
        waiting = {_whole(s) for s, _, _ in changed}
        done: set[URIRef] = set()
        while waiting:
            thing = waiting.pop()
            if thing in done or not _has_patterns(thing):
                continue
            done.add(thing)
            kind, before = kind_of(thing), self._texts.get(str(thing))
            after = words.by_itself(thing) if (thing, None, None) in graph else None
            if before == after:
                continue
            members = {thing}
            for text in (before, after):
                if text is not None:
                    found.add((kind, text))
                    members |= self._things[kind, text]
            self._put(thing, before, after)
            # What is called after these may be called otherwise now.
            waiting |= {_whole(s) for each in members for s in graph.subjects(None, each)} - done
        return found

    def _put(self, thing: URIRef, before: str | None, after: str | None) -> None:
        kind = kind_of(thing)
        if before is not None:
            self._things[kind, before].discard(thing)
            del self._texts[str(thing)]
        if after is not None:
            self._things[kind, after].add(thing)
            self._texts[str(thing)] = after


class WordedGraph(ReadOnlyGraphAggregate):
    """What is believed, with the vocabulary; it knows without looking round what is called alike.

    Parameters
    ----------
    graph
        What is believed, with the vocabulary.
    called
        Which things are called alike in it.
    """

    def __init__(self, graph: ReadOnlyGraphAggregate, called: CalledAlike) -> None:
        super().__init__(graph.graphs)
        self.called_alike = called.of  # see `glost.words.labels`


def _whole(term: object) -> URIRef:
    return URIRef(str(term).partition("#")[0])


def _has_patterns(thing: URIRef) -> bool:
    return kind_of(thing) in patterns()
