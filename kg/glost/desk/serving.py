"""The desk run by uvicorn on this machine's own address, until it is told to stop."""

from urllib.parse import urlsplit

from glost.desk.guard import HOST, DeskGuard
from glost.publish.endpoint.limits import Limits
from glost.publish.endpoint.serving import serve as serve_application

_LIMITS = Limits(arriving=60.0, idle=120.0, connections=100, each=100)
"""What a connection may take: one's own browser is patient, and so is one with it."""


def serve(app: DeskGuard, port: int) -> bool:
    """Serve the desk until SIGINT or SIGTERM.

    Parameters
    ----------
    app
        As `glost.desk.app.application` makes it. It is told to tell its address once it answers.
    port
        Where; 0 is any that is free.

    Returns
    -------
    bool
        Whether it could be served at all; what went wrong is in the log of ``uvicorn.error``.

    Raises
    ------
    OSError
        If the port cannot be had.
    """

    def ready(address: str) -> None:
        app.tell(urlsplit(address).port or 80)

    return serve_application(app, HOST, port, _LIMITS, ready)
