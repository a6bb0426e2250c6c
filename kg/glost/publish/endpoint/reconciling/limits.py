"""How much a client may ask to be reconciled at once."""

BATCH = 50
"""Queries in a batch; the manifest says so (``batchSize``)."""

CANDIDATES = 10
"""Candidates of a query that names no limit."""

MOST = 50
"""Candidates of a query, and suggestions, at most."""

PROPERTIES = 20
"""Properties of a query, or that are asked for at once."""

THINGS = 500
"""Things whose values are asked for at once."""

TEXT = 1_000
"""Characters of a query or of a value that is compared."""

WAITING = 40
"""Requests that may wait to be weighed; more are turned away."""
