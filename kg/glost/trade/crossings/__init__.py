"""Crossings: treatments seen on other shapes than their home, and the lives of decals."""

import lazy_loader

# What a name stands for is imported when it is asked for: `__init__.pyi` says from where.
__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
