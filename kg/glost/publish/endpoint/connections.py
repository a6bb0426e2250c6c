"""Connections that are kept only as long as the other side does its part.

uvicorn waits without end for a request that trickles in, and for a reader who takes nothing off
the line. Here both end.
"""

import asyncio

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

from glost.publish.endpoint.limits import Limits


class Patient(H11Protocol):
    """A connection that is given up when a request's head, or a reader, takes too long."""

    limits = Limits()
    _arriving: asyncio.TimerHandle | None = None
    _leaving: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for a request."""
        super().connection_made(transport)
        self._arriving = self.loop.call_later(self.limits.arriving, transport.abort)

    def data_received(self, data: bytes) -> None:
        """Go on waiting if the head of a request is still incomplete."""
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
        super().connection_lost(exc)


def patient(limits: Limits) -> type[Patient]:
    """Return the class of connections under limits of their own, as uvicorn takes it."""
    return type("Patient", (Patient,), {"limits": limits})


def _stop(timer: asyncio.TimerHandle | None) -> asyncio.TimerHandle | None:
    if timer is not None:
        timer.cancel()
    return None
