"""Search without a server: an index split by the beginnings of words, and the page that reads it.

Each part is a small script that hands over its lines, since pages opened from a disk may load
scripts and nothing else.
"""

import json
import re
import unicodedata
from collections.abc import Iterable, Iterator

from rdflib import Literal, URIRef

from glost.answer.questions import catalogue
from glost.publish.site.entities import Entities
from glost.publish.site.frame import fill, kind
from glost.publish.site.lists import ListPages
from glost.publish.site.paths import PAGE, quoted

PART = 1500
"""How many lines a part may hold before it is split by one letter more."""

_LETTERS = 12
_UNSEARCHED = ("claim", "passage", "recorder", "offering", "codepart", "correction", "sequence")

Lines = dict[str, dict[str, tuple[str, str]]]


def words_of(text: str) -> list[str]:
    """Return a text's words as the index holds them: small letters without accents, and digits."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(char for char in plain if not unicodedata.combining(char))
    return re.findall(r"[^\W_]+", bare)


def search_files(entities: Entities, lists: ListPages) -> Iterator[tuple[str, bytes]]:
    """Make the search page and the parts of the index."""
    lines: Lines = {}
    for text, file, name, said in _entries(entities, lists):
        for word in set(words_of(text)):
            lines.setdefault(word[:32], {})[quoted(file)] = (name, said)
    parts = dict(sorted(_split(sorted(lines), lines, 1)))
    for key, found in parts.items():
        rows = [[word, file, *lines[word][file]] for word in found for file in sorted(lines[word])]
        yield f"search/{_name(key)}.js", _script("part", key, rows)
    yield "search/parts.js", _script("parts", "", sorted(parts))
    yield fill("search.html", "search/index.html", entities.frame, title="Search",
               section="Search", groups=[kind(name) for name in lists.by_kind()])  # fmt: skip


def _entries(entities: Entities, lists: ListPages) -> Iterator[tuple[str, str, str, str]]:
    held = entities.holdings
    graph = held.snapshot.belief.graph
    for name, iris in lists.by_kind().items():
        if name in _UNSEARCHED:
            continue
        for iri in iris:
            label = held.words.label(URIRef(iri))
            texts = [label, iri.rpartition("/")[2]]
            texts += sorted(
                str(value)
                for value in graph.objects(URIRef(iri), None)
                if isinstance(value, Literal) and value.datatype is None
            )
            file = held.addresses.file(iri, PAGE) or ""
            yield " ".join(texts), file, label, kind(name).one
    for question in catalogue().values():
        yield question.text, f"questions/{question.name}.html", question.text, "Question"


def _split(words: list[str], lines: Lines, letters: int) -> Iterator[tuple[str, list[str]]]:
    by: dict[str, list[str]] = {}
    for word in words:
        by.setdefault(word[:letters], []).append(word)
    for key, found in by.items():
        size = sum(len(lines[word]) for word in found)
        if size > PART and len(found) > 1 and letters < _LETTERS:
            yield from _split(found, lines, letters + 1)
        else:
            yield key, found


def _name(key: str) -> str:
    """Name a part's file from the beginning of its words, in plain letters."""
    plain = key.isascii()
    return f"w-{key}" if plain else "x-" + "-".join(f"{ord(char):x}" for char in key)


def _script(call: str, key: str, rows: Iterable[object]) -> bytes:
    told = json.dumps(list(rows), ensure_ascii=True, separators=(",", ":"))
    return f"glostSearch.{call}({json.dumps(key)},{told});\n".encode()
