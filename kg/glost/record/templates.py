"""URI templates as the table descriptions use them, forwards and backwards.

The subset of RFC 6570 that CSVW needs here: ``{name}``, ``{+name}``,
``{.first,second}`` and ``{;first,second}``, which names what it gives.
An undefined variable expands to nothing.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from urllib.parse import quote, unquote

_PART = re.compile(r"\{([+.;]?)([A-Za-z0-9_,]+)\}")
LEAD = {".": ".", ";": ";{}="}
"""What stands before a value, by the operator of its expression."""
_RESERVED = ":/?#[]@!$&'()*+,;="


@dataclass(frozen=True, slots=True)
class Template:
    """A compiled template.

    Attributes
    ----------
    text
        The template as written.
    parts
        Literal strings, and (operator, names) for each expression.
    """

    text: str
    parts: tuple[str | tuple[str, tuple[str, ...]], ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The variables, in order of appearance."""
        return tuple(name for part in self.parts if not isinstance(part, str) for name in part[1])

    def expand(self, values: Mapping[str, str]) -> str:
        """Fill in the variables; a missing or empty one expands to nothing."""
        out = []
        for part in self.parts:
            if isinstance(part, str):
                out.append(part)
                continue
            operator, names = part
            for name in names:
                value = values.get(name, "")
                if value:
                    text = _quoted(value, operator)
                    out.append(LEAD.get(operator, "").format(name) + text)
        return "".join(out)

    def match(self, text: str) -> dict[str, str] | None:
        """Read the variables back out of an expanded template.

        Returns
        -------
        dict or None
            Value by variable, those that expanded to nothing left out; None if `text` cannot
            have come from this template. Where several readings are possible, one of them.
        """
        found = _pattern(self).fullmatch(text)
        if found is None:
            return None
        whole = self.names_whole
        return {
            name: _unquoted(value, "+" if name in whole else "")
            for name, value in found.groupdict().items()
            if value
        }

    @property
    def names_whole(self) -> frozenset[str]:
        """The variables whose reserved characters stand as they are: ``{+name}``."""
        return frozenset(
            name
            for part in self.parts
            if not isinstance(part, str) and part[0] == "+"
            for name in part[1]
        )


_TRIPLETS = re.compile("(?:%[0-9A-Fa-f]{2})+")


@lru_cache(maxsize=1 << 17)
def _quoted(value: str, operator: str) -> str:
    """Encode a value; with ``+`` what is encoded already stays so (RFC 6570, 3.2.3)."""
    if operator != "+":
        return quote(value, safe="")
    parts = _TRIPLETS.split(value)
    triplets = [*_TRIPLETS.findall(value), ""]
    made = (quote(a, safe=_RESERVED) + b for a, b in zip(parts, triplets, strict=True))
    return "".join(made)


def _unquoted(value: str, operator: str) -> str:
    return decoded(value) if operator == "+" else unquote(value)


def decoded(value: str) -> str:
    """Decode a value that stands whole in an IRI; what would be read otherwise stays encoded."""
    return _TRIPLETS.sub(
        lambda found: "".join(
            quote(sign, safe="") if sign in _RESERVED + "%" else sign for sign in unquote(found[0])
        ),
        value,
    )


@cache
def compiled(text: str, base: str = "") -> Template:
    """Compile a template, resolving a leading ``../`` against `base`.

    Parameters
    ----------
    text
        The template; relative ones begin with ``../`` because a table's own address is
        ``{base}tables/name.csv``.
    base
        The collection's base IRI, ending in ``/``.

    Raises
    ------
    ValueError
        If an expression uses an operator outside the subset.
    """
    if text.startswith("../"):
        text = base + text[3:]
    parts: list[str | tuple[str, tuple[str, ...]]] = []
    at = 0
    for found in _PART.finditer(text):
        if found.start() > at:
            parts.append(text[at : found.start()])
        parts.append((found[1], tuple(found[2].split(","))))
        at = found.end()
    if at < len(text):
        parts.append(text[at:])
    if any(isinstance(part, str) and ("{" in part or "}" in part) for part in parts):
        raise ValueError(f"URI template not understood: {text}")
    return Template(text, tuple(parts))


@cache
def _pattern(template: Template) -> re.Pattern[str]:
    seen: set[str] = set()
    out = []
    for part in template.parts:
        if isinstance(part, str):
            out.append(re.escape(part))
            continue
        operator, names = part
        body = ".*" if operator == "+" else r"[^/?#;]*?" if operator == ";" else r"[^/?#]*?"
        for name in names:
            group = f"(?P={name})" if name in seen else f"(?P<{name}>{body})"
            seen.add(name)
            lead = LEAD.get(operator, "").format(name)
            out.append(f"(?:{re.escape(lead)}{group})?" if lead else group)
    return re.compile("".join(out))
