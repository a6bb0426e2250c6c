"""Where the program's data files lie: in the installed package, or in a bare checkout."""

from collections.abc import Iterable
from functools import cache
from pathlib import Path

import pyoxigraph as ox
from rdflib import BNode, Graph, Literal, URIRef
from rdflib.namespace import SH, XSD
from rdflib.term import Node


def folder(name: str) -> Path:
    """Find a data folder by name.

    Parameters
    ----------
    name
        ``"ontology"`` or ``"shapes_shacl"``.

    Returns
    -------
    Path
        The folder beside this module in an installed package, else the one at the top of the
        checkout this module stands in.

    Raises
    ------
    FileNotFoundError
        If there is neither; the installation is then damaged.
    """
    here = Path(__file__).resolve()
    for candidate in (here.parent / name, here.parents[2] / name):
        if candidate.is_dir():
            return candidate
    raise FileNotFoundError(f"the data folder {name!r} is missing; install glost again")


@cache
def vocabulary() -> Graph:
    """Read the vocabulary and its concept schemes (not the alignments) into one graph.

    The graph is shared: treat it as read-only. Its blank nodes bear the same names every time.
    """
    graph = Graph("SimpleMemory")
    graph += concepts()
    for name in ("glost.ttl", "tables.ttl"):
        _read(folder("ontology") / name, graph)
    return graph


@cache
def concepts() -> Graph:
    """Read the concept schemes alone: facts that reasoning needs beside the claims.

    The graph is shared: treat it as read-only. Its blank nodes bear the same names every time.
    """
    graph = Graph("SimpleMemory")
    files = sorted((folder("ontology") / "schemes").glob("*.ttl"))
    if not files:
        raise FileNotFoundError("there are no concept schemes; install glost again")
    for path in files:
        _read(path, graph)
    return graph


def _read(path: Path, graph: Graph) -> None:
    """Add a Turtle file of ours to a graph; blank nodes are named by what is said of them.

    Their names are the file's and the canonical labels of W3C, *RDF Dataset Canonicalization*
    (RDFC-1.0, 2024), so that no run and no process gives others. Only nodes that nothing tells
    apart take long to label, and our own files have none.
    """
    parsed = ox.parse(path=path, format=ox.RdfFormat.TURTLE)
    said = ox.Dataset(parsed)
    for prefix, namespace in parsed.prefixes.items():
        graph.bind(prefix, namespace)
    said.canonicalize(ox.CanonicalizationAlgorithm.RDFC_1_0_SHA_256)
    _add(said, path.stem, graph)


@cache
def constraints() -> Graph:
    """Return the constraints on the record, each in SPARQL asked once for a class.

    As published a query is put for each thing of its target class, which takes validators minutes.
    Here the class is the target, ``$this``, and the query gives the things at fault as ``?value``.
    The graph is shared: treat it as read-only.
    """
    graph = Graph("SimpleMemory")
    for triple in published_constraints():
        graph.add(triple)
    for shape, query in list(graph.subject_objects(SH.sparql)):
        for text in list(graph.objects(query, SH.select)):
            graph.remove((query, SH.select, text))
            graph.add((query, SH.select, Literal(_for_a_class(str(text)))))
        for target in list(graph.objects(shape, SH.targetClass)):
            graph.remove((shape, SH.targetClass, target))
            graph.add((shape, SH.targetNode, target))
    return graph


_ONE = "SELECT DISTINCT $this WHERE {"
_EVERY = "SELECT DISTINCT $this ?value WHERE {\n?value a $this ."


def _for_a_class(query: str) -> str:
    """Write a query about one thing as one about all things of a class."""
    head, found, rest = query.partition(_ONE)
    if not found:
        raise ValueError(f"a constraint's query does not begin with {_ONE!r}: {query}")
    every = rest.replace("$this", "?value").replace("GROUP BY ", "GROUP BY $this ")
    return head + _EVERY + every


@cache
def published_constraints() -> Graph:
    """Read the constraints on the record; those on the vocabulary's own terms are left out.

    The graph is shared: treat it as read-only.
    """
    graph = Graph("SimpleMemory")
    folder_ = folder("shapes_shacl")
    files = [path for path in sorted(folder_.glob("*.ttl")) if path.name not in _OF_VOCABULARY]
    if not files:
        raise FileNotFoundError("there are no constraints; install glost again")
    for path in files:
        _add(ox.parse(path=path, format=ox.RdfFormat.TURTLE), path.stem, graph)
    return graph


_OF_VOCABULARY = {"skos.ttl", "terms.ttl"}


def _add(said: Iterable[ox.Quad], stem: str, graph: Graph) -> None:
    for quad in said:
        triple = quad.subject, quad.predicate, quad.object
        graph.add(tuple(_term(term, stem) for term in triple))  # type: ignore[arg-type]


def _term(term: ox.NamedNode | ox.BlankNode | ox.Literal | ox.Triple, stem: str) -> Node:
    if isinstance(term, ox.NamedNode):
        return URIRef(term.value)
    if isinstance(term, ox.BlankNode):
        return BNode(f"{stem}-{term.value}")
    if isinstance(term, ox.Triple):
        raise TypeError(f"the vocabulary says nothing of statements: {term}")
    if term.language:
        return Literal(term.value, lang=term.language)
    datatype = None if term.datatype.value == str(XSD.string) else URIRef(term.datatype.value)
    # As it is written, whatever a library that validates has told rdflib to do meanwhile.
    return Literal(term.value, datatype=datatype, normalize=False)
