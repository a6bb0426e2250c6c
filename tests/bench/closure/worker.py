"""One program closing one file, as a whole process: ``python worker.py PROGRAM SIZE_OR_FILE``.

Prints a line of JSON: triples in, facts known in the end where the program tells, and the peak of
memory in megabytes.  The time is taken by whoever starts it.
"""

import json
import resource
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT / "kg"), str(ROOT / "tests" / "support")]
ONTOLOGY = ROOT / "ontology" / "glost.ttl"


def glost(argument: str) -> dict[str, object]:
    """Close a file of N-Quads."""
    from rdflib import Graph

    from glost.reason.closure import close_quads
    from glost.reason.compiler import compile_rules
    from nquads import read_quads

    program = compile_rules(Graph().parse(ONTOLOGY))
    quads = read_quads([Path(argument)])
    closure = close_quads(quads, program)
    return {"triples": len(quads.s), "inferred": _count(closure)}


def glost_coded(argument: str) -> dict[str, object]:
    """Close a collection of so many triples, made as codes."""
    from collection import coded
    from rdflib import Graph

    from glost.reason.closure import close_quads
    from glost.reason.compiler import compile_rules

    quads = coded(int(argument))
    closure = close_quads(quads, compile_rules(Graph().parse(ONTOLOGY)))
    return {"triples": len(quads.s), "inferred": _count(closure)}


def _count(closure) -> int:
    return int(
        closure.engine.executor.read(f"SELECT count(*) AS n FROM ({closure.inferred_sql()}) i")[
            "n"
        ][0]
    )


def owlrl(argument: str) -> dict[str, object]:
    """Close with owlrl, without axiomatic triples and without keys."""
    import owlrl
    from rdflib import Graph
    from rdflib.namespace import OWL

    graph = Graph().parse(ONTOLOGY)
    graph.remove((None, OWL.hasKey, None))
    graph.parse(argument, format="nt")
    before = len(graph)
    owlrl.DeductiveClosure(
        owlrl.OWLRL_Semantics, axiomatic_triples=False, datatype_axioms=False
    ).expand(graph)
    return {"triples": before, "inferred": len(graph) - before}


def reasonable(argument: str) -> dict[str, object]:
    """Close with reasonable, which has neither property chains nor keys."""
    import reasonable

    reasoner = reasonable.PyReasoner()
    reasoner.load_file(str(ONTOLOGY))
    reasoner.load_file(argument)
    return {"whole": len(reasoner.reason())}


def _nemo(text: str, predicates: list[str]) -> dict[str, object]:
    import nmo_python

    engine = nmo_python.NemoEngine(nmo_python.load_string(text))
    engine.reason()
    return {"predicates": len(predicates)}


def _rules() -> tuple:
    from rdflib import Graph

    from glost.reason.compiler import compile_rules

    program = compile_rules(Graph().parse(ONTOLOGY))
    return program, [r for r in program.rules if not r.equates]


def _import(argument: str) -> str:
    return f'@import triple :- ntriples{{resource="{argument}"}} .\n'


def nemo_triple(argument: str) -> dict[str, object]:
    """Run the same rules in Nemo over one predicate ``triple``; equality rules left out."""
    from glost.reason.rules import Var

    _, rules = _rules()

    def word(term: object) -> str:
        if isinstance(term, Var):
            return f"?{term.name}"
        return f"<urn:nameless:{term}>" if not term.n3().startswith("<") else term.n3()

    def atom(a: tuple) -> str:
        return f"triple({', '.join(map(word, a))})"

    lines = [f"{atom(r.head)} :- {', '.join(map(atom, r.body))} ." for r in rules]
    return _nemo(_import(argument) + "\n".join(lines), ["triple"])


def nemo_vertical(argument: str) -> dict[str, object]:
    """Run the same rules in Nemo over a predicate for each class and property."""
    from rdflib import BNode
    from rdflib.namespace import RDF

    from glost.reason.rules import Var
    from glost.reason.sql import arguments, relation, table_names

    program, rules = _rules()
    relations = {relation(a) for r in rules for a in (*r.body, r.head)}
    names = table_names(relations, program.labels)

    def word(term: object) -> str:
        return f"?{term.name}" if isinstance(term, Var) else term.n3()

    def atom(a: tuple) -> str:
        return f"{names[relation(a)]}({', '.join(map(word, arguments(a)))})"

    lines = []
    for rel, name in names.items():
        if rel.cls is None:
            lines.append(f"{name}(?s, ?o) :- triple(?s, {rel.link.n3()}, ?o) .")
        elif not isinstance(rel.cls, BNode):
            lines.append(f"{name}(?s) :- triple(?s, {RDF.type.n3()}, {rel.cls.n3()}) .")
    lines += [f"{atom(r.head)} :- {', '.join(map(atom, r.body))} ." for r in rules]
    return _nemo(_import(argument) + "\n".join(lines), list(names.values()))


PROGRAMS = {
    f.__name__: f for f in (glost, glost_coded, owlrl, reasonable, nemo_triple, nemo_vertical)
}

if __name__ == "__main__":
    told = PROGRAMS[sys.argv[1]](sys.argv[2])
    told["peak_mb"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(json.dumps(told))
