"""The SQL of what follows: all names of a thing written out, and nothing that was given."""

import numpy as np
from rdflib import BNode
from rdflib.namespace import OWL, RDF

from glost.reason.engine import ASSERTED, Engine
from glost.reason.sql import SqlTable


def meant(rel: SqlTable) -> bool:
    """Tell whether facts of a relation mean something outside the reasoner."""
    return not isinstance(rel.cls, BNode) and not isinstance(rel.link, BNode)


def _columns(engine: Engine, rel: SqlTable) -> str:
    code = engine.terms.code
    o = "o" if rel.cls is None else f"{code(rel.cls)}"
    return f"s, {code(rel.link)} AS p, {o} AS o"


def inferred_sql(engine: Engine) -> str:
    """Return the ``SELECT`` of the facts that follow and were not given.

    Parameters
    ----------
    engine
        After its rules have run.

    Returns
    -------
    str
        Columns ``s``, ``p`` and ``o``, each fact once.
    """
    told = [rel for rel in engine.steps if meant(rel)]
    nothing = "SELECT s, p, o FROM asserted WHERE false"
    if not engine.same:
        parts = [
            f"SELECT {_columns(engine, rel)} FROM {engine.names[rel]} WHERE step > {ASSERTED}"
            for rel in told
        ]
        return " UNION ALL ".join([nothing, *parts])
    pairs = [(code, root) for root, group in engine.same.groups() for code in group]
    name, root = np.array(sorted(pairs), np.int32).T
    engine.executor.load("naming", {"name": np.ascontiguousarray(name), "root": root.copy()})
    known = [f"SELECT {_columns(engine, rel)} FROM {engine.names[rel]}" for rel in told]
    everything = " UNION ALL ".join(["SELECT s, p, o FROM asserted", *known])
    typed, same = engine.terms.code(RDF.type), engine.terms.code(OWL.sameAs)
    rooted = (
        "SELECT DISTINCT coalesce(x.root, k.s) AS s, k.p AS p, "
        f"CASE WHEN k.p = {typed} THEN k.o ELSE coalesce(y.root, k.o) END AS o "
        f"FROM ({everything}) k LEFT JOIN naming x ON k.s = x.name "
        f"LEFT JOIN naming y ON k.o = y.name WHERE k.p <> {same}"
    )
    named = (
        "SELECT coalesce(x.name, r.s) AS s, r.p AS p, "
        f"CASE WHEN r.p = {typed} THEN r.o ELSE coalesce(y.name, r.o) END AS o "
        f"FROM ({rooted}) r LEFT JOIN naming x ON r.s = x.root "
        f"LEFT JOIN naming y ON r.o = y.root AND r.p <> {typed}"
    )
    sameness = (
        f"SELECT a.name AS s, {same} AS p, b.name AS o "
        "FROM naming a JOIN naming b ON a.root = b.root WHERE a.name <> b.name"
    )
    return f"({named} UNION {sameness}) EXCEPT SELECT s, p, o FROM asserted"
