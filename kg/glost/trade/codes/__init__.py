"""Numbers and date codes: schemes from claims, codes read by them and made by them.

A scheme is data: a pattern with named parts, and rows that say what each value of a part means.
Where sources differ, a code has several readings, each with the claims it rests on.
"""

import lazy_loader

# What a name stands for is imported when it is asked for: `__init__.pyi` says from where.
__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
