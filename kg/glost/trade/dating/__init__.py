"""Dating a piece by what is seen on it: not before, not after, why, and what to look for next.

`Limiter` says what each thing seen gives, and `date_seen` puts it together. `narrowings` says what
further look would narrow it most, `misreadings` what one sign read otherwise would settle, and
`date_table` dates a whole table. Contradictions are worded as hypotheses.
"""

import lazy_loader

# What a name stands for is imported when it is asked for: `__init__.pyi` says from where.
__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
