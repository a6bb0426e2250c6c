"""A request as views see it, and what they answer when it cannot be met."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TypeAlias

from starlette.responses import Response

from glost.desk.opened import Opened


class Missing(Exception):  # noqa: N818 - said to a user as it stands
    """There is nothing at an address; the message says what is not there."""


class Unclear(Exception):  # noqa: N818 - said to a user as it stands
    """What was asked cannot be understood; the message says why and what to do."""


@dataclass(frozen=True)
class Asked:
    """A request.

    Attributes
    ----------
    method
        ``GET`` or ``POST``.
    address
        Its path and query.
    places
        The parts of its path that vary, by name.
    fields
        The first value of each field of its query, or of the form that was sent.
    several
        All values of each field.
    files
        Files that were sent: name and content.
    """

    method: str
    address: str
    places: Mapping[str, str] = field(default_factory=dict)
    fields: Mapping[str, str] = field(default_factory=dict)
    several: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    files: tuple[tuple[str, bytes], ...] = ()

    @property
    def saves(self) -> bool:
        """Whether it is to change anything."""
        return self.method == "POST"

    @property
    def as_of(self) -> date | None:
        """The day of which the record is to be shown; None for now.

        Raises
        ------
        Unclear
            If what is given is no day.
        """
        text = self.fields.get("as_of", "").strip()
        try:
            return date.fromisoformat(text) if text else None
        except ValueError:
            raise Unclear(f'"{text}" is not a day; write it like 1999-12-31') from None

    def get(self, name: str) -> str:
        """Return a field without space at its ends; empty if it was not given."""
        return self.fields.get(name, "").strip()


View: TypeAlias = Callable[[Opened, Asked], Response | Callable[[], Response]]
"""Answers a request. What takes long and touches nothing that changes is given back to be called:
it is then done apart from what touches the collection."""
Routes: TypeAlias = tuple[tuple[str, View], ...]
"""Views by the paths at which they stand."""
