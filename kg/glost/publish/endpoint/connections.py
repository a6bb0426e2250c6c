"""Connections that are kept only as long as the other side does its part.

uvicorn waits without end for a request that trickles in, and for a reader who takes nothing off
the line, and counts connections without asking whose they are. Here both waits end, and whoever
opens connections without end closes their own idle ones by it and nobody else's.
"""

import asyncio

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

from glost.publish.endpoint.limits import Limits


class OpenConnections:
    """The connections that are open, by the address at their other end.

    Parameters
    ----------
    limits
        How many there may be.
    """

    def __init__(self, limits: Limits) -> None:
        self._limits = limits
        self._open: dict[str, set[Patient]] = {}
        self._count = 0

    def enter(self, line: "Patient") -> None:
        """Note a new connection, and close an idle one if that makes one too many."""
        theirs = self._open.setdefault(line.address, set())
        theirs.add(line)
        self._count += 1
        if len(theirs) > self._limits.each:
            _close_one(theirs, line)
        elif self._count > self._limits.connections:
            _close_one(max(self._open.values(), key=len), line)

    def leave(self, line: "Patient") -> None:
        """Forget a connection that is closed, or about to be."""
        theirs = self._open.get(line.address, set())
        if line in theirs:
            theirs.remove(line)
            self._count -= 1
            if not theirs:
                del self._open[line.address]


class Patient(H11Protocol):
    """A connection that is given up when a request's head, or a reader, takes too long."""

    limits = Limits()
    register = OpenConnections(limits)
    address = ""
    since = 0.0
    _arriving: asyncio.TimerHandle | None = None
    _leaving: asyncio.TimerHandle | None = None

    @property
    def waits(self) -> bool:
        """Whether no request is being answered on it."""
        return self.cycle is None or self.cycle.response_complete

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for a request."""
        super().connection_made(transport)
        self.address = self.client[0] if self.client else ""
        self.since = self.loop.time()
        self._arriving = self.loop.call_later(self.limits.arriving, transport.abort)
        self.register.enter(self)

    def data_received(self, data: bytes) -> None:
        """Go on waiting if the head of a request is still incomplete."""
        self.since = self.loop.time()
        super().data_received(data)
        if self.conn.their_state is not h11.IDLE:
            self._arriving = _stop(self._arriving)
        elif self._arriving is None:
            self._arriving = self.loop.call_later(self.limits.arriving, self.transport.abort)

    def pause_writing(self) -> None:
        """Begin to wait for the reader."""
        super().pause_writing()
        self._leaving = self.loop.call_later(self.limits.leaving, self.transport.abort)

    def resume_writing(self) -> None:
        """Stop waiting for the reader."""
        super().resume_writing()
        self._leaving = _stop(self._leaving)

    def connection_lost(self, exc: Exception | None) -> None:
        """Stop waiting."""
        self._arriving, self._leaving = _stop(self._arriving), _stop(self._leaving)
        self.register.leave(self)
        super().connection_lost(exc)

    def give_up(self) -> None:
        """Close the connection at once."""
        self.register.leave(self)
        self.transport.abort()


def patient(limits: Limits) -> type[Patient]:
    """Return the class of connections under limits of their own, as uvicorn takes it."""
    return type("Patient", (Patient,), {"limits": limits, "register": OpenConnections(limits)})


def _close_one(lines: set[Patient], new: Patient) -> None:
    """Close the connection that has waited longest; the new one if all others are busy."""
    waiting = [line for line in lines if line.waits]
    min(waiting, key=lambda line: line.since, default=new).give_up()


def _stop(timer: asyncio.TimerHandle | None) -> asyncio.TimerHandle | None:
    if timer is not None:
        timer.cancel()
    return None
