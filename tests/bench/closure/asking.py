"""How long questions and changes take on a large closure."""

import random
import time
from collections.abc import Callable, Sequence

from collection import BASE, coded
from rdflib import Graph, URIRef
from worker import ONTOLOGY

from glost.reason.closure import Closure, close_quads
from glost.reason.compiler import compile_rules
from glost.reason.rules import Triple

QUESTIONS = 2000


def _sample(closure: Closure, columns: Sequence, number: int, seed: int) -> list[Triple]:
    term = closure.engine.terms.term
    chosen = random.Random(seed).sample(range(len(columns[0])), number)
    return [tuple(term(int(column[i])) for column in columns) for i in chosen]


def _timed(what: str, ask: Callable[[Triple], object], asked: list[Triple]) -> None:
    times = []
    for triple in asked:
        start = time.perf_counter()
        ask(triple)
        times.append(1000 * (time.perf_counter() - start))
    times.sort()
    print(
        f"  {what:<22} median {times[len(times) // 2]:8.3f}  99 % {times[len(times) * 99 // 100]:8.3f}"
        f"  most {times[-1]:8.3f}  ms, {len(times)} times"
    )


def questions(triples: int) -> None:
    """Time proofs and minimal supports of inferred facts chosen at random."""
    quads = coded(triples)
    closure = close_quads(quads, compile_rules(Graph().parse(ONTOLOGY)))
    columns = closure.inferred.codes()
    print(f"  {len(quads.s):,} triples, {len(columns[0]):,} inferred")
    asked = _sample(closure, columns, QUESTIONS, 1)
    _timed("first of all, sorting", closure.why, asked[:200])
    _timed("shortest proof", closure.why, asked[200:])
    _timed("all minimal supports", closure.supports, asked[200:])
    hubs = _of_the_first_potteries(closure, columns)
    _timed("  same of hubs, sorting", closure.supports, hubs[:20])
    _timed("  same of hubs", closure.supports, hubs[20:])
    _timed("  their proofs", closure.why, hubs[20:])
    print(f"  of {len(hubs)} hubs {sum(closure.supports(t).cut for t in hubs)} were cut at the cap")


def _of_the_first_potteries(closure: Closure, columns: Sequence) -> list[Triple]:
    """Return inferred facts that very many given facts support."""
    code, term = closure.engine.terms.code, closure.engine.terms.term
    found = []
    for number in range(20):
        pottery = code(URIRef(f"{BASE}pottery{number}"))
        first, last = (int(columns[0].searchsorted(pottery, side)) for side in ("left", "right"))
        for row in range(first, min(last, first + 10)):
            found.append(tuple(term(int(column[row])) for column in columns))
    return found


def changes(triples: int) -> None:
    """Time adding and withdrawing one fact at a time, chosen at random."""
    quads = coded(triples)
    closure = close_quads(quads, compile_rules(Graph().parse(ONTOLOGY)))
    print(f"  {len(quads.s):,} triples")
    for triple in _sample(closure, (quads.s, quads.p, quads.o), 100, 2):
        closure.falls([triple])  # sorts what is needed
    asked = _sample(closure, (quads.s, quads.p, quads.o), 200, 3)
    _timed("what falls", lambda t: closure.falls([t]), asked)
    _timed("withdraw one", lambda t: closure.revise([], [t]), asked)
    _timed("add one", lambda t: closure.revise([t], []), asked)
    start = time.perf_counter()
    closure.engine.restart()
    closure.engine.run()
    print(f"  close everything again {1000 * (time.perf_counter() - start):8.0f} ms")
