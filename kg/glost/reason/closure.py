"""The closure of a collection: what follows, what clashes, and why.

    >>> from glost.reason.closure import close
    >>> closure = close(facts, ontology)           # doctest: +SKIP
    >>> for triple in closure.inferred.sorted():   # doctest: +SKIP
    ...     closure.why(triple)

Inferred are the triples that the rules of OWL 2 RL give and that are not among the facts.  Left
out, because they say nothing about the collection: axiomatic triples, membership of
``owl:Thing``, a thing's sameness with itself, membership of nameless classes, and everything
that would have a literal for its subject.  Literals are compared by value only where a rule
equates two of them.  Schema statements among the facts are carried, not obeyed: the schema is
what is given as such.
"""

from collections.abc import Iterable, Iterator, Sized
from functools import cached_property
from typing import Any

from numpy.typing import NDArray
from rdflib import Graph
from rdflib.namespace import RDF
from rdflib.term import Node

from glost.reason.change import ClosureChange
from glost.reason.clashes import Clash, Clashes, Clashing
from glost.reason.coding import Fact, Quads, encode
from glost.reason.compiler import Program, compile_rules
from glost.reason.engine import Engine
from glost.reason.executor import Executor, chosen
from glost.reason.instances import Instances
from glost.reason.proof import ProofTree, Prover
from glost.reason.rules import Triple, reading_order
from glost.reason.supports import Supports, supports

__all__ = ["Clash", "Closure", "ProofTree", "Supports", "Triple", "close", "close_quads"]

_CAP = 128


class Inferred(Sized, Iterable[Triple]):
    """The inferred triples, read when they are asked for."""

    def __init__(self, closure: "Closure") -> None:
        self._closure = closure

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self.codes()[0])

    def __iter__(self) -> Iterator[Triple]:
        """Yield them in the order of their codes."""
        term = self._closure.engine.terms.term
        for fact in zip(*(column.tolist() for column in self.codes()), strict=True):
            yield term(fact[0]), term(fact[1]), term(fact[2])

    def sorted(self) -> list[Triple]:
        """Return them sorted as N-Triples writes them."""
        return sorted(self, key=reading_order)

    def codes(self) -> tuple[NDArray[Any], NDArray[Any], NDArray[Any]]:
        """Return subjects, properties and objects in codes, sorted."""
        found = self._closure.engine.executor.read(
            f"SELECT s, p, o FROM ({self._closure.inferred_sql()}) i ORDER BY s, p, o"
        )
        return found["s"], found["p"], found["o"]


class Closure:
    """What follows from facts under a schema; it can be asked why, and it can be changed.

    Parameters
    ----------
    engine
        After its rules have run.
    """

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self._change = ClosureChange(engine)

    # -- what follows ----------------------------------------------------------------------------

    @property
    def inferred(self) -> Inferred:
        """The triples that follow and were not given; ``inferred.sorted()`` sorts them."""
        return Inferred(self)

    @property
    def clashes(self) -> tuple[Clash, ...]:
        """Every contradiction with all the facts involved, sorted."""
        if "_clashing" in self.__dict__:
            return self._clashing.all()
        self._change.write()
        return Clashes(self.engine).all()

    @cached_property
    def _clashing(self) -> Clashing:
        """The contradictions, kept up to date by `revise` once it was called."""
        self._change.write()
        return Clashing(self.engine)

    def __contains__(self, triple: object) -> bool:
        """Tell whether a triple was given or follows."""
        if not isinstance(triple, tuple) or len(triple) != 3:
            return False
        fact = self._fact(triple)
        return self._instances.index.asserted(fact) or self._instances.holds(fact)

    def following(self, term: Node) -> list[Triple]:
        """Return the statements that follow of which a term is subject or object, its kinds aside.

        Parameters
        ----------
        term
            The term.

        Returns
        -------
        list of Triple
            Those of `inferred` that give no kind, sorted as N-Triples writes them.
        """
        if self.engine.same:
            some: Iterable[Triple] = (each for each in self.inferred if term in (each[0], each[2]))
            found = {each for each in some if each[1] != RDF.type}
        else:
            found = set(map(self._triple, self._change.following(self.engine.terms.code(term))))
        return sorted(found, key=reading_order)

    def inferred_sql(self) -> str:
        """Return the ``SELECT`` of the codes of the triples that follow and were not given."""
        self._change.write()
        return self._change.inferred_sql()

    # -- why -------------------------------------------------------------------------------------

    @property
    def _instances(self) -> Instances:
        return self._change.instances

    def _fact(self, triple: Triple) -> Fact:
        code = self.engine.terms.code
        return code(triple[0]), code(triple[1]), code(triple[2])

    def _triple(self, fact: Fact) -> Triple:
        term = self.engine.terms.term
        return term(fact[0]), term(fact[1]), term(fact[2])

    def why(self, triple: Triple) -> ProofTree:
        """Return the shortest proof of a triple.

        Parameters
        ----------
        triple
            A triple that was given or follows.

        Returns
        -------
        ProofTree
            Its leaves are facts that were given, or that the schema states.

        Raises
        ------
        KeyError
            If the triple does not hold.
        """
        proof = Prover(self._instances).prove(self._fact(triple))
        if proof is None:
            raise KeyError(f"nothing says {' '.join(reading_order(triple))} and nothing implies it")
        return proof

    def complete(self) -> None:
        """Load all that reasons are found in; processes forked then need no database for `why`."""
        self._instances.index.complete()

    def supports(self, triple: Triple, cap: int = _CAP) -> Supports:
        """Return the minimal sets of given facts that each entail a triple.

        Parameters
        ----------
        triple
            A triple that was given or follows.
        cap
            How many sets to look for.

        Returns
        -------
        Supports
            With no set if the triple does not hold; an empty set if the schema alone entails it.
        """
        found, cut = supports(self._instances, self._fact(triple), cap)
        sets = [frozenset(self._triple(f) for f in facts) for facts in found]
        sets.sort(key=lambda s: (len(s), sorted(reading_order(t) for t in s)))
        return Supports(tuple(sets), cut)

    # -- change ----------------------------------------------------------------------------------

    def falls(self, withdrawn: Iterable[Triple]) -> tuple[Triple, ...]:
        """Return what would no longer follow if facts were withdrawn; nothing is changed.

        Parameters
        ----------
        withdrawn
            Facts that were given.

        Returns
        -------
        tuple of triples
            Sorted; those of the withdrawn facts that do not follow from the rest are among them.
        """
        lost = self._change.lost([self._fact(t) for t in withdrawn])
        return tuple(sorted((self._triple(f) for f in lost), key=reading_order))

    def ready(self) -> None:
        """Make what only `revise` needs; the first one makes it else."""
        _ = self._clashing

    def revise(
        self, added: Iterable[Triple], withdrawn: Iterable[Triple]
    ) -> tuple[list[Triple], list[Triple]]:
        """Withdraw facts and add others, and say what follows now and what no longer does.

        Parameters
        ----------
        added
            Facts that were not given.
        withdrawn
            Facts that were given.

        Returns
        -------
        tuple
            The triples that are among `inferred` now and were not, and those that were and are not.
        """
        clashing = self._clashing
        new, gone = ([self._fact(triple) for triple in some] for some in (added, withdrawn))
        done = self._change.revise(new, gone)
        if (
            done.known is None
            or done.unknown is None
            or not clashing.revise(self._instances, done.known, done.unknown)
        ):
            del self._clashing  # found anew when they are asked for
        return [*map(self._triple, done.follows)], [*map(self._triple, done.falls)]


def close(facts: Iterable[Triple], schema: Graph) -> Closure:
    """Close facts under the rules of OWL 2 RL for a schema.

    Parameters
    ----------
    facts
        Triples of rdflib terms.
    schema
        The ontology; it is not changed.

    Returns
    -------
    Closure
        What follows, what clashes, and why.
    """
    return close_quads(encode(facts), compile_rules(schema))


def close_quads(quads: Quads, program: Program, *, executor: Executor | None = None) -> Closure:
    """Close facts in codes: the same as ``close`` where making rdflib terms would take too long.

    Parameters
    ----------
    quads
        The facts.
    program
        The compiled schema.
    executor
        What runs the SQL; what `chosen` chooses if none is given.

    Returns
    -------
    Closure
        What follows, what clashes, and why.
    """
    engine = Engine(program, quads.terms, executor or chosen(len(quads.s)))
    engine.load(quads)
    engine.run()
    return Closure(engine)
