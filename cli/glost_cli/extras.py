"""Libraries that only some commands need."""

import click


def needs_extra(what: str) -> None:
    """Say what to install if the libraries of the extra ``upload`` are not there."""
    try:
        import httpx2  # noqa: F401 - one of the libraries of the extra
    except ImportError:
        raise click.UsageError(
            f"{what} needs more libraries: pip install 'glost[upload]'"
        ) from None
