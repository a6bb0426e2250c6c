"""What pieces are named by, kept up to date: looked up again where a change could be seen."""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator
from typing import TypeVar

from glost.answer.living.tracing import Look, Notes, TracedBelief, seen_by
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.record.claims import Triple
from glost.trade.naming.known import Known

Told = TypeVar("Told")
Key = tuple[Hashable, ...]

_AT_ONCE = 50
"""So many shapes are looked up at one go."""


class _Nowhere(set[Look]):
    """Where looks are noted of which nobody needs to know."""

    def add(self, _: Look) -> None:
        """Forget it."""

    def update(self, *_: Iterable[Look]) -> None:
        """Forget them."""


class KnownNow(Known):
    """What the record says of every shape, as it is now.

    Each thing that is made once is made again when one of the looks that were noted while it was
    made could see something else, or when another is that it was made of.

    Parameters
    ----------
    snapshot
        The collection.
    """

    def __init__(self, snapshot: Snapshot) -> None:
        self._notes = Notes()
        self._notes.looks = _Nowhere()
        super().__init__(TracedBelief(snapshot.belief, self._notes), snapshot.words)
        self._looks: dict[Key, set[Look]] = {}
        self._seen: dict[Look, set[Key]] = defaultdict(set)

    def once(self, key: Key, make: Callable[[], Told]) -> Told:
        """Return what was made under a key, or make it."""
        if key not in self._once:
            outer, looks = self._notes.looks, set[Look]()
            self._notes.looks = looks
            try:
                self._once[key] = make()
            finally:
                self._notes.looks = outer
            self._looks[key] = looks
            for each in looks:
                self._seen[each].add(key)
        self._notes.looks.add(("once", *key))
        found: Told = self._once[key]
        return found

    def revise(self, snapshot: Snapshot, changed: Iterable[Triple]) -> None:
        """Take in a change.

        Parameters
        ----------
        snapshot
            The collection as it is now.
        changed
            Every statement that a claim that came or went makes.
        """
        waiting = [key for look in seen_by(changed) for key in self._seen.get(look, ())]
        while waiting:
            key = waiting.pop()
            if self._once.pop(key, None) is None:
                continue
            waiting += self._seen.get(("once", *key), ())
            for look in self._looks.pop(key):
                self._seen[look].discard(key)
                if not self._seen[look]:
                    del self._seen[look]
        self.belief = TracedBelief(snapshot.belief, self._notes)
        self.words = snapshot.words

    def readying(self) -> Iterator[None]:
        """Look up what most pieces are held against, a part at each step."""
        _ = self.treatments, self.marks, self.crossed
        yield
        for each in (GLOST.namesShape, GLOST.homeShape, GLOST.bearsMark):
            self.linked(each)
        for each in (GLOST.numberRead, GLOST.bearsMark):
            self.linking(each)
        yield
        for at in range(0, len(self.shapes), _AT_ONCE):
            for shape in self.shapes[at : at + _AT_ONCE]:
                self.shape(shape)
                self.lists(shape)
                self.name(shape)
            yield
