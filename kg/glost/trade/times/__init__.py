"""From claims to chronology: the tightest dates, why they hold, and which claims clash.

`chronology` gathers what every claim says of time and joins it by the rules of ``rules.toml``;
`Chronology` answers.
"""

import lazy_loader

# What a name stands for is imported when it is asked for: `__init__.pyi` says from where.
__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
