"""A store of statements that is filled when it is first looked at."""

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from rdflib import Graph
from rdflib.plugins.stores.memory import SimpleMemory

from glost.record.claims import Triple

_AT_ONCE = 3_000
"""So many statements are added at one go."""


class LaterStore(SimpleMemory):
    """A store that is filled when it is first looked at, or part by part before.

    Parameters
    ----------
    fill
        Gives what it holds; it is asked once.
    """

    def __init__(self, fill: Callable[[], Iterable[Triple]]) -> None:
        super().__init__()
        self._steps = self._filled(fill)

    def _filled(self, fill: Callable[[], Iterable[Triple]]) -> Iterator[None]:
        add = super().add
        for at, triple in enumerate(fill(), 1):
            add(triple, None)  # type: ignore[arg-type]  # it keeps no contexts
            if at % _AT_ONCE == 0:
                yield
        del self._steps
        self.__class__ = SimpleMemory  # type: ignore[assignment]

    def filling(self) -> Iterator[None]:
        """Fill it, so many statements at each step, for who has else to do."""
        yield from self._steps

    def fill(self) -> None:
        """Fill it; from then on it is as any other, and looks at it go straight there."""
        for _ in self._steps:
            pass

    def add(self, triple: Any, context: Any, quoted: bool = False) -> None:
        """Add a statement."""
        self.fill()
        self.add(triple, context, quoted)

    def remove(self, triple_pattern: Any, context: Any = None) -> None:
        """Remove the statements that agree with what is given."""
        self.fill()
        self.remove(triple_pattern, context)

    def triples(self, triple_pattern: Any, context: Any = None) -> Any:
        """Yield the statements that agree with what is given."""
        self.fill()
        return self.triples(triple_pattern, context)

    def __len__(self, context: Any = None) -> int:
        """Count the statements."""
        self.fill()
        return self.__len__(context)


def filled(graph: Graph) -> None:
    """Fill the store of a graph, if that is still to be done."""
    for _ in filling(graph):
        pass


def filling(graph: Graph) -> Iterator[None]:
    """Do what `filled` does, so many statements at each step."""
    if isinstance(graph.store, LaterStore):
        yield from graph.store.filling()
