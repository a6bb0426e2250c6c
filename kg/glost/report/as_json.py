"""A report, or a part of one, as JSON: the tree as it is, each part under the names it has here."""

import msgspec


def json(value: object) -> bytes:
    """Write a report, or any part of one, as JSON with two spaces of indent.

    Parameters
    ----------
    value
        A value of `glost.report.tree`. Sentences are lists of texts and of things with ``iri`` and
        ``text``; what a statement rests on is told apart by ``type``: ``passage``, ``rule``,
        ``proof``.
    """
    return msgspec.json.format(msgspec.json.encode(value), indent=2)
