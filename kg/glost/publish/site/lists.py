"""The front page, and lists of everything there is of a kind."""

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup
from rdflib import URIRef

from glost.answer.holdings import holdings as count
from glost.publish.site.entities import ROOT, Entities
from glost.publish.site.frame import fill, filled
from glost.publish.site.holdings import GRAPHS
from glost.publish.site.paths import more
from glost.publish.site.schema_org import dataset
from glost.report.kinds import kind
from glost.report.things.related import listing, natural
from glost.report.tree import Report, Section

_ENTRIES = 200
_BARE = ("claim", "passage", "recorder")
"""Kinds of which a list tells no more than the names."""
_OUTLINES = 12


@dataclass(frozen=True, slots=True)
class ListEntry:
    """A line of a list."""

    link: Markup
    note: str = ""


class ListPages:
    """Makes the front page and the lists.

    Parameters
    ----------
    entities
        Makes the pages of things.
    """

    def __init__(self, entities: Entities) -> None:
        self._made = entities
        self._held = entities.holdings

    def by_kind(self) -> dict[str, list[str]]:
        """Return the identifiers of each kind that has a list, by kind, in the site's order."""
        found: dict[str, list[str]] = {}
        for iri, stem in self._held.addresses.stems.items():
            name = self._held.kind(iri)
            if "/" in stem and iri.removeprefix(self._held.base) not in GRAPHS:
                found.setdefault(name, []).append(iri)
        return dict(sorted(found.items(), key=lambda item: (kind(item[0]).order, item[0])))

    def all(self) -> Iterator[tuple[str, bytes]]:
        """Make every list."""
        for name, iris in self.by_kind().items():
            of = kind(name)
            named = sorted(iris, key=lambda iri: (natural(self._name(name, iri).casefold()), iri))
            pages = [named[at : at + _ENTRIES] for at in range(0, len(named), _ENTRIES)]
            files = [more(of.href, number) for number in range(1, len(pages) + 1)]
            tabs = [
                {"href": file, "name": self._span(name, page)}
                for file, page in zip(files, pages, strict=True)
            ]
            for number, (file, page) in enumerate(zip(files, pages, strict=True), 1):
                yield fill(
                    "list.html", file, self._made.frame, title=of.many, count=len(named),
                    lead=of.lead, pages=tabs, number=number,
                    section="Sources" if name == "source" else "",
                    entries=[self._entry(name, iri) for iri in page if name in _BARE],
                    table="" if name in _BARE else self._table(name, page),
                    pictures=self._made.drawings.on(name, ROOT) if number == 1 else (),
                )  # fmt: skip

    def _table(self, name: str, iris: list[str]) -> Markup:
        """Return things of a kind as a table that can be sorted and narrowed."""
        said = self._made.said
        said.about = ""
        section = Section("list", name, (listing(self._held.basis, said, name, iris),))
        return self._made.html(Report("", name, sections=(section,))).parts(section)

    def _name(self, name: str, iri: str) -> str:
        if name == "claim":
            return iri.rpartition("/")[2]
        if name == "passage":
            passage = self._held.passages[URIRef(iri)][0]
            place = passage.place
            return f"{self._held.words.label(passage.source)}, {place}"
        if name == "recorder":
            return self._held.recorders[URIRef(iri)][0].recorded_by
        return self._held.words.label(URIRef(iri))

    def _span(self, name: str, page: list[str]) -> str:
        first, last = self._name(name, page[0])[:14], self._name(name, page[-1])[:14]
        return f"{first} – {last}" if first != last else first

    def _entry(self, name: str, iri: str) -> ListEntry:
        link = Markup('<a href="{}">{}</a>')
        return ListEntry(
            link.format(self._made.links.href(URIRef(iri), ROOT), self._name(name, iri))
        )

    def front(self) -> Iterator[tuple[str, bytes]]:
        """Make the front page."""
        record = self._held.snapshot.record
        held = count(record, self._held.snapshot.as_of)
        groups = []
        for name, iris in self.by_kind().items():
            most = sorted(
                iris, key=lambda iri: (-len(self._held.basis.naming(iri)), self._name(name, iri))
            )
            links = [self._made.links.a(URIRef(iri), "") for iri in most[:5]]
            if name in ("claim", "passage", "offering", "article", "recorder"):
                links = []
            groups.append({"kind": kind(name), "count": len(iris), "links": links})
        severities = [str(finding.severity) for finding in self._held.findings]
        yield fill(
            "front.html", "index.html", self._made.frame, title="Front page", section="Collection",
            held=held, groups=groups, contradictions=severities.count("contradiction"),
            findings=len(severities), spotlight=self._spotlight(),
            whole=self._made.drawings.whole(), schema=dataset(self._held, self._made.frame),
        )  # fmt: skip

    def missing(self) -> Iterator[tuple[str, bytes]]:
        """Make the page that servers show where there is none; it may stand at any address."""
        way = "/" + self._held.base.partition("://")[2].partition("/")[2]
        told = {"title": "No such page", "section": "Search"}
        yield "404.html", filled("missing.html", self._made.frame, way, **told)

    def _spotlight(self) -> dict[str, object] | None:
        """Choose the page image on which a good dozen of passages are cited."""
        cited = self._made.images.cited
        if not cited:
            return None
        file = min(cited, key=lambda each: (abs(len(cited[each]) - _OUTLINES), each))
        passage = min(cited[file], key=lambda iri: natural(self._held.passages[iri][0].locator))
        source = self._held.passages[passage][0].source
        return {
            "file": file, "count": len(cited[file]), "picture": self._made.images.all[file],
            "regions": list(cited[file].values()), "source": self._made.links.a(source, ""),
            "href": self._made.links.href(passage, ""),
        }  # fmt: skip
