"""Values as JSON has them."""

from typing import Any

import msgspec


def plain(value: object) -> Any:
    """Return a value, such as a data class or a tuple of them, as dicts, lists, texts and numbers.

    Fields stand under their names, in their order; an IRI is a text.
    """
    return msgspec.to_builtins(value, enc_hook=_text)


def _text(value: object) -> str:
    if isinstance(value, str):  # what is more than a text: an IRI
        return str.__str__(value)
    raise NotImplementedError(f"{type(value).__name__} has no form in JSON")
