"""A store of statements that is filled when it is first looked at."""

from collections.abc import Callable, Iterable
from typing import Any

from rdflib import Graph
from rdflib.plugins.stores.memory import SimpleMemory

from glost.record.claims import Triple


class LaterStore(SimpleMemory):
    """A store that is filled when it is first looked at.

    Parameters
    ----------
    fill
        Gives what it holds; it is asked once.
    """

    def __init__(self, fill: Callable[[], Iterable[Triple]]) -> None:
        super().__init__()
        self._fill = fill

    def fill(self) -> None:
        """Fill it; from then on it is as any other, and looks at it go straight there."""
        given = self._fill
        del self._fill
        self.__class__ = SimpleMemory  # type: ignore[assignment]
        for triple in given():
            self.add(triple, None)  # it keeps no contexts

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
    if isinstance(graph.store, LaterStore):
        graph.store.fill()
