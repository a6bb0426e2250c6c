"""Pages of things: what is said of each, what follows, what was reckoned, and who names it."""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TypeAlias

from markupsafe import Markup
from rdflib import Literal, URIRef
from rdflib.namespace import DCTERMS, RDF
from rdflib.term import Node

from glost.names import GLOST
from glost.publish.site.drawings import Drawings
from glost.publish.site.frame import PageFrame, blocks, fill
from glost.publish.site.holdings import SiteContents
from glost.publish.site.images import Images, PageImage, Region
from glost.publish.site.links import Links
from glost.publish.site.paths import DATA
from glost.publish.site.properties import Teller
from glost.publish.site.reasons import W3C, Reasoned, ReasonPages
from glost.publish.site.schema_org import schema
from glost.publish.site.sections import PageGroup, PageSection, paged
from glost.record.claims import Claim, Triple
from glost.record.index import whole
from glost.report.kinds import Kind, kind

Reason: TypeAlias = Callable[[Triple, str], Reasoned]

ROOT = "../"
"""The way up from every page of an identifier."""


_FOLLOWS = (
    "No source says this in so many words; it follows from what sources say. "
    "Open a line to see why."
)
_OF_CORRECTIONS = (GLOST.withdraws, GLOST.replacedBy)
_RECKONED = "Figures reckoned from the claims. Open a line to see from which."


@dataclass(frozen=True, slots=True)
class Outline:
    """A cited region as a page draws it."""

    x: float
    y: float
    w: float
    h: float
    href: str
    name: str


@dataclass(frozen=True, slots=True)
class ShownThing:
    """A page image with the regions cited, as a page draws it."""

    id: str
    src: str
    width: int
    height: int
    alt: str
    caption: Markup | str
    regions: tuple[Outline, ...]

    @property
    def linked(self) -> bool:
        """Whether any region leads somewhere."""
        return any(each.href for each in self.regions)


class Entities:
    """Makes the pages of a collection's identifiers.

    Parameters
    ----------
    holdings
        What the site is made of.
    frame
        What stands round every page.
    """

    def __init__(self, holdings: SiteContents, frame: PageFrame) -> None:
        self.holdings = holdings
        self.frame = frame
        self.images = Images(holdings)
        self.links = Links(holdings, self.images)
        self.teller = Teller(holdings, self.links)
        self.reasons = ReasonPages(self.teller)
        self.drawings = Drawings(holdings, frame)
        self.blocks = blocks()

    # -- a page and its parts --------------------------------------------------------------------

    def page(
        self, iri: str, name: str, of: Kind, sections: list[PageSection], **more: object
    ) -> Iterator[tuple[str, bytes]]:
        """Fill the pages of an identifier."""
        stem = self.holdings.addresses.stems[iri]
        spread = paged(sections, f"{stem}.html")
        alternates = tuple((media, f"{stem}{ending}") for ending, media in DATA.items())
        files = [file for file, _ in spread]
        values = {"classes": (), "lead": "", "alerts": (), "schema": "", "manifest": "", **more}
        for number, (file, held) in enumerate(spread, 1):
            yield fill(
                "thing.html", file, self.frame,
                title=name if number == 1 else f"{name}, page {number}", name=name, iri=iri,
                kind=of, sections=held, pages=files, number=number, first=files[0],
                alternates=alternates, **values,
            )  # fmt: skip

    def claims(self, claims: Iterable[Claim]) -> list[Markup]:
        """Tell claims in full, each as a block."""
        told = []
        for claim in claims:
            ground = self.teller.ground(claim, ROOT, self.holdings.statements[claim.iri])
            says = list(self.teller.says(claim, ROOT))
            for _, lost in self.teller.lost(claim, ROOT):
                says += [
                    Markup('<span class="st withdrawn">withdrawn</span> {}').format(each)
                    for each in lost
                ]
            told.append(self.blocks.claim(ground, says))
        return told

    def findings(self, iri: str) -> PageSection:
        """Tell the findings that an identifier takes part in."""
        numbers = self.holdings.findings_about.get(iri, [])
        found = []
        for number in numbers:
            finding = self.holdings.findings[number]
            view = {
                "severity": str(finding.severity),
                "message": finding.message,
                "href": f"findings/{self.holdings.finding_names[number]}.html",
            }
            found.append(self.blocks.finding(view, ROOT))
        return PageSection("findings", "What disagrees", [PageGroup(found, css="findings")])

    def shown(self, picture: PageImage, regions: list[tuple[Region, str, str]], alt: str) -> Markup:
        """Draw a page image with regions outlined; each with an address and a name."""
        view = ShownThing(
            "picture-" + picture.file.rpartition("/")[2].replace(".", "-"),
            picture.file,
            picture.width,
            picture.height,
            alt,
            alt + "." if regions else "",
            tuple(Outline(r.x, r.y, r.w, r.h, href, name) for r, href, name in regions),
        )
        drawn: Markup = self.blocks.region(view, ROOT)
        return drawn

    # -- things ----------------------------------------------------------------------------------

    def things(self, iris: Iterable[str]) -> Iterator[tuple[str, bytes]]:
        """Make the pages of things."""
        for iri in iris:
            yield from self.thing(iri)

    def thing(self, iri: str) -> Iterator[tuple[str, bytes]]:
        """Make the pages of a thing."""
        held = self.holdings
        sections = [
            self._said(iri),
            self._pictures(iri),
            self._follows(iri),
            self._reckoned(iri),
            self.findings(iri),
            *self._named(iri),
            self._resting(iri),
            self._in_full(iri),
        ]
        yield from self.page(
            iri,
            held.words.label(URIRef(iri)),
            kind(held.kind(iri)),
            sections,
            classes=self._classes(iri),
            lead=self._lead(iri),
            alerts=self._alerts(iri),
            schema=schema(held, iri),
            manifest=self._manifest(iri),
        )

    def _classes(self, iri: str) -> list[Markup]:
        first = kind(self.holdings.kind(iri)).one.casefold()
        links = [self.links.a(each, ROOT) for each in self.holdings.kinds.get(iri, ())[:1]]
        return [each for each in links if each.striptags().casefold() != first]

    def _lead(self, iri: str) -> str:
        described = [
            str(value)
            for value in self.holdings.snapshot.belief.graph.objects(
                URIRef(iri), DCTERMS.description
            )
            if isinstance(value, Literal)
        ]
        return min(described, key=lambda text: (-len(text), text), default="")

    def _manifest(self, iri: str) -> str:
        """Return the IIIF manifest of a source with page images."""
        stem = self.holdings.addresses.stems[iri]
        has = stem.startswith("source/") and iri in self.images.of
        return f"iiif/{stem}/manifest.json" if has else ""

    def _alerts(self, iri: str) -> list[tuple[str, str]]:
        claims = self.holdings.about.get(iri, ())
        count = len(claims)
        gone = sum(1 for claim in claims if claim.iri in self.holdings.withdrawn)
        disputes = {n for claim in claims for n in self.holdings.disputes.get(str(claim.iri), ())}
        found = []
        if disputes:
            many = "one contradiction" if len(disputes) == 1 else f"{len(disputes)} contradictions"
            found.append(("disputed", f"Claims about this take part in {many}."))
        if gone:
            told = "One claim has" if gone == 1 else f"{gone} of {count} claims have"
            found.append(("withdrawn", f"{told} been withdrawn; what was believed before stays."))
        parted = sum(1 for claim in claims if claim.iri in self.holdings.snapshot.belief.parts)
        if parted:
            told = "one claim" if parted == 1 else f"{parted} claims"
            found.append(("withdrawn", f"A part of {told} was withdrawn; the rest stands."))
        return found

    def _said(self, iri: str) -> PageSection:
        told = [self.blocks.property(each) for each in self.teller.told(iri, ROOT)]
        return PageSection("said", "What is said", [PageGroup(told, tag="dl", css="said")])

    def _pictures(self, iri: str) -> PageSection:
        found = []
        for picture in self.images.of.get(iri, ()):
            regions = []
            for passage, region in self.images.cited.get(picture.file, {}).items():
                where = self.holdings.passages[passage][0]
                name = where.locator or region.xywh
                regions.append((region, self.links.href(passage, ROOT), name))
            name = self.holdings.words.label(URIRef(iri))
            alt = f"Picture of {name}"
            if regions:
                many = "one region" if len(regions) == 1 else f"{len(regions)} regions"
                alt = f"Page image of {name}; {many} that claims rest on are outlined"
            found.append(self.shown(picture, regions, alt))
        found += self.drawings.on(iri, ROOT)
        return PageSection("pictures", "Pictures", [PageGroup(found, tag="")])

    def _follows(self, iri: str) -> PageSection:
        triples = [t for t in self.holdings.inferred.get(iri, ()) if "#" not in str(t[0])]
        triples = [t for t in triples if t[1] != RDF.type or str(t[2]).startswith(GLOST)]
        groups = self._reasoned(triples, "inferred", self.reasons.inferred)
        return PageSection("follows", "What follows", groups, _FOLLOWS)

    def _reckoned(self, iri: str) -> PageSection:
        """Tell the figures of a thing; nodes that hold a verdict on it serve questions alone."""
        found = self.holdings.reckoned.get(iri, [])
        nodes = {subject for subject, predicate, _ in found if predicate == RDF.type}
        triples = [triple for triple in found if triple[0] not in nodes]
        groups = self._reasoned(triples, "reckoned", self.reasons.reckoned)
        return PageSection("reckoned", "What was reckoned", groups, _RECKONED)

    def _reasoned(self, triples: list[Triple], word: str, reason: Reason) -> list[PageGroup]:
        by: dict[tuple[str, Node], list[Triple]] = {}
        for triple in triples:
            by.setdefault((str(triple[0]).partition("#")[2], triple[1]), []).append(triple)
        groups = []
        for (point, predicate), found in by.items():
            name = self.holdings.words.label(predicate)
            if predicate == RDF.type:
                name = "is of kind"
            verb = f"{name} ({point})" if point else name
            told = [self.blocks.reasoned(reason(t, ROOT), word, verb, W3C) for t in found]
            title = name if len(found) > 3 else ""
            groups.append(PageGroup(told, title, "div", "reasons", len(found) if title else 0))
        return groups

    def _named(self, iri: str) -> list[PageSection]:
        """List the things whose claims name this one, by property and kind."""
        held = self.holdings
        by: dict[tuple[Node, str], dict[str, bool]] = {}
        for claim, triple in held.naming.get(iri, ()):
            subject, predicate, _ = triple
            thing = whole(subject)
            if thing not in held.addresses.stems or predicate in _OF_CORRECTIONS:
                continue
            group = by.setdefault((predicate, held.kind(thing)), {})
            stands = held.snapshot.belief.against(claim.iri, triple) is None
            group[thing] = group.get(thing, False) or stands
        groups = []
        for (predicate, name), things in sorted(
            by.items(), key=lambda item: (kind(item[0][1]).order, str(item[0][0]))
        ):
            verb = held.words.label(predicate)
            listed = sorted(things, key=lambda thing: (held.words.label(URIRef(thing)), thing))
            told = [
                self.blocks.named(
                    self.links.a(URIRef(thing), ROOT), "current" if things[thing] else "withdrawn"
                )
                for thing in listed
            ]
            title = Markup('{} <span class="verb">{}: this</span>').format(kind(name).many, verb)
            groups.append(PageGroup(told, title, css="named", count=len(told)))
        return [PageSection("named", "Named by", groups)]

    def _resting(self, iri: str) -> PageSection:
        """Tell the claims that rest on this as their source."""
        claims = [
            claim
            for claim in self.holdings.resting.get(iri, ())
            if claim not in self.holdings.about.get(iri, ())
        ]
        claims.sort(key=lambda claim: (natural(claim.passage.locator), str(claim.iri)))
        groups = [PageGroup(self.claims(claims), css="claims")]
        return PageSection("rests", "What rests on it", groups, count=len(claims))

    def _in_full(self, iri: str) -> PageSection:
        told = self.claims(self.holdings.about.get(iri, ()))
        return PageSection(
            "claims", "The claims in full", [PageGroup(told, css="claims")], count=len(told)
        )


def natural(text: str) -> list[tuple[bool, int, str]]:
    """Sort p. 9 before p. 10."""
    parts = re.split(r"([0-9]{1,9})", text)
    return [(not part.isdecimal(), int(part) if part.isdecimal() else 0, part) for part in parts]
