"""Pages of claims, passages, recorders and the graphs that are no claims."""

from collections.abc import Iterable, Iterator

from markupsafe import Markup
from rdflib import URIRef

from glost.names import GLOST
from glost.publish.site.entities import ROOT, Entities
from glost.publish.site.frame import fill
from glost.publish.site.holdings import GRAPHS
from glost.publish.site.sections import PageGroup, PageSection
from glost.record.claims import Claim, Passage
from glost.record.fragments import FragmentError, read_fragment
from glost.report.kinds import kind
from glost.words.sentences import correction_kind, side, withdrawal

_GRAPHS = {
    "inferred": (
        "What follows",
        "The graph of statements that follow from what is believed, by the rules of OWL 2 RL.",
    ),
    "reckoned": (
        "What was reckoned",
        "The graph of figures reckoned from the claims: plain years, lengths in metres and others.",
    ),
    "record": (
        "What is said of the claims",
        "The graph that says of each claim its source, passage, certainty, and who recorded it.",
    ),
}


class Others:
    """Makes the pages of identifiers that are no things of the trade.

    Parameters
    ----------
    entities
        Makes the pages of things.
    """

    def __init__(self, entities: Entities) -> None:
        self._made = entities
        self._held = entities.holdings
        self._links = entities.links

    def claims(self, claims: Iterable[Claim]) -> Iterator[tuple[str, bytes]]:
        """Make the pages of claims."""
        for claim in claims:
            yield from self._claim(claim)

    def _claim(self, claim: Claim) -> Iterator[tuple[str, bytes]]:
        iri = str(claim.iri)
        triples = self._held.statements[claim.iri]
        ground = self._made.teller.ground(claim, ROOT, triples)
        says = [Markup("<li>{}</li>").format(each) for each in self._made.teller.says(claim, ROOT)]
        facts = [self._fact(name, shown) for name, shown in self._facts(claim)]
        sections = [
            PageSection("says", "What it says", [PageGroup(says, css="sentences")]),
            PageSection("rests", "What it rests on", [PageGroup(facts, tag="dl", css="facts")]),
            self._region(claim.passage),
            self._correction(claim),
            *self._lost(claim),
            self._made.findings(iri),
        ]
        by = self._held.withdrawn.get(claim.iri)
        how = _WITHDRAWN.get(correction_kind(by), "") if by is not None else ""
        alerts = [(ground.status, how or _STANDS[ground.status])]
        if claim.iri in self._held.snapshot.belief.parts:
            alerts.append(("withdrawn", "A part of it was withdrawn; the rest stands."))
        yield from self._made.page(iri, f"Claim {claim.id}", kind("claim"), sections, alerts=alerts)

    def _fact(self, name: str, shown: Markup | str) -> Markup:
        return Markup("<div><dt>{}</dt><dd>{}</dd></div>").format(name, shown)

    def _facts(self, claim: Claim) -> Iterator[tuple[str, Markup | str]]:
        passage = claim.passage
        yield "Source", self._links.a(passage.source, ROOT)
        name = self._held.passage_names.get(passage)
        if name is not None:
            place = passage.place
            link = Markup('<a href="{}">{}</a>')
            yield "Passage", link.format(self._links.href(name, ROOT), place)
        yield from self._heard(passage)
        sure = claim.certainty
        yield "Certainty", "not stated" if sure is None else self._links.a(sure, ROOT)
        if claim.recorded_by:
            recorder = self._held.recorder_names[claim.recorded_by]
            link = Markup('<a href="{}">{}</a>')
            yield "Recorded by", link.format(self._links.href(recorder, ROOT), claim.recorded_by)
        if claim.recorded_on:
            yield "Recorded on", claim.recorded_on
        if claim.note:
            yield "Note", claim.note
        yield "Read from", str(claim.origin)

    def _heard(self, passage: Passage) -> Iterator[tuple[str, Markup]]:
        """Link to a stretch of a recording, at each address the recording is said to have."""
        try:
            fragment = read_fragment(passage.region)
        except FragmentError:
            return
        if not fragment.timed:
            return
        said = self._held.snapshot.belief.graph.objects(passage.source, GLOST.address)
        part = passage.region.rpartition("#")[2]
        link = Markup('<a href="{}#{}" rel="external noopener">{}</a>')
        for address in sorted({str(each).partition("#")[0] for each in said}):
            yield "In the recording", link.format(address, part, fragment.words)

    def _region(self, passage: Passage) -> PageSection:
        place = self._made.images.place(passage)
        if place is None:
            return PageSection("page", "On the page")
        picture, region = place
        source = self._held.words.label(passage.source)
        alt = f"{source}: page image with {passage.locator or region.xywh} outlined"
        drawn = self._made.shown(picture, [(region, "", "")], alt)
        return PageSection("page", "On the page", [PageGroup([drawn], tag="")])

    def _correction(self, claim: Claim) -> PageSection:
        """Tell what withdrew a claim, and what it replaces."""
        told: list[Markup] = []
        held = self._held
        by = held.withdrawn.get(claim.iri)
        if by is not None:
            told += self._made.claims([by])
        for old in held.snapshot.belief.replaced.get(claim.iri, ()):
            told.append(Markup("<li>It replaces {}.</li>").format(self._links.a(old, ROOT)))
        return PageSection("correction", "Correction", [PageGroup(told, css="claims")])

    def _lost(self, claim: Claim) -> Iterator[PageSection]:
        """Tell what was withdrawn of a claim by itself, each part with its correction."""
        lost = list(self._made.teller.lost(claim, ROOT))
        for number, (correction, says) in enumerate(lost, 1):
            told = [Markup("<li>{}</li>").format(each) for each in says]
            groups = [
                PageGroup(told, css="sentences"),
                PageGroup(self._made.claims([correction]), withdrawal(correction), css="claims"),
            ]
            name = "withdrawn" if len(lost) == 1 else f"withdrawn-{number}"
            yield PageSection(name, "What was withdrawn of it", groups)

    def passages(self, iris: Iterable[URIRef]) -> Iterator[tuple[str, bytes]]:
        """Make the pages of passages."""
        for iri in iris:
            passage, claims = self._held.passages[iri]
            place = passage.place
            source = self._links.a(passage.source, ROOT)
            where = [self._fact("Source", source)]
            if passage.locator:
                where.append(self._fact("Place", passage.locator))
            if passage.region:
                where.append(self._fact("Region", passage.region))
            where += [self._fact(name, shown) for name, shown in self._heard(passage)]
            sections = [
                PageSection("where", "Where it is", [PageGroup(where, tag="dl", css="facts")]),
                self._region(passage),
                PageSection(
                    "claims", "What was read there",
                    [PageGroup(self._made.claims(claims), css="claims")], count=len(claims),
                ),
            ]  # fmt: skip
            name = f"{self._held.words.label(passage.source)}, {place}"
            yield from self._made.page(str(iri), name, kind("passage"), sections)

    def recorders(self) -> Iterator[tuple[str, bytes]]:
        """Make the page of everyone who recorded claims."""
        for iri, claims in self._held.recorders.items():
            told = [self._short(claim) for claim in claims]
            group = PageGroup(told, css="list")
            sections = [PageSection("claims", "What they recorded", [group], count=len(claims))]
            yield from self._made.page(str(iri), claims[0].recorded_by, kind("recorder"), sections)

    def _short(self, claim: Claim) -> Markup:
        told = side(claim, self._held.words)
        link = Markup('<li><a href="{}">{}</a> <span class="about">{}</span></li>')
        where = ", ".join(part for part in (told.source, claim.passage.locator) if part)
        return link.format(self._links.href(claim.iri, ROOT), told.says, where)

    def graphs(self) -> Iterator[tuple[str, bytes]]:
        """Make the page of each graph that is no claim."""
        for name in GRAPHS:
            title, lead = _GRAPHS[name]
            page = f"{self._held.addresses.stems[self._held.base + name]}.html"
            yield fill(
                "graph.html", page, self._made.frame, title=title, lead=lead,
                iri=self._held.base + name,
            )  # fmt: skip


_WITHDRAWN = {
    "transcription": "It was written down wrongly, and is kept so that one can see what was held.",
    "undoing": "It belongs to a correction that was taken back.",
}
"""How a claim stands that a correction of some kind withdrew."""
_STANDS = {
    "current": "Nobody has withdrawn it, and it takes part in no contradiction.",
    "disputed": "It stands, and it takes part in a contradiction with other claims.",
    "withdrawn": "It was withdrawn on evidence, and is kept so that one can see what was believed.",
}
