"""Terms as a page shows them: names that link to where more stands."""

from markupsafe import Markup
from rdflib import BNode, Literal, URIRef
from rdflib.namespace import RDFS, SKOS, XSD
from rdflib.term import Node

from glost.names import EDTF
from glost.publish.site.holdings import SiteContents
from glost.publish.site.images import Images
from glost.publish.site.paths import PAGE, quoted, vocabulary_page
from glost.record.dates import DateError, describe
from glost.record.dates import read as read_date

_READER: dict[Node, str] = {
    RDFS.label: "name",
    SKOS.prefLabel: "name",
    SKOS.altLabel: "other name",
}
"""What a reader calls properties of others' vocabularies whose own names are a modeller's."""

_NAMELESS = "a nameless class of the vocabulary"
_OUTSIDE = ("http://", "https://")
_LINK = Markup('<a href="{}">{}</a>')
_OUT = Markup('<a href="{}" rel="external noopener">{}</a>')
_DATE = Markup('{} <code class="edtf">{}</code>')


class PageLinks:
    """Makes the links of pages.

    Parameters
    ----------
    holdings
        What the site is made of.
    images
        The collection's images, which have names of their own.
    """

    def __init__(self, holdings: SiteContents, images: Images) -> None:
        self._holdings = holdings
        self._images = images
        self._known: dict[tuple[Node, str], Markup] = {}

    def file(self, term: Node) -> str | None:
        """Return the page and fragment of a term within the site, not yet quoted; None without."""
        if not isinstance(term, URIRef):
            return None
        own = self._holdings.addresses.file(str(term), PAGE)
        if own is not None:
            return own
        picture = self._images.at(str(term))
        return vocabulary_page(str(term)) if picture is None else picture.file

    def href(self, term: Node, root: str) -> str:
        """Return the address of a term as a page links to it; empty if it has none.

        Parameters
        ----------
        term
            A term.
        root
            The way from the page to the top of the site, ``../``.
        """
        file = self.file(term)
        if file is not None:
            return root + quoted(file)
        if str(term).startswith(self._holdings.base + "images/"):
            return ""  # an image that cannot be shown
        return str(term) if isinstance(term, URIRef) and str(term).startswith(_OUTSIDE) else ""

    def a(self, term: Node, root: str) -> Markup:
        """Return a term's name as a link, or as it stands if it leads nowhere; dates in words."""
        key = (term, root)
        if key not in self._known:
            self._known[key] = self._made(term, root)
        return self._known[key]

    def _made(self, term: Node, root: str) -> Markup:
        if isinstance(term, Literal):
            return literal(term)
        if isinstance(term, BNode):
            return Markup.escape(_NAMELESS)
        name = _READER.get(term) or self._images.names.get(str(term))
        name = name or self._holdings.words.label(term)
        to = self.href(term, root)
        if not to:
            return Markup.escape(name)
        return (_LINK if self.file(term) else _OUT).format(to, name)


def literal(term: Literal) -> Markup:
    """Return a literal as a page shows it: a date in words with its written form, else as it is."""
    text = str(term)
    if term.datatype == EDTF:
        try:
            words = describe(read_date(text))
        except DateError:
            return Markup.escape(text)
        return Markup.escape(text) if words == text else _DATE.format(words, text)
    if term.datatype == XSD.boolean:
        return Markup.escape({"true": "yes", "false": "no"}.get(text, text))
    return Markup.escape(text)
