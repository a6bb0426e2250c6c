"""Where the program's data files lie: in the installed package, or in a bare checkout."""

from functools import cache
from pathlib import Path

from rdflib import Graph


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

    The graph is shared: treat it as read-only.
    """
    graph = Graph()
    graph += concepts()
    graph.parse(folder("ontology") / "glost.ttl", format="turtle")
    return graph


@cache
def concepts() -> Graph:
    """Read the concept schemes alone: facts that reasoning needs beside the claims.

    The graph is shared: treat it as read-only.
    """
    graph = Graph()
    files = sorted((folder("ontology") / "schemes").glob("*.ttl"))
    if not files:
        raise FileNotFoundError("there are no concept schemes; install glost again")
    for path in files:
        graph.parse(path, format="turtle")
    return graph
