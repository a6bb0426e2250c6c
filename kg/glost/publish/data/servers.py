"""Rules by which Apache, nginx and Caddy answer for a collection's identifiers."""

import re
from collections.abc import Iterable, Iterator, Mapping
from types import MappingProxyType
from urllib.parse import unquote

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from glost.publish.data.media import MEDIA, OFFERED
from glost.publish.data.profiles import IN_CRM, OWN
from glost.publish.site.frame import HERE

NONE: Mapping[str, str] = MappingProxyType({})
FILES = ("apache.htaccess", "nginx-maps.conf", "nginx.conf", "Caddyfile")
"""The files of rules, by the names they have in a site's ``data/``."""

_ANY = r"\*/\*"
_OTHER_PARAMETERS = r"(?:;\s*[a-pr-z][^,;]*)*"
_TENTHS = range(9, 0, -1)


def preferences() -> Iterator[tuple[str, str]]:
    """Yield what clients may prefer: a pattern of the ``Accept`` header, and an ending of files.

    The first pattern that is found in a header, whatever its capitals, says what its client wants
    most (RFC 9110, section 12.5.1); if none is, the page will do. Weights are compared by their
    first decimal. Of what is wanted alike, a page goes before data, and a type that is named
    before any type. Every server's regular expressions understand the patterns.
    """
    wanted = [(re.escape(media), ending) for ending, media in OFFERED.items()]
    wanted[0] = (rf"{wanted[0][0]}|application/xhtml\+xml", wanted[0][1])
    wanted.append((_ANY, wanted[0][1]))
    weights = [r"(?:;\s*q\s*=\s*1(?:\.0*)?\s*)?(?:,|$)"]
    weights += [rf";\s*q\s*=\s*0?\.{tenth}\d*\s*(?:[,;]|$)" for tenth in _TENTHS]
    for weight in weights:
        for media, ending in wanted:
            yield rf"(?:^|,)\s*(?:{media})\s*{_OTHER_PARAMETERS}{weight}", ending


def rules(
    base: str,
    exceptions: Mapping[str, str],
    renamed: Mapping[str, str] = NONE,
    withdrawn: Mapping[str, str] = NONE,
) -> Iterator[tuple[str, bytes]]:
    """Yield the files of rules of a site.

    Parameters
    ----------
    base
        The collection's base IRI, with its closing slash.
    exceptions
        Identifiers whose files are not named after them, with their files' names; see
        `glost.publish.site.paths.Addresses`. One that no server can tell from another
        address is left out: it holds a control character, or a step that leads upward.
    renamed, withdrawn
        Identifiers that were, under the base; see `glost.publish.site.former.Former`.
    """
    templates = Environment(
        loader=FileSystemLoader(HERE.parent / "data" / "templates"),
        undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True,
        autoescape=False,
    )  # fmt: skip
    templates.filters["bytewise"] = _bytewise
    templates.filters["charwise"] = _charwise
    templates.filters["quoted"] = _quoted
    path = "/" + base.partition("://")[2].partition("/")[2]
    known = {
        "base": base, "path": path, "exceptions": list(_told(base, exceptions)),
        "preferences": list(preferences()), "media": MEDIA,
        "renamed": renamed, "withdrawn": withdrawn, "own": OWN.iri, "crm": IN_CRM.iri,
    }  # fmt: skip
    for name in FILES:
        yield f"data/{name}", templates.get_template(name).render(known).encode()


def _told(base: str, exceptions: Mapping[str, str]) -> Iterable[tuple[str, str]]:
    """Yield the path of each exception under the base, as servers decode it, and its files."""
    for iri, name in sorted(exceptions.items()):
        rest = unquote(iri.removeprefix(base), errors="strict") if _is_utf_8(iri) else ""
        steps = rest.split("/")
        if iri.startswith(base) and rest.isprintable() and not {"", ".", ".."} & set(steps):
            yield rest, name


def _is_utf_8(iri: str) -> bool:
    try:
        unquote(iri, errors="strict")
    except UnicodeDecodeError:
        return False
    return True


_PLAIN = re.compile(r"[A-Za-z0-9_~/-]")


def _bytewise(text: str) -> str:
    """Write a pattern that fits a text alone, for regular expressions of octets."""
    return "".join(
        char if _PLAIN.fullmatch(char) else "".join(rf"\x{octet:02x}" for octet in char.encode())
        for char in text
    )


def _charwise(text: str) -> str:
    """Write a pattern that fits a text alone, for regular expressions of characters."""
    return "".join(
        rf"\x{ord(char):02x}" if char.isascii() and not _PLAIN.fullmatch(char) else char
        for char in text
    )


def _quoted(text: str) -> str:
    """Write a text as nginx reads it within quotation marks."""
    return re.sub(r'(["\\])', r"\\\1", text)
