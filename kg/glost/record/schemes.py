"""The published concept schemes, as cells may name their concepts."""

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from rdflib import Literal, URIRef
from rdflib.namespace import SKOS

from glost.data import vocabulary
from glost.names import SCHEMES


def fold(text: str) -> str:
    """Make spellings that differ only in case, hyphens or spaces the same."""
    return re.sub(r"[\s_-]+", "-", text.strip().casefold())


@dataclass(frozen=True, slots=True)
class TermScheme:
    """A list of terms.

    Attributes
    ----------
    name
        ``form``, ``certainty`` and so on.
    iris
        IRI of each concept by its id.
    spellings
        Ids that a folded id, preferred or alternative label may stand for.
    """

    name: str
    iris: dict[str, URIRef]
    spellings: dict[str, tuple[str, ...]]

    def extended(self, terms: Iterable[tuple[str, URIRef, tuple[str, ...]]]) -> "TermScheme":
        """Return the scheme with a collection's own terms: id, IRI and labels of each."""
        iris = dict(self.iris)
        spellings = dict(self.spellings)
        for slug, iri, labels in terms:
            iris[slug] = iri
            for label in (slug, *labels):
                spellings[fold(label)] = (slug,)
        return TermScheme(self.name, iris, spellings)

    def find(self, text: str) -> tuple[str, ...]:
        """Return the ids that `text` may stand for: none, one, or several if it is ambiguous."""
        return (text,) if text in self.iris else self.spellings.get(fold(text), ())


@cache
def published() -> dict[str, TermScheme]:
    """Read the schemes of the vocabulary, by name."""
    graph = vocabulary()
    iris: dict[str, dict[str, URIRef]] = defaultdict(dict)
    preferred: dict[str, dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    others: dict[str, dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    for concept, scheme in sorted(graph.subject_objects(SKOS.inScheme)):
        if not isinstance(concept, URIRef) or not concept.startswith(f"{scheme}/"):
            continue
        name = str(scheme).removeprefix(SCHEMES)
        slug = str(concept).rsplit("/", 1)[1]
        iris[name][slug] = concept
        preferred[name][fold(slug)].add(slug)
        for predicate, where in ((SKOS.prefLabel, preferred), (SKOS.altLabel, others)):
            for label in graph.objects(concept, predicate):
                if isinstance(label, Literal):
                    where[name][fold(str(label))].add(slug)
    return {
        name: TermScheme(
            name,
            iris[name],
            {
                text: tuple(sorted(slugs))
                for text, slugs in {**others[name], **preferred[name]}.items()
            },
        )
        for name in sorted(iris)
    }
