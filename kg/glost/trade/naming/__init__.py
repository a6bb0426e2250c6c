"""Naming an unknown piece: which shapes it may be of, and what speaks for and against each.

Nothing is guessed. Each candidate carries what agrees, what is unknown, what speaks against it and
what rules it out, with the claims; and what would part the candidates best is named. How much each
observation weighs, and why, stands in ``weights.csv``.
"""

import lazy_loader

# What a name stands for is imported when it is asked for: `__init__.pyi` says from where.
__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
