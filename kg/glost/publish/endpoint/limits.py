"""How much strangers may ask for."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Limits:
    """What an endpoint gives a query, a request and a connection.

    Attributes
    ----------
    workers
        Processes that answer queries.
    slow
        How many of them may be busy at once with queries that take longer than `patience`; less
        than `workers`, so that a few endless queries never keep the others waiting.
    patience
        Seconds after which a query counts as slow.
    seconds
        Seconds after which a query is stopped.
    memory
        Octets of memory that a process may use for itself.
    rows
        Rows of a table, or statements, that a result may have.
    octets
        Octets that a result may have.
    waiting
        Queries that may wait for a process at once; more are turned away.
    turn
        Seconds that a query may wait for a process.
    query
        Octets that the body of a request may have, a query among them.
    headers
        Octets that the head of a request may have, its address among them.
    connections
        Connections that may be open at once. For one more, the one is closed that has been idle
        longest, of those of the address that has most.
    each
        Connections that one address may have open at once; for one more, its own that has been
        idle longest is closed.
    arriving
        Seconds within which a request must have arrived.
    leaving
        Seconds a connection is kept whose reader takes nothing off the line.
    idle
        Seconds a connection is kept between two requests.
    cached
        Octets of results kept for those who ask the same again.
    """

    workers: int = 4
    slow: int = 2
    patience: float = 1.0
    seconds: float = 20.0
    memory: int = 1 << 30
    rows: int = 100_000
    octets: int = 32 << 20
    waiting: int = 1_000
    turn: float = 20.0
    query: int = 100_000
    headers: int = 32_768
    connections: int = 1_000
    each: int = 400
    arriving: float = 10.0
    leaving: float = 20.0
    idle: float = 15.0
    cached: int = 128 << 20

    def __post_init__(self) -> None:
        """Refuse limits that would let slow queries take every process."""
        if self.workers < 1 or not 0 <= self.slow < max(self.workers, 2):
            raise ValueError("slow queries need a process to spare: let slow be below workers")
