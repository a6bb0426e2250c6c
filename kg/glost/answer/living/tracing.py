"""What a finding was made of: every look into what is believed is noted while it is made.

A change of statements leaves a finding as it is unless one of the looks could now see something
else. So nobody has to say of a check, or of a label, what it reads. U. A. Acar, "Self-adjusting
computation", Carnegie Mellon University, 2005, goes the same way.
"""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from functools import partial
from typing import Any, cast

from rdflib import Graph, URIRef
from rdflib.graph import ReadOnlyGraphAggregate
from rdflib.paths import Path
from rdflib.term import Node

from glost.answer.living.called import CalledAlike, ToldApart
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.columns import StatementTable
from glost.trade.times import Chronology

Look = tuple[Any, ...]
"""What was looked for: a kind of look, and the terms that were given."""


def look(subject: Node | None, verb: Node | None, value: Node | None) -> Look:
    """Return the look for statements with some terms given."""
    if subject is not None:
        return ("of", subject) if verb is None else ("of", subject, verb)
    if value is not None:
        return ("to", value) if verb is None else ("to", value, verb)
    return ("all",) if verb is None else ("every", verb)


def seen_by(triples: Iterable[Triple]) -> set[Look]:
    """Return every look that sees one of some statements."""
    found: set[Look] = {("all",)}
    for s, p, o in triples:
        found |= {("of", s), ("of", s, p), ("to", o), ("to", o, p), ("every", p)}
        found.add(("about", str(s).partition("#")[0]))
    return found


class Notes:
    """Where looks are noted: in one set after another.

    Attributes
    ----------
    looks
        The set in which they are noted now.
    """

    def __init__(self) -> None:
        self.looks: set[Look] = set()


class TracedGraph(Graph):
    """A graph that notes what it is asked.

    Parameters
    ----------
    graphs
        What it holds.
    notes
        Where looks are noted.
    called
        Which things are called alike; None to look round each time.
    apart
        What tells them apart; None to work it out each time.
    """

    def __init__(
        self,
        graphs: Iterable[Graph],
        notes: Notes,
        called: CalledAlike | None = None,
        apart: ToldApart | None = None,
    ) -> None:
        super().__init__("SimpleMemory", bind_namespaces="none")
        self._graphs, self._notes = tuple(graphs), notes
        if called is not None:
            self.called_alike = partial(self._alike, called)
        if apart is not None:
            self.told_apart = partial(self._told, apart)

    def _told(self, apart: ToldApart, thing: URIRef, text: str) -> str | None:
        """Return what a thing is called among those called alike; see `glost.words.labels`."""
        found = apart.text(thing, text)
        if found is not None:
            self._notes.looks.add(("told", thing))
        return found

    def _alike(self, called: CalledAlike, kind: str, text: str) -> frozenset[URIRef]:
        """Return the things of a kind that are called so; see `glost.words.labels`."""
        self._notes.looks.add(("called", kind, text))
        return called.of(kind, text)

    def triples(self, triple: Any) -> Iterator[Any]:  # type: ignore[override]
        """Yield the statements that agree with what is given."""
        if isinstance(triple[1], Path):
            yield from ((s, triple[1], o) for s, o in triple[1].eval(self, triple[0], triple[2]))
            return
        self._notes.looks.add(look(*triple))
        for graph in self._graphs:
            yield from graph.triples(triple)

    def __contains__(self, triple: Any) -> bool:
        """Say whether a statement is there."""
        return any(True for _ in self.triples(triple))

    def __len__(self) -> int:
        """Count the statements."""
        self._notes.looks.add(("all",))
        return sum(map(len, self._graphs))


class TracedBelief(Belief):
    """What is believed, which notes what it is asked.

    Parameters
    ----------
    belief
        What is believed.
    notes
        Where looks are noted.
    called
        Which things are called alike; None to look round each time.
    apart
        What tells them apart; None to work it out each time.
    """

    def __init__(
        self,
        belief: Belief,
        notes: Notes,
        called: CalledAlike | None = None,
        apart: ToldApart | None = None,
    ) -> None:
        super().__init__(
            belief.claims, belief.withdrawn, belief.replaced, belief.as_of, belief.parts
        )
        parts = [belief.graph]
        whole = belief.worded
        assert isinstance(whole, ReadOnlyGraphAggregate)
        self.__dict__.update(
            _belief=belief,
            _notes=notes,
            graph=TracedGraph(parts, notes, called),
            worded=TracedGraph(whole.graphs, notes, called, apart),
        )

    def statements(self) -> Iterator[Triple]:
        """Yield what the claims say; see `Belief.statements`."""
        self.__dict__["_notes"].looks.add(("all",))
        yield from super().statements()

    def table(self, properties: frozenset[str]) -> StatementTable:
        """Return the statements of some properties as columns; see `Belief.table`."""
        self.__dict__["_notes"].looks.update(("every", URIRef(each)) for each in properties)
        return super().table(properties)

    def rests_on(self, statement: Triple) -> tuple[Claim, ...]:
        """Return the claims that make this very statement."""
        self.__dict__["_notes"].looks.add(("of", *statement[:2]))
        found: tuple[Claim, ...] = self.__dict__["_belief"].rests_on(statement)
        return found

    def about(self, thing: str) -> tuple[Claim, ...]:
        """Return the claims about a thing; see `Belief.about`."""
        self.__dict__["_notes"].looks.add(("about", str(thing).partition("#")[0]))
        found: tuple[Claim, ...] = self.__dict__["_belief"].about(thing)
        return found

    def mentions(self, thing: URIRef) -> tuple[Claim, ...]:
        """Return the claims with a statement whose object is the thing."""
        self.__dict__["_notes"].looks.add(("to", thing))
        found: tuple[Claim, ...] = self.__dict__["_belief"].mentions(thing)
        return found


Asked = dict[tuple[Any, ...], Any]
"""What a chronology was asked, and what it answered."""


class KeptParts:
    """Parts of what is made, kept until something else would be seen or answered for them.

    Parameters
    ----------
    notes
        Where looks are noted.
    """

    def __init__(self, notes: Notes) -> None:
        self._notes = notes
        self._made: dict[Hashable, tuple[Any, frozenset[Look], Asked]] = {}
        self._seen: dict[Look, set[Hashable]] = defaultdict(set)

    def get(self, times: "TracedTimes", key: Hashable, make: Callable[[], Any]) -> Any:
        """Return a part, made if it is not kept; what it rests on is noted either way."""
        if key not in self._made:
            noted, asked = self._notes.looks, times.asked
            looks, new = set[Look](), Asked()
            self._notes.looks, times.asked = looks, new
            try:
                made = make()
            finally:
                self._notes.looks, times.asked = noted, asked
            self._made[key] = made, frozenset(looks), new
            for each in looks:
                self._seen[each].add(key)
        found, looked, answered = self._made[key]
        self._notes.looks |= looked
        times.asked |= answered
        return found

    def revise(self, looks: Iterable[Look], times: Chronology | None) -> None:
        """Forget what would see something else, or be answered otherwise by another chronology."""
        stale = {key for look in looks for key in self._seen.get(look, ())}
        if times is not None:
            stale |= {key for key, part in self._made.items() if not _answers(times, part[2])}
        for key in stale:
            for look in self._made.pop(key)[1]:
                self._seen[look].discard(key)


class TracedTimes:
    """A chronology that keeps what it was asked, and what it answered.

    Parameters
    ----------
    times
        The chronology.
    belief
        What is believed, as whoever asks is to see it.
    kept
        Keeps parts of what is made.

    Attributes
    ----------
    asked
        What it was asked.
    """

    def __init__(self, times: Chronology, belief: Belief, kept: KeptParts) -> None:
        self.belief = belief
        self.asked: Asked = {}
        self.keeping = partial(kept.get, self)
        self._times = times

    @classmethod
    def of(
        cls, times: Chronology, belief: Belief, kept: KeptParts
    ) -> tuple[Chronology, "TracedTimes"]:
        """Return one as a chronology, and as what it is."""
        found = cls(times, belief, kept)
        return cast(Chronology, found), found

    def __getattr__(self, name: str) -> Any:
        """Return what the chronology has of this name; what it answers, if asked, is kept."""
        found = getattr(self._times, name)
        if not callable(found):
            self.asked[name,] = found
            return found

        def ask(*given: Any, **named: Any) -> Any:
            answer = found(*given, **named)
            if isinstance(answer, Iterator):
                self.asked[name, _ONCE] = answer
            else:
                given = tuple(map(_lasting, given))
                self.asked[name, given, tuple(sorted(named.items()))] = answer
            return answer

        return ask

    def holds(self, times: Chronology) -> bool:
        """Say whether another chronology answers all that was asked in the same way."""
        return _answers(times, self.asked)

    def things(self) -> frozenset[str] | None:
        """Return the things whose points it was asked about; None if it was asked anything else."""
        found = set[str]()
        for _, *how in self.asked:
            points = [
                point
                for given in (how[0] if how and how[0] is not _ONCE else ())
                for point in (given if isinstance(given, tuple) else (given,))
            ]
            if not points or not all(isinstance(point, URIRef) for point in points):
                return None
            found |= {str(point).partition("#")[0] for point in points}
        return frozenset(found)


_ONCE = object()
"""In place of what was asked where the answer can be gone through but once."""


def _answers(times: Chronology, asked: Asked) -> bool:
    """Say whether a chronology answers all that was asked of another in the same way."""
    for (name, *how), answer in asked.items():
        if how == [_ONCE]:
            return False
        now = getattr(times, name)
        if (now(*how[0], **dict(how[1])) if how else now) != answer:
            return False
    return True


def _lasting(given: Any) -> Any:
    """Return what was given, or the keys of a mapping."""
    return tuple(given) if isinstance(given, Mapping) else given
