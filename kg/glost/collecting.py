"""The collector of cycles, kept from looking through what is only just being made."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def undisturbed(*, lasting: bool = False) -> Iterator[None]:
    """Keep the collector of cycles from looking through everything again and again.

    Parameters
    ----------
    lasting
        Whether what is made, and all that was there before, is not looked through afterwards
        either, until somebody calls `gc.unfreeze`.
    """
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        if not lasting:
            gc.unfreeze()  # what there is counts as old now, and is not looked through at once
        if was:
            gc.enable()
