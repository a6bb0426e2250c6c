"""To save: from the files as they are at that moment, and never over what changed meanwhile."""

from collections.abc import Callable, Mapping, Sequence
from http import HTTPStatus
from typing import TypeVar

from starlette.responses import Response

from glost.desk.asked import Asked, Unclear
from glost.desk.frame import page
from glost.desk.opened import Opened
from glost.desk.state import State
from glost.record.amending import StaleRecordError
from glost.record.claims import Claim
from glost.record.record import Record

Made = TypeVar("Made")

_TRIES = 12


def saved(opened: Opened, write: Callable[[Record], Made]) -> Made:
    """Write, from the files read again if another has written to them meanwhile.

    Parameters
    ----------
    opened
        The collection.
    write
        Writes to a record; tried again with what the files hold then.

    Raises
    ------
    Unclear
        If the files change all the time.
    glost.record.errors.RecordErrors
        As of `write`.
    """
    for _ in range(_TRIES):
        try:
            return write(opened.state().record)
        except StaleRecordError:
            continue
    raise Unclear("the files change all the time; wait until whatever writes them has done")


def differs(
    state: State,
    asked: Asked,
    sides: Sequence[tuple[str, str, str]],
    *,
    here: str,
    what: str,
    on: Mapping[str, str | Sequence[str]] | None = None,
    leave: str = "/",
    claim: Claim | None = None,
    withdrawn: Claim | None = None,
    given: Mapping[str, str] | None = None,
) -> Response:
    """Refuse what was based on what is no longer so, both versions side by side.

    Parameters
    ----------
    state
        The collection as it is now.
    asked
        What was sent; all of it goes on into the form with which one goes on.
    sides
        Of each cell its name, what was written, and what stands now.
    here
        The address that what was written is sent to again; empty if nothing is left to send it to.
    what
        What has changed: ``row``, ``talk``.
    on
        Fields that name what stands now; they take the place of those that were sent.
    leave
        Where one looks at what stands now.
    claim
        The claim that stands there now; None if none does.
    withdrawn
        The correction that has withdrawn it; None if none has.
    given
        What else was written, by name.
    """
    fields: dict[str, Sequence[str]] = {
        name: texts for name, texts in asked.several.items() if name not in ("seen", "do")
    }
    for name, texts in (on or {}).items():
        fields[name] = (texts,) if isinstance(texts, str) else texts
    return page(
        "differs",
        state,
        status=HTTPStatus.CONFLICT,
        sides=sides,
        here="",
        action=here,
        what=what,
        fields=[(name, text) for name, texts in fields.items() for text in texts],
        leave=leave,
        claim=claim,
        withdrawn=withdrawn,
        given=given or {},
        do=(on or {}).get("do", "look"),
    )
