"""Pages of identifiers: the report of each thing and claim, with its pictures and its data."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup
from rdflib import URIRef

from glost.publish.site.drawings import Drawings
from glost.publish.site.frame import PageFrame, blocks, fill
from glost.publish.site.holdings import SiteContents
from glost.publish.site.images import Images, PageImage, Region
from glost.publish.site.links import PageLinks
from glost.publish.site.noted import NotedContents
from glost.publish.site.paths import DATA, more, quoted, root
from glost.publish.site.schema_org import schema
from glost.report.as_html import Drawn, Html, Link, no_picture
from glost.report.kinds import Kind, kind
from glost.report.paging import paged
from glost.report.things import report_of
from glost.report.things.conflicts import in_dispute
from glost.report.things.full import PAGE
from glost.report.tree import CitedClaim, Report

ROOT = "../"
"""The way up from every page of an identifier."""

CAUTIONS = "cautions/index.html"
"""The page with all cautions and limits."""


@dataclass(frozen=True, slots=True)
class RegionOutline:
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
    regions: tuple[RegionOutline, ...]

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
        self.links = PageLinks(holdings, self.images)
        self.drawings = Drawings(holdings, frame)
        self.noted = NotedContents(holdings, self.images, self.drawings)
        self.said = self.noted.said
        self.blocks = blocks()

    # -- a page and its parts --------------------------------------------------------------------

    def href(self, iri: str) -> str | None:
        """Return the address of an identifier as pages one step below the top link to it."""
        findings = f"{self.holdings.base}findings/"
        if iri.startswith(findings):
            return f"{ROOT}findings/{iri.removeprefix(findings)}.html"
        return self.noted.href(iri, ROOT) or None

    def html(self, report: Report) -> Html:
        """Return what writes a report as a page one step below the top."""
        return Html(report, self.href, called=False, rests="claims")

    def page(
        self, report: Report, of: Kind, figures: Iterable[Markup] = (), **values: object
    ) -> Iterator[tuple[str, bytes]]:
        """Fill the pages of an identifier from its report."""
        stem = self.noted.stems[report.iri]
        spread = paged(report)
        files = [more(f"{stem}.html", number) for number in range(1, len(spread) + 1)]
        alternates = tuple((media, f"{stem}{ending}") for ending, media in DATA.items())
        shown = Markup("").join(figures)
        given = {"schema": "", "manifest": "", **values}
        for number, (file, part) in enumerate(zip(files, spread, strict=True), 1):
            name = report.heading if number == 1 else f"{report.heading}, page {number}"
            made = self.html(part)
            main = made.main()
            yield fill(
                "thing.html", file, self.frame, title=name, name=report.heading, iri=report.iri,
                head=made.head(), figures=shown if number == 1 else "", main=main,
                end=made.end(), kind=of, pages=files, number=number, alternates=alternates,
                sections=part.sections, tables="<table" in main, **given,
            )  # fmt: skip

    def told(
        self,
        report: Report,
        file: str,
        section: str,
        crumbs: tuple[tuple[str, str], ...] = (),
        pages: Sequence[str] = (),
        number: int = 1,
        drawn: Drawn = no_picture,
    ) -> Iterator[tuple[str, bytes]]:
        """Fill a page that is no identifier's from its report.

        Parameters
        ----------
        report
            What it tells.
        file, section
            Where it stands, and the section of the site that it belongs to.
        crumbs
            Names and files of the pages above it.
        pages, number
            The files of a list of several pages, and which of them this is.
        drawn
            How its pictures are shown.
        """
        made = Html(report, self._link(file), drawn, called=False, rests="claims")
        main = made.main()
        yield fill(
            "report.html", file, self.frame, title=report.heading, section=section,
            head=made.head(), main=main, end=made.end(), crumbs=crumbs, pages=pages,
            number=number, tables="<table" in main,
        )  # fmt: skip

    def _link(self, file: str) -> Link:
        """Return what gives the address of an identifier as a page links to it."""
        way = root(file)
        here = f"{way}{file}#"

        def link(iri: str) -> str | None:
            found = self.href(iri) if way == ROOT else self.noted.href(iri, way) or None
            return f"#{found.removeprefix(here)}" if found and found.startswith(here) else found

        return link

    def shown(self, picture: PageImage, regions: list[tuple[Region, str, str]], alt: str) -> Markup:
        """Draw a page image with regions outlined; each with an address and a name."""
        view = ShownThing(
            "picture-" + picture.file.rpartition("/")[2].replace(".", "-"),
            picture.file,
            picture.width,
            picture.height,
            alt,
            alt + "." if regions else "",
            tuple(RegionOutline(r.x, r.y, r.w, r.h, href, name) for r, href, name in regions),
        )
        drawn: Markup = self.blocks.region(view, ROOT)
        return drawn

    def answer(self, report: Report, file: str) -> Html:
        """Return what writes the answer to a question, its rows leading to sources and places."""
        link = self._link(file)
        return Html(report, link, called=False, rests="places", disputed=self._disputed)

    def _disputed(self, claim: CitedClaim) -> bool:
        return in_dispute(self.noted.basis, claim.iri)

    # -- things ----------------------------------------------------------------------------------

    def thing(self, iri: str) -> Iterator[tuple[str, bytes]]:
        """Make the pages of a thing."""
        held = self.noted
        report = report_of(
            held.basis.afresh(), URIRef(iri), PAGE, self.said, warned=ROOT + CAUTIONS
        )
        yield from self.page(
            report,
            kind(held.kind(iri)),
            self._pictures(iri),
            schema=schema(held, iri, self._addresses(iri)),
            manifest=self._manifest(iri),
        )

    def _addresses(self, iri: str) -> list[str]:
        """Return the addresses of the pictures of a thing."""
        return [self.holdings.base + quoted(each.file) for each in self.noted.images_of[iri]]

    def _manifest(self, iri: str) -> str:
        """Return the IIIF manifest of a source with page images."""
        stem = self.noted.stems[iri]
        has = stem.startswith("source/") and self.noted.images_of[iri]
        return f"iiif/{stem}/manifest.json" if has else ""

    def _pictures(self, iri: str) -> Iterator[Markup]:
        for picture in self.noted.images_of[iri]:
            regions = []
            for passage, region in self.noted.cited[picture.file].items():
                where = self.noted.passages[passage][0]
                name = where.locator or region.xywh
                regions.append((region, self.noted.href(passage, ROOT), name))
            name = self.noted.words.label(URIRef(iri))
            alt = f"Picture of {name}"
            if regions:
                many = "one region" if len(regions) == 1 else f"{len(regions)} regions"
                alt = f"Page image of {name}; {many} that claims rest on are outlined"
            yield self.shown(picture, regions, alt)
        yield from self.noted.figures(iri, ROOT)
