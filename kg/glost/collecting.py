"""The collector of cycles, kept from looking through what is only just being made."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def undisturbed() -> Iterator[None]:
    """Keep the collector of cycles from looking through everything again and again."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        gc.unfreeze()  # what there is counts as old now: it need not be looked through at once
        if was:
            gc.enable()
