"""Pages of claims, passages, recorders and the graphs that are no claims; and all cautions."""

from collections.abc import Iterator, Sequence

from markupsafe import Markup
from rdflib import URIRef

from glost.publish.site.entities import CAUTIONS, Entities
from glost.publish.site.frame import fill
from glost.publish.site.holdings import GRAPHS
from glost.record.claims import Claim, Passage
from glost.report.kinds import kind
from glost.report.things.cautions import all_in_full
from glost.report.things.claim import claim_report, claims_table, heard
from glost.report.tree import Group, Ref, Report, Section, Statement

_GRAPHS = {
    "inferred": (
        "Inferred",
        "The graph of statements that follow from what is believed, by the rules of OWL 2 RL.",
    ),
    "reckoned": (
        "Worked out",
        "The graph of figures worked out from the claims: plain years, lengths in metres and more.",
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

    def claim(self, iri: str) -> Iterator[tuple[str, bytes]]:
        """Make the pages of a claim."""
        basis = self._made.noted.basis.afresh()
        claim = basis.claim(iri)
        assert claim is not None
        report = claim_report(basis, claim, self._made.said)
        yield from self._made.page(report, kind("claim"), self._region(claim.passage))

    def _region(self, passage: Passage) -> Iterator[Markup]:
        place = self._made.noted.place(passage)
        if place is not None:
            picture, region = place
            source = self._made.said.source(passage.source).text
            alt = f"{source}: page image with {passage.locator or region.xywh} outlined"
            yield self._made.shown(picture, [(region, "", "")], alt)

    def passage(self, iri: str) -> Iterator[tuple[str, bytes]]:
        """Make the pages of a passage."""
        self._made.said.about = ""
        passage, claims = self._made.noted.passages[URIRef(iri)]
        source = self._made.said.source(passage.source)
        place = (", ", passage.place) if passage.place else ()
        lead = Statement((source, *place), self._made.said.grounds(claims))
        heading = ", ".join(part for part in (source.text, passage.place) if part)
        found = [Ref(address, words) for address, words in heard(self._made.noted.basis, passage)]
        sections = [self._told("Transcribed here", claims)]
        if found:
            told = (Statement((each,), lead.grounds) for each in found)
            sections.insert(0, Section("where", "In the recording", (Group(tuple(told)),)))
        report = Report(iri, heading, (lead,), tuple(sections), kind="Passage")
        yield from self._made.page(report, kind("passage"), self._region(passage))

    def recorder(self, iri: str) -> Iterator[tuple[str, bytes]]:
        """Make the pages of someone who recorded claims."""
        self._made.said.about = ""
        claims = self._made.noted.recorders[URIRef(iri)]
        section = self._told("What they recorded", claims)
        report = Report(iri, claims[0].recorded_by, (), (section,), kind="Recorder")
        yield from self._made.page(report, kind("recorder"))

    def _told(self, heading: str, claims: Sequence[Claim]) -> Section:
        table = claims_table(self._made.noted.basis, self._made.said, claims)
        return Section("claims", heading, (table,), refers=True)

    def graphs(self) -> Iterator[tuple[str, bytes]]:
        """Make the page of each graph that is no claim, and that of all cautions."""
        for name in GRAPHS:
            title, lead = _GRAPHS[name]
            page = f"{self._held.addresses.stems[self._held.base + name]}.html"
            yield fill(
                "graph.html", page, self._made.frame, title=title, lead=lead,
                iri=self._held.base + name,
            )  # fmt: skip
        yield from self._made.told(all_in_full(), CAUTIONS, "")
