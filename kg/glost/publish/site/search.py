"""Search without a server: an index beside the pages, and the page that reads it.

Entries are numbered by kind and stand in blocks; words lead to numbers of entries, and stand in
parts by the letters they begin with. Each block and part is a small script that hands over its
lines, since pages opened from a disk may load scripts and nothing else. What is compared with
what is asked: `assets/search.js`, which makes words of a text as `words_of` does.
"""

import json
import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from rdflib import Literal, URIRef
from rdflib.namespace import RDF, SKOS

from glost.answer.questions import catalogue
from glost.data import vocabulary
from glost.names import GLOST, SCHEMES
from glost.publish.site.entities import Entities
from glost.publish.site.frame import fill
from glost.publish.site.lists import ListPages
from glost.publish.site.paths import PAGE, quoted, vocabulary_page
from glost.report.kinds import Kind, kind

BLOCK = 400
"""How many entries stand in a block."""

PART = 24_000
"""How many characters a part may hold before it is split by one letter more."""

_LETTERS = 12
_LONGEST = 32
_SAID = 70
"""Characters of what is said of an entry beneath its name."""

_UNSEARCHED = {
    "claim", "passage", "recorder", "offering", "codepart", "correction", "sequence", "zone",
    "sharing", "role", "glaze-use",
}  # fmt: skip
"""Kinds whose things are read on the pages of others."""

_QUESTION = Kind("question", "Questions", "Question", "", 0)
_TERM = Kind("term", "Words of the vocabulary", "Word of the vocabulary", "", 0)


def words_of(text: str) -> list[str]:
    """Return a text's words as the index holds them: small letters without accents, and digits.

    What is written with a sign between, such as a number with letters before it, is a word as a
    whole too, and once more without the zeros that fill it up: ``WV-056`` gives ``wv``, ``056``,
    ``wv056`` and ``wv56``.
    """
    plain = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(char for char in plain if not unicodedata.combining(char))
    words = re.findall(r"[^\W_]+", bare)
    for joined in re.findall(r"[^\W_]+(?:[-./][^\W_]+)+", bare):
        if any(map(str.isdigit, joined)):
            parts = re.findall(r"[^\W_]+", joined)
            words += ["".join(parts), "".join(part.lstrip("0") or "0" for part in parts)]
    return list(dict.fromkeys(word[:_LONGEST] for word in words))


@dataclass(frozen=True, slots=True)
class Entry:
    """Something that can be found.

    Attributes
    ----------
    kind
        What it is.
    file
        Its page, from the site's top.
    name
        What it is called.
    said
        What else it is found by: other names, wordings, numbers, descriptions.
    years
        The first and the last year it may have to do with; None if nothing tells.
    """

    kind: Kind
    file: str
    name: str
    said: tuple[str, ...] = ()
    years: tuple[int, int] | None = None


def search_files(entities: Entities, lists: ListPages) -> Iterator[tuple[str, bytes]]:
    """Make the search page and the index."""
    found = tuple(_Entries(entities, lists).all())
    yield from index_files(found, _other_names())
    yield fill("search.html", "search/index.html", entities.frame, title="Search",
               section="Search", groups=[kind(name) for name in lists.by_kind()])  # fmt: skip


class _Entries:
    """Lists what can be found, by kind."""

    def __init__(self, entities: Entities, lists: ListPages) -> None:
        self._held, self._lists = entities.holdings, lists

    def all(self) -> Iterator[Entry]:
        """Yield every entry, kinds in the site's order."""
        for name, iris in self._lists.by_kind().items():
            if name not in _UNSEARCHED:
                yield from (self._thing(kind(name), iri) for iri in iris)
        for question in catalogue().values():
            yield Entry(_QUESTION, f"questions/{question.name}{PAGE}", question.text)
        facts = vocabulary()
        for name in sorted(map(str, facts.subjects(RDF.type, SKOS.Concept))):
            concept, page = URIRef(name), vocabulary_page(name)
            if page is not None:
                names = [o for p in _NAMES for o in sorted(map(str, facts.objects(concept, p)))]
                meaning = sorted(map(str, facts.objects(concept, SKOS.definition)))
                yield Entry(_TERM, page, names[0], (*names[1:], *meaning))

    def _thing(self, of: Kind, iri: str) -> Entry:
        held = self._held
        label = held.words.label(URIRef(iri))
        said, kinds = set(), set()
        for value in held.snapshot.belief.graph.objects(URIRef(iri), None):
            if isinstance(value, Literal) and value.datatype is None:
                said.add(str(value))
            elif str(value).startswith(SCHEMES):
                kinds.add(held.words.label(value))
        told = (text for text in (*sorted(said), *sorted(kinds)) if text not in label)
        slug = iri.rpartition("/")[2]
        file = held.addresses.file(iri, PAGE) or ""
        return Entry(of, file, label, (*told, slug), self._years.get(iri))

    @cached_property
    def _years(self) -> Mapping[str, tuple[int, int]]:
        """The years in which each thing may have been made, run or been issued or offered."""
        found: dict[str, list[int]] = {}
        for iri, triples in self._held.reckoned.items():
            own = [int(str(o)) for _, p, o in triples if p in _BOUNDS]
            if {GLOST.notBeforeYear, GLOST.notAfterYear} <= {p for _, p, _ in triples}:
                found[iri] = own
        facts = self._held.snapshot.belief.graph
        for assortment, offering in facts.subject_objects(GLOST.hasOffering):
            for issue in facts.objects(assortment, GLOST.offeredIn):
                for article in facts.objects(offering, GLOST.offersArticle):
                    found.setdefault(str(article), []).extend(found.get(str(issue), ()))
        return {iri: (min(years), max(years)) for iri, years in found.items() if years}


_NAMES = (SKOS.prefLabel, SKOS.altLabel, SKOS.hiddenLabel)
_BOUNDS = {GLOST.notBeforeYear, GLOST.notAfterYear}


def _other_names() -> dict[str, str]:
    """Return other names of the vocabulary's concepts, with their usual ones."""
    facts = vocabulary()
    found = {}
    for concept, other in facts.subject_objects(SKOS.altLabel):
        usual = min(map(str, facts.objects(concept, SKOS.prefLabel)), default="")
        if usual:
            found[" ".join(words_of(str(other)))] = " ".join(words_of(usual))
    return dict(sorted(found.items()))


# -- the index -----------------------------------------------------------------------------------


def index_files(entries: Iterable[Entry], also: Mapping[str, str]) -> Iterator[tuple[str, bytes]]:
    """Make the index of some entries.

    Parameters
    ----------
    entries
        What can be found; those of a kind stand together.
    also
        Other names of words of the vocabulary, with their usual ones, both as `words_of` has them.
    """
    held = list(entries)
    kinds: dict[Kind, int] = {}
    named: dict[str, list[int]] = {}
    said: dict[str, list[int]] = {}
    for number, entry in enumerate(held):
        kinds[entry.kind] = kinds.get(entry.kind, 0) + 1
        own = words_of(entry.name)
        for word in own:
            named.setdefault(word, []).append(number)
        for word in dict.fromkeys(w for text in entry.said for w in words_of(text)):
            if word not in own:
                said.setdefault(word, []).append(number)
    rows = {
        word: [word, f"{_gaps(named.get(word, ()))}|{_gaps(said.get(word, ()))}"]
        for word in sorted(named.keys() | said.keys())
    }
    parts = dict(sorted(_split(list(rows), rows, 1)))
    for key, words in parts.items():
        yield f"search/{_file(key)}.js", _script("part", key, [rows[word] for word in words])
    for at in range(0, len(held), BLOCK):
        lines = [_line(entry) for entry in held[at : at + BLOCK]]
        yield f"search/block-{at // BLOCK}.js", _script("block", at // BLOCK, lines)
    first = min((entry.years[0] for entry in held if entry.years), default=0)
    yield "search/years.js", _script("years", first, "".join(_years(e, first) for e in held))
    listed = [[each.name, each.one, each.many, count] for each, count in kinds.items()]
    about = {"kinds": listed, "block": BLOCK, "parts": list(parts), "also": dict(also)}
    yield "search/about.js", _script("about", "", about)


def _line(entry: Entry) -> list[str]:
    """Return its page (where it is no usual one, whole), its name, and what is said of it."""
    said = next((text for text in entry.said[:-1] if text), "") if len(entry.said) > 1 else ""
    short = said if len(said) <= _SAID else said[:_SAID].rsplit(" ", 1)[0] + " …"
    file = quoted(entry.file)
    place = f"{entry.kind.name}/"
    if file.startswith(place) and file.endswith(PAGE):
        file = file.removeprefix(place).removesuffix(PAGE)
    return [file, entry.name, short] if short else [file, entry.name]


def _years(entry: Entry, first: int) -> str:
    """Write the first and the last year in two figures each, counted from a year."""
    if entry.years is None:
        return "...."
    low, high = (min(max(year - first, 0), 36**2 - 1) for year in entry.years)
    return f"{_in36(low):>02}{_in36(high):>02}"


def _gaps(numbers: Iterable[int]) -> str:
    """Write rising numbers as the steps between them, to base 36."""
    last, steps = 0, []
    for number in numbers:
        steps.append(_in36(number - last))
        last = number
    return " ".join(steps)


def _in36(number: int) -> str:
    figures = "0123456789abcdefghijklmnopqrstuvwxyz"
    text = ""
    while number or not text:
        number, left = divmod(number, 36)
        text = figures[left] + text
    return text


def _split(
    words: list[str], rows: Mapping[str, list[str]], letters: int
) -> Iterator[tuple[str, list[str]]]:
    by: dict[str, list[str]] = {}
    for word in words:
        by.setdefault(word[:letters], []).append(word)
    for key, found in by.items():
        size = sum(len(part) for word in found for part in rows[word])
        if size > PART and len(found) > 1 and letters < _LETTERS:
            yield from _split(found, rows, letters + 1)
        else:
            yield key, found


def _file(key: str) -> str:
    """Name a part's file from the beginning of its words, in plain letters."""
    plain = key.isascii()
    return f"w-{key}" if plain else "x-" + "-".join(f"{ord(char):x}" for char in key)


def _script(call: str, key: str | int, rows: object) -> bytes:
    told = json.dumps(rows, ensure_ascii=True, separators=(",", ":"))
    return f"glostSearch.{call}({json.dumps(key)},{told});\n".encode()
