"""The collection in a catalogue of data: DCAT 3, as the profile DCAT-AP 3.0.1 asks for it."""

from collections.abc import Iterable
from typing import NamedTuple

from rdflib import Graph, Literal, Namespace, URIRef
from rdflib.namespace import DCAT, DCTERMS, FOAF, RDF, SKOS, XSD

from glost.names import GLOST
from glost.publish.data.facts import FILE_TYPES, PublishedFile
from glost.publish.site.frame import PageFrame
from glost.publish.site.holdings import SiteContents
from glost.record.collection import Collection

SPDX = Namespace("http://spdx.org/rdf/terms#")
VCARD = Namespace("http://www.w3.org/2006/vcard/ns#")
_EU = "http://publications.europa.eu/resource/authority/"
_THEMES, _THEME = URIRef(f"{_EU}data-theme"), URIRef(f"{_EU}data-theme/EDUC")
"""The list of themes, and education, culture and sport."""
_LANGUAGES = "http://id.loc.gov/vocabulary/"
"""Languages, as DCAT 3 (section 6.4.14) says they should be named."""


def last_day(holdings: SiteContents) -> str:
    """Return the day of the last claim recorded, or the last day taken into account."""
    if holdings.snapshot.as_of is not None:
        return holdings.snapshot.as_of.isoformat()
    return max((claim.recorded_on for claim in holdings.claims), default="")


class Days(NamedTuple):
    """The first and the last day of a span, both within it, as ISO 8601 writes them."""

    first: str
    last: str


def span(holdings: SiteContents) -> Days | None:
    """Return the days between which all lives and makings with bounds lie; None without any."""
    first: list[str] = []
    last: list[str] = []
    for statements in holdings.reckoned.values():
        for subject, property_, value in statements:
            if str(subject).endswith(("#begin", "#made")) and property_ == GLOST.notBefore:
                first.append(str(value))
            if str(subject).endswith(("#end", "#made", "#decorated")) and property_ in (
                GLOST.notBefore, GLOST.notAfter,
            ):  # fmt: skip
                last.append(str(value))
    return Days(min(first), max(last)) if first and last else None


def add_catalogue(
    graph: Graph, holdings: SiteContents, frame: PageFrame, files: Iterable[PublishedFile]
) -> URIRef:
    """Add the catalogue, the dataset in it and every file that it is offered as.

    Parameters
    ----------
    graph
        What is added to.
    holdings
        What the site is made of.
    frame
        The collection's title, publisher and licence.
    files
        Every whole-collection file.

    Returns
    -------
    URIRef
        The dataset.
    """
    base, settings = holdings.base, holdings.snapshot.record.collection
    for prefix, space in (("dcat", DCAT), ("dcterms", DCTERMS), ("foaf", FOAF), ("spdx", SPDX),
                          ("vcard", VCARD)):  # fmt: skip
        graph.bind(prefix, space)
    catalogue, dataset = URIRef(f"{base}data/catalogue"), URIRef(f"{base}data/dataset")
    day = last_day(holdings)
    for subject, kind in ((catalogue, DCAT.Catalog), (dataset, DCAT.Dataset)):
        graph.add((subject, RDF.type, kind))
        _of_both(graph, subject, settings, frame, base)
        if day:
            graph.add((subject, DCTERMS.modified, _day(day)))
    graph.add((catalogue, DCAT.dataset, dataset))
    graph.add((catalogue, DCAT.themeTaxonomy, _THEMES))
    graph.add((_THEMES, RDF.type, SKOS.ConceptScheme))
    graph.add((_THEMES, DCTERMS.title, Literal("Data theme", lang="en")))
    _of_dataset(graph, dataset, holdings)
    for file in files:
        _distribution(graph, dataset, file, base, frame)
    return dataset


def _day(day: str) -> Literal:
    return Literal(day, datatype=XSD.date, normalize=False)


def _of_both(
    graph: Graph, subject: URIRef, settings: Collection, frame: PageFrame, base: str
) -> None:
    """Say what is said of the catalogue and of the dataset alike."""
    tag = settings.language or "en"
    words = frame.description or f"{frame.title}: claims with their sources."
    graph.add((subject, DCTERMS.title, Literal(frame.title, lang=tag)))
    graph.add((subject, DCTERMS.description, Literal(words, lang=tag)))
    graph.add((subject, FOAF.homepage, URIRef(base)))
    graph.add((URIRef(base), RDF.type, FOAF.Document))
    code = tag.partition("-")[0].lower()
    language = URIRef(f"{_LANGUAGES}iso639-{1 if len(code) == 2 else 2}/{code}")
    graph.add((subject, DCTERMS.language, language))
    graph.add((language, RDF.type, DCTERMS.LinguisticSystem))
    if frame.licence_href:
        graph.add((subject, DCTERMS.license, _licence(graph, frame)))
    if frame.publisher:
        publisher = URIRef(f"{base}data/publisher")
        graph.add((subject, DCTERMS.publisher, publisher))
        graph.add((publisher, RDF.type, FOAF.Agent))
        graph.add((publisher, FOAF.name, Literal(frame.publisher)))
    if settings.issued:
        graph.add((subject, DCTERMS.issued, _day(settings.issued)))
    if settings.place:
        named = settings.place.startswith(("http://", "https://"))
        place = URIRef(settings.place if named else f"{base}data/place")
        graph.add((subject, DCTERMS.spatial, place))
        graph.add((place, RDF.type, DCTERMS.Location))
        if not named:
            graph.add((place, SKOS.prefLabel, Literal(settings.place, lang=tag)))


def _licence(graph: Graph, frame: PageFrame) -> URIRef:
    licence = URIRef(frame.licence_href)
    graph.add((licence, RDF.type, DCTERMS.LicenseDocument))
    return licence


def _of_dataset(graph: Graph, dataset: URIRef, holdings: SiteContents) -> None:
    base, settings = holdings.base, holdings.snapshot.record.collection
    graph.add((dataset, DCTERMS.identifier, Literal(base, datatype=XSD.anyURI)))
    graph.add((dataset, DCAT.theme, _THEME))
    graph.add((_THEME, RDF.type, SKOS.Concept))
    graph.add((_THEME, SKOS.inScheme, _THEMES))
    graph.add((_THEME, SKOS.prefLabel, Literal("Education, culture and sport", lang="en")))
    for word in settings.keywords:
        graph.add((dataset, DCAT.keyword, Literal(word, lang=settings.language or "en")))
    if settings.contact:
        contact = URIRef(f"{base}data/contact")
        graph.add((dataset, DCAT.contactPoint, contact))
        graph.add((contact, RDF.type, VCARD.Kind))
        name = settings.publisher or settings.title
        graph.add((contact, VCARD.fn, Literal(name, lang=settings.language or "en")))
        mail = "@" in settings.contact and "://" not in settings.contact
        address = URIRef(f"mailto:{settings.contact}" if mail else settings.contact)
        graph.add((contact, VCARD.hasEmail if mail else VCARD.hasURL, address))
    days = span(holdings)
    if days is not None:
        period = URIRef(f"{base}data/dataset#period")
        graph.add((dataset, DCTERMS.temporal, period))
        graph.add((period, RDF.type, DCTERMS.PeriodOfTime))
        graph.add((period, DCAT.startDate, _day(days.first)))
        graph.add((period, DCAT.endDate, _day(days.last)))


def _distribution(
    graph: Graph, dataset: URIRef, file: PublishedFile, base: str, frame: PageFrame
) -> None:
    place, told = URIRef(base + file.path), file.told
    graph.add((dataset, DCAT.distribution, place))
    graph.add((place, RDF.type, DCAT.Distribution))
    graph.add((place, DCTERMS.title, Literal(told.title, lang="en")))
    graph.add((place, DCTERMS.description, Literal(told.description, lang="en")))
    graph.add((place, DCAT.accessURL, place))
    graph.add((place, DCAT.downloadURL, place))
    size = Literal(str(file.octets), datatype=XSD.nonNegativeInteger, normalize=False)
    graph.add((place, DCAT.byteSize, size))
    media = URIRef(f"http://www.iana.org/assignments/media-types/{file.media}")
    graph.add((place, DCAT.mediaType, media))
    graph.add((media, RDF.type, DCTERMS.MediaType))
    kind = URIRef(f"{_EU}file-type/{FILE_TYPES[file.ending]}")
    graph.add((place, DCTERMS["format"], kind))
    graph.add((kind, RDF.type, DCTERMS.MediaTypeOrExtent))
    if frame.licence_href:
        graph.add((place, DCTERMS.license, _licence(graph, frame)))
    if told.conforms_to:
        graph.add((place, DCTERMS.conformsTo, URIRef(told.conforms_to)))
        graph.add((URIRef(told.conforms_to), RDF.type, DCTERMS.Standard))
    check = URIRef(f"{place}#checksum")
    graph.add((place, SPDX.checksum, check))
    graph.add((check, RDF.type, SPDX.Checksum))
    graph.add((check, SPDX.algorithm, SPDX.checksumAlgorithm_sha256))
    graph.add((SPDX.checksumAlgorithm_sha256, RDF.type, SPDX.ChecksumAlgorithm))
    graph.add((check, SPDX.checksumValue, Literal(file.digest, datatype=XSD.hexBinary)))
