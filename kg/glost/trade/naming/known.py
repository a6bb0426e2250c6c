"""What the record says of every shape, looked up once for naming pieces."""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

from rdflib import Graph, URIRef
from rdflib.namespace import DCTERMS, RDF, SKOS
from rdflib.term import Node

from glost.names import GLOST, SCHEMES
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.dates import DEFAULT_MARGIN
from glost.trade.codes import CodeScheme
from glost.trade.codes.schemes import schemes
from glost.trade.naming.matching import bare_number
from glost.trade.naming.seen import TEXTS
from glost.words.labels import Words, words_of

# Each is imported where it is asked for: dating needs none of them.
if TYPE_CHECKING:
    from glost.trade.assortments.forms import WareClass
    from glost.trade.crossings import OnRecord

Told = TypeVar("Told")

_MAKING = {
    URIRef(f"{SCHEMES}application/{name}")
    for name in ("impressed", "incised", "moulded", "underglaze")
}
_UNSURE = {URIRef(f"{SCHEMES}certainty/{name}") for name in ("possible", "doubtful")}


@dataclass(frozen=True, slots=True)
class ListOf:
    """A list that offers articles of a shape.

    Attributes
    ----------
    source
        The catalogue or price list.
    complete
        Whether it is stated to be complete, and nobody says otherwise.
    claims
        The claims that say so, or otherwise.
    """

    source: URIRef
    complete: bool
    claims: tuple[Claim, ...]


@dataclass(frozen=True, slots=True)
class ShapeOnRecord:
    """What a piece may be held against of a shape.

    Attributes
    ----------
    makers
        The potteries said to have made it.
    pieces
        Its pieces on record, those left out not among them, sorted.
    articles
        Its articles by form, sorted.
    forms
        The forms it is given, sorted, with the statements that give them. An article said to have
        been modelled and never produced is not among them, unless a list offers it or a piece
        shows it all the same.
    texts
        What its parts are said to look like, by property.
    described
        Every text about its looks, and the features of its pieces, with the statements.
    """

    makers: tuple[Node, ...]
    pieces: tuple[URIRef, ...]
    articles: Mapping[URIRef, tuple[URIRef, ...]]
    forms: Mapping[URIRef, tuple[Triple, ...]]
    texts: Mapping[URIRef, tuple[Node, ...]]
    described: tuple[tuple[str, tuple[Triple, ...]], ...]


class Known:
    """What the record says of every shape.

    Parameters
    ----------
    belief
        What is believed.
    graph
        The same with the vocabulary, if it is at hand: it words names.
    without
        Pieces that are no evidence here: the one to be named.
    """

    def __init__(
        self, belief: Belief, graph: Graph | Words | None = None, without: Iterable[URIRef] = ()
    ) -> None:
        self.belief = belief
        self.words = words_of(belief.worded if graph is None else graph)
        self.without = frozenset(without)
        self._once: dict[tuple[Hashable, ...], Any] = {}

    def once(self, key: tuple[Hashable, ...], make: Callable[[], Told]) -> Told:
        """Return what was made under a key, or make it."""
        if key not in self._once:
            self._once[key] = make()
        found: Told = self._once[key]
        return found

    def claims(self, *statements: Triple) -> tuple[Claim, ...]:
        """Return the claims that make any of some statements, by file and row.

        Claims that rest on a piece left out are left out too.
        """
        return self.kept(self.belief.supporting(statements))

    def kept(self, claims: Iterable[Claim]) -> tuple[Claim, ...]:
        """Return claims once each by file and row, those that rest on a piece left out not."""
        kept = {claim for claim in claims if claim.passage.source not in self.without}
        return tuple(sorted(kept, key=lambda c: (c.origin.file, c.origin.row, c.iri)))

    def stands(self, *statements: Triple) -> bool:
        """Say whether any claim that is not left out makes any of some believed statements."""
        return not self.without or bool(self.claims(*statements))

    # -- of a shape --------------------------------------------------------------------------------

    @property
    def shapes(self) -> tuple[URIRef, ...]:
        """Every shape, sorted."""
        return self.once(("shapes",), lambda: self.belief.things(GLOST.Shape))

    def shape(self, shape: URIRef) -> ShapeOnRecord:
        """Return what is on record of a shape."""
        return self.once(("shape", shape), lambda: self._shape(shape))

    def _shape(self, shape: URIRef) -> ShapeOnRecord:
        values, facts = self.belief.values, self.belief.graph
        of = self.belief.having(GLOST.ofShape, shape)
        pieces = tuple(
            each
            for each in of
            if each not in self.without and (each, RDF.type, GLOST.Piece) in facts
        )
        articles: dict[URIRef, list[URIRef]] = defaultdict(list)
        for article in of:
            if (article, RDF.type, GLOST.Article) in facts:
                for form in self.belief.named(article, GLOST.form):
                    articles[form].append(article)
        texts = {each: tuple(values(shape, each)) for each in TEXTS.values()}
        described: list[tuple[str, tuple[Triple, ...]]] = [
            (str(value), ((shape, property_, value),))
            for property_, found in (
                *texts.items(),
                (DCTERMS.description, values(shape, DCTERMS.description)),
            )
            for value in found
        ]
        for piece in pieces:
            for value in values(piece, GLOST.feature):
                said = (piece, GLOST.feature, value), (piece, GLOST.ofShape, shape)
                described.append((str(value), said))
        return ShapeOnRecord(
            tuple(values(shape, GLOST.madeBy)),
            pieces,
            {form: tuple(found) for form, found in articles.items()},
            self._forms_of(shape, pieces, articles),
            texts,
            tuple(described),
        )

    def _forms_of(
        self,
        shape: URIRef,
        pieces: Iterable[URIRef],
        articles: Mapping[URIRef, Iterable[URIRef]],
    ) -> dict[URIRef, tuple[Triple, ...]]:
        found: dict[URIRef, list[Triple]] = defaultdict(list)
        for form, some in articles.items():
            for article in some:
                given = (article, GLOST.form, form)
                if not self._only_modelled(article) and self.stands(given):
                    found[form].append(given)
        for piece in pieces:
            for shown in self.belief.named(piece, GLOST.form):
                found[shown].extend([(piece, GLOST.form, shown), (piece, GLOST.ofShape, shape)])
        return {form: tuple(statements) for form, statements in sorted(found.items())}

    def _only_modelled(self, article: URIRef) -> bool:
        """Say whether an article is said not to have been produced, and no list offers it."""
        never = "false" in self.belief.texts(article, GLOST.produced)
        return never and not self.belief.having(GLOST.offersArticle, article)

    def texts(self, shape: URIRef, property_: URIRef) -> list[tuple[str, tuple[Claim, ...]]]:
        """Return each description of a part of a shape, with the claims that give it."""
        return [
            (str(value), self.claims((shape, property_, value)))
            for value in self.shape(shape).texts[property_]
        ]

    def lists(self, shape: URIRef) -> tuple[ListOf, ...]:
        """Return the lists that offer articles of a shape, as far as known in order of issue."""
        return self.once(("lists", shape), lambda: self._lists(shape))

    def _lists(self, shape: URIRef) -> tuple[ListOf, ...]:
        from glost.trade.assortments.lists import Complete, Lists

        found = []
        for each in Lists(self.belief).of(shape):
            claims = self.kept(self.belief.saying(each.list, GLOST.complete))
            sure = any(claim.certainty not in _UNSURE for claim in claims)
            found.append(ListOf(each.list, each.complete == Complete.YES and sure, claims))
        return tuple(found)

    def sharing(self, shape: URIRef) -> dict[URIRef, tuple[Triple, ...]]:
        """Return the shapes that share a shape's flatware, each with the statements that say so.

        Sharing goes both ways and no further: what shares with a second, perhaps at another
        time, does not share with the second's other partners.
        """
        return self.once(("sharing", shape), lambda: self._sharing(shape))

    def _sharing(self, shape: URIRef) -> dict[URIRef, tuple[Triple, ...]]:
        found: dict[URIRef, list[Triple]] = defaultdict(list)
        for said in (
            *self.belief.graph.triples((shape, GLOST.sharesFlatwareWith, None)),
            *self.belief.graph.triples((None, GLOST.sharesFlatwareWith, shape)),
        ):
            other = said[2] if said[0] == shape else said[0]
            if isinstance(other, URIRef) and other != shape:
                found[other].append(said)
        return {other: tuple(sorted(found[other], key=str)) for other in sorted(found)}

    # -- of all ------------------------------------------------------------------------------------

    @property
    def crossed(self) -> "OnRecord":
        """What may explain that a treatment is on another shape than its home."""
        from glost.trade.crossings import OnRecord, gather
        from glost.trade.crossings.facts import ON_RECORD

        def made() -> OnRecord:
            _ = self._schemes  # they tell the home of a treatment by its number
            return OnRecord(gather(self.belief, DEFAULT_MARGIN, ON_RECORD), self._class_of)

        return self.once(("crossed",), made)

    @property
    def treatments(self) -> Mapping[str, tuple[URIRef, ...]]:
        """Every treatment by each number it is given, its signs alone."""
        return self.once(("treatments",), lambda: self._by_text(GLOST.treatmentNumber, bare_number))

    @property
    def marks(self) -> Mapping[str, tuple[URIRef, ...]]:
        """Every mark by each wording it is given."""
        return self.once(("marks",), lambda: self._by_text(GLOST.wording, str))

    def _by_text(
        self, property_: URIRef, plain: Callable[[str], str]
    ) -> Mapping[str, tuple[URIRef, ...]]:
        found: dict[str, list[URIRef]] = defaultdict(list)
        for thing, text in self.belief.graph.subject_objects(property_):
            found[plain(str(text))].append(URIRef(str(thing)))
        return {text: tuple(things) for text, things in found.items()}

    @property
    def _schemes(self) -> tuple[CodeScheme, ...]:
        return self.once(
            ("schemes",),
            lambda: tuple(s for s in schemes(self.belief) if "treatment-number" in s.codes),
        )

    def number_schemes(self, pottery: URIRef | None) -> tuple[CodeScheme, ...]:
        """Return the schemes of treatment numbers; of one pottery only, if it is known."""
        return tuple(s for s in self._schemes if pottery is None or pottery in s.potteries)

    def linking(self, property_: URIRef) -> frozenset[Node | None]:
        """Return everything that has some value for a property."""
        return self.once(
            ("linking", property_),
            lambda: frozenset(self.belief.graph.subjects(property_, None)),
        )

    def linked(self, property_: URIRef) -> Mapping[Node, tuple[Node, ...]]:
        """Return, of everything that is a value of a property, what has it, sorted."""
        return self.once(("linked", property_), lambda: self._linked(property_))

    def _linked(self, property_: URIRef) -> Mapping[Node, tuple[Node, ...]]:
        found: dict[Node, set[Node]] = defaultdict(set)
        for thing, value in self.belief.graph.subject_objects(property_):
            found[value].add(thing)
        return {value: tuple(sorted(things, key=str)) for value, things in found.items()}

    def alike(self, property_: URIRef) -> Mapping[URIRef, tuple[URIRef, ...]]:
        """Return, of each shape, the others that a property of likeness ties to it, sorted."""
        return self.once(("alike", property_), lambda: self._alike(property_))

    def _alike(self, property_: URIRef) -> Mapping[URIRef, tuple[URIRef, ...]]:
        found: dict[URIRef, set[URIRef]] = defaultdict(set)
        for one, other in self.belief.graph.subject_objects(property_):
            if isinstance(one, URIRef) and isinstance(other, URIRef) and one != other:
                found[one].add(other)
                found[other].add(one)
        return {shape: tuple(sorted(others)) for shape, others in found.items()}

    def wider(self, form: Node) -> frozenset[Node]:
        """Return a form and every form above it."""
        return self.once(("wider", form), lambda: self._wider(form))

    def _wider(self, form: Node) -> frozenset[Node]:
        above = self.belief.worded.transitive_objects(form, SKOS.broader)
        return frozenset(each for each in above if each is not None)

    def is_flatware(self, form: Node) -> bool:
        """Say whether a form counts as flatware."""
        return isinstance(form, URIRef) and self._class_of(form) == "flatware"

    def _class_of(self, form: URIRef) -> "WareClass":
        from glost.trade.assortments.forms import Forms

        return self.once(("class", form), lambda: Forms(self.belief).class_of(form))

    def names(self, things: Iterable[Node]) -> str:
        """Return what things are called, sorted, each once; a mark by its wording."""
        return ", ".join(sorted({self.name(thing) for thing in set(things)}))

    def name(self, thing: Node) -> str:
        """Return what a thing is called."""
        return self.words.label(thing)

    def speaks_of_making(self, application: Node) -> bool:
        """Say whether a mark so applied was set before the glaze was fired."""
        return bool(self.wider(application) & _MAKING)

    def succession(self, a: Node, b: Node) -> bool:
        """Say whether one pottery followed on the other, at once or by way of others."""
        graph, follows = self.belief.graph, GLOST.succeeds
        return b in set(graph.transitive_objects(a, follows)) or a in set(
            graph.transitive_objects(b, follows)
        )
