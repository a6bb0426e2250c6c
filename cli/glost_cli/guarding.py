"""Control characters in what is printed are shown and not obeyed."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, TextIO, cast

from glost.record.characters import visible


class _Guard:
    """A stream of text in which control characters are shown and not obeyed.

    Parameters
    ----------
    stream
        Where it all goes. The console of `rich` finds it as ``rich_proxied_file`` and writes its
        styles to it directly. It is not a stream of `io`, which would close that one with itself.
    """

    def __init__(self, stream: TextIO) -> None:
        self.rich_proxied_file = stream

    def write(self, text: str) -> int:
        """Write a text."""
        return self.rich_proxied_file.write(visible(text))

    def __getattr__(self, name: str) -> Any:
        """Be like the stream behind it in everything else."""
        return getattr(self.rich_proxied_file, name)


@contextmanager
def shown() -> Iterator[None]:
    """Show control characters in whatever is printed meanwhile, wherever it came from."""
    before = sys.stdout, sys.stderr
    sys.stdout, sys.stderr = (cast(TextIO, _Guard(stream)) for stream in before)
    try:
        yield
    finally:
        sys.stdout, sys.stderr = before
