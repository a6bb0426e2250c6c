"""What can be wrong with a request, and how it is said to a client."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from http import HTTPStatus

from glost.answer.refusals import QueryError

_STATUS = {
    "malformed": HTTPStatus.BAD_REQUEST,
    "refused": HTTPStatus.FORBIDDEN,
    "unwritable": HTTPStatus.NOT_ACCEPTABLE,
    "stopped": HTTPStatus.INTERNAL_SERVER_ERROR,
    "failed": HTTPStatus.INTERNAL_SERVER_ERROR,
}
_REMEDIES = {
    "malformed": "correct the query there; SPARQL 1.1 says how one is written",
    "refused": "send a query that only reads",
    "unwritable": "ask for another format",
    "stopped": "ask for less at a time",
    "failed": "send it again, and tell whoever keeps the server if it fails again",
}
"""What to do where the error itself says nothing better."""


@dataclass
class Problem(Exception):  # noqa: N818 - said to a client as it stands
    """A request that is not answered as it was meant.

    Attributes
    ----------
    status
        The status of the response.
    reason
        What is wrong, a phrase without a full stop.
    remedy
        What could be done.
    headers
        Headers the response must carry.
    """

    status: HTTPStatus
    reason: str
    remedy: str
    headers: Mapping[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        """Return the problem as one line."""
        return f"{self.reason}; {self.remedy}"


def of_query(error: QueryError) -> Problem:
    """Return the problem of a query without an answer."""
    place = f"line {error.line}, column {error.column}: " if error.line else ""
    remedy = error.remedy or _REMEDIES[error.trouble]
    return Problem(_STATUS[error.trouble], place + error.reason, remedy)
