"""The lists of terms that cells choose from, with definitions: the published and one's own."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from rdflib import Graph, URIRef
from rdflib.namespace import DCTERMS, SKOS

from glost.data import vocabulary
from glost.names import GLOST, SCHEMES
from glost.record.errors import RecordError, RecordErrors, suggestion
from glost.record.schemes import TermScheme, published
from glost.record.spelling import runs
from glost.record.tables import tables


@dataclass(frozen=True, slots=True)
class Term:
    """One term of a list.

    Attributes
    ----------
    id
        What a cell holds.
    name, others
        What it is called, and other names that a cell may hold as well.
    broader
        Ids of the wider terms it counts as.
    definition
        What it means; empty for a term of one's own that says nothing.
    own
        Whether the collection added it.
    note
        What to look out for when choosing it.
    drawing
        A drawing of it, in lines of text.
    """

    id: str
    name: str
    others: tuple[str, ...]
    broader: tuple[str, ...]
    definition: str
    own: bool
    note: str = ""
    drawing: str = ""


@dataclass(frozen=True, slots=True)
class TermList:
    """A list of terms.

    Attributes
    ----------
    id, title, definition
        What it is called in the vocabulary and in words, and what it lists.
    columns
        Where its terms stand, as ``kilns.kind``, sorted.
    terms
        Its terms by id.
    """

    id: str
    title: str
    definition: str
    columns: tuple[str, ...]
    terms: tuple[Term, ...]


@cache
def published_lists() -> tuple[TermList, ...]:
    """Return the published lists of terms, sorted by id."""
    return term_lists(published(), Graph())


def term_lists(schemes: Mapping[str, TermScheme], said: Graph) -> tuple[TermList, ...]:
    """Return every list of terms in force in a collection, sorted by id.

    Parameters
    ----------
    schemes
        Those in force.
    said
        What the collection says of terms of its own.
    """
    graphs, found = [vocabulary(), said], []
    for name, scheme in sorted(schemes.items()):
        iri = URIRef(SCHEMES + name)
        terms = [_term(slug, scheme.iris[slug], graphs) for slug in sorted(scheme.iris)]
        title, definition = (_text(iri, p, graphs) for p in (DCTERMS.title, SKOS.definition))
        found.append(TermList(name, title, definition, columns_of(name), tuple(terms)))
    return tuple(found)


def columns_of(name: str) -> tuple[str, ...]:
    """Return the columns whose cells hold terms of a list, as ``kilns.kind``."""
    wanted = f"scheme/{name}"
    every = ((t.name, c) for t in tables().values() for c in t.real)
    found = {c.name if c.name == "certainty" else f"{t}.{c.name}"
             for t, c in every if wanted in c.refers}  # fmt: skip
    return tuple(sorted(found))


def choose(found: Iterable[TermList], text: str) -> tuple[TermList, ...]:
    """Return the lists a user means: ``roles``, ``kiln kinds``, ``kinds`` (of everything).

    Raises
    ------
    RecordErrors
        If there is no such list; says which is nearest.
    """
    every = tuple(found)
    wanted = _words(text)
    exact = tuple(each for each in every if wanted in (_words(each.id), _words(each.title)))
    part = tuple(each for each in every if wanted <= _words(f"{each.id} {each.title}"))
    if wanted and (exact or part):
        return exact or part
    known = [each.id for each in every]
    remedy = suggestion(text, known, f"there are {', '.join(known)}")
    raise RecordErrors([RecordError("terms", f'there is no list "{text}"', remedy)])


def in_words(found: Iterable[TermList]) -> Iterator[str]:
    """Yield the lines of lists in Markdown."""
    for each in found:
        columns = ", ".join(f"`{column}`" for column in each.columns)
        yield f"### {each.title}\n\n{each.definition}{columns and f' It stands in {columns}.'}\n"
        for term in each.terms:
            names = ", ".join(name for name in (term.name, *term.others) if name != term.id)
            wider = ", ".join(f"`{broader}`" for broader in term.broader)
            counts = wider and f" Counts as {wider}."
            note = term.note and f" {term.note}"
            yield f"- `{term.id}`{names and f' ({names})'}: {term.definition}{note}{counts}"
            if term.drawing:
                yield "".join(f"\n      {line}" for line in term.drawing.splitlines()) + "\n"
        yield ""


def _term(slug: str, iri: URIRef, graphs: list[Graph]) -> Term:
    others = sorted({str(o) for graph in graphs for o in graph.objects(iri, SKOS.altLabel)})
    wider = sorted(
        {str(o).rsplit("/", 1)[-1] for g in graphs for o in g.objects(iri, SKOS.broader)}
    )
    return Term(
        slug,
        _text(iri, SKOS.prefLabel, graphs) or slug,
        tuple(others),
        tuple(wider),
        _text(iri, SKOS.definition, graphs),
        (iri, None, None) not in graphs[0],
        _text(iri, SKOS.note, graphs),
        _text(iri, GLOST.drawing, graphs),
    )


def _text(iri: URIRef, property_: URIRef, graphs: list[Graph]) -> str:
    for graph in graphs:
        texts = sorted(str(value) for value in graph.objects(iri, property_))
        if texts:
            return texts[0]
    return ""


def _words(text: str) -> frozenset[str]:
    """Return the words of a text, each in the singular."""
    plural = {r for r in runs(text) if len(r) > 3 and r.endswith("s") and not r.endswith("ss")}
    return frozenset(run[:-1] if run in plural else run for run in runs(text))
