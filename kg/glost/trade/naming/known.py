"""What the record says of every shape, gathered once for naming pieces."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from rdflib import Graph, URIRef
from rdflib.namespace import DCTERMS, SKOS
from rdflib.term import Node

from glost.names import GLOST, SCHEMES
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.dates import DEFAULT_MARGIN
from glost.trade.codes import CodeScheme
from glost.trade.codes.schemes import schemes
from glost.trade.naming.seen import TEXTS
from glost.words.labels import Words, graph_of, label

# Each is imported where it is asked for: dating needs none of them.
if TYPE_CHECKING:
    from glost.trade.assortments.forms import Forms
    from glost.trade.crossings import OnRecord

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


class Known:
    """What the record says of every shape.

    Parameters
    ----------
    belief
        What is believed.
    graph
        The same with the vocabulary, if it is at hand.
    without
        Pieces that are no evidence here: the one to be named.
    """

    def __init__(
        self, belief: Belief, graph: Graph | Words | None = None, without: Iterable[URIRef] = ()
    ) -> None:
        self.belief = belief
        self.graph = belief.worded if graph is None else graph
        self.without = frozenset(without)

    def claims(self, *statements: Triple) -> tuple[Claim, ...]:
        """Return the claims that make any of some statements, by file and row.

        Claims that rest on a piece left out are left out too.
        """
        return self.kept(self.belief.supporting(statements))

    def kept(self, claims: Iterable[Claim]) -> tuple[Claim, ...]:
        """Return claims once each by file and row, those that rest on a piece left out not."""
        kept = {claim for claim in claims if claim.passage.source not in self.without}
        return tuple(sorted(kept, key=lambda c: (c.origin.file, c.origin.row, c.iri)))

    def texts(self, shape: URIRef, property_: URIRef) -> list[tuple[str, tuple[Claim, ...]]]:
        """Return each description of a part of a shape, with the claims that give it."""
        return [
            (str(value), self.claims((shape, property_, value)))
            for value in self.belief.values(shape, property_)
        ]

    def describing(self, shape: URIRef) -> list[tuple[str, tuple[Claim, ...]]]:
        """Return every text about a shape's looks, and the features of its pieces."""
        found = []
        for property_ in (*TEXTS.values(), DCTERMS.description):
            found.extend(self.texts(shape, property_))
        for piece in self.pieces[shape]:
            for value in self.belief.values(piece, GLOST.feature):
                statements = [(piece, GLOST.feature, value), (piece, GLOST.ofShape, shape)]
                found.append((str(value), self.claims(*statements)))
        return found

    @cached_property
    def pieces(self) -> dict[URIRef, list[URIRef]]:
        """Return the pieces of each shape, those left out not among them."""
        found: dict[URIRef, list[URIRef]] = defaultdict(list)
        for piece in self.belief.things(GLOST.Piece):
            if piece not in self.without:
                for shape in self.belief.named(piece, GLOST.ofShape):
                    found[shape].append(piece)
        return found

    @cached_property
    def articles(self) -> dict[URIRef, dict[URIRef, list[URIRef]]]:
        """Return the articles of each shape by form."""
        found: dict[URIRef, dict[URIRef, list[URIRef]]] = defaultdict(lambda: defaultdict(list))
        for article in self.belief.things(GLOST.Article):
            for shape in self.belief.named(article, GLOST.ofShape):
                for form in self.belief.named(article, GLOST.form):
                    found[shape][form].append(article)
        return found

    def forms(self, shape: URIRef) -> dict[URIRef, tuple[Triple, ...]]:
        """Return the forms a shape is given, with the statements that give them.

        An article said to have been modelled and never produced is not among them, unless a
        list offers it or a piece shows it all the same.
        """
        found: dict[URIRef, list[Triple]] = defaultdict(list)
        for form, articles in self.articles[shape].items():
            for article in articles:
                given = (article, GLOST.form, form)
                if not self.only_modelled(article) and self.claims(given):
                    found[form].append(given)
        for piece in self.pieces[shape]:
            for shown in self.belief.named(piece, GLOST.form):
                found[shown].extend([(piece, GLOST.form, shown), (piece, GLOST.ofShape, shape)])
        return {form: tuple(statements) for form, statements in sorted(found.items())}

    def only_modelled(self, article: URIRef) -> bool:
        """Say whether an article is said not to have been produced, and no list offers it."""
        never = "false" in self.belief.texts(article, GLOST.produced)
        return never and not self.belief.having(GLOST.offersArticle, article)

    @cached_property
    def lists(self) -> dict[URIRef, tuple[ListOf, ...]]:
        """Return the lists that offer articles of each shape, as far as known in order of issue."""
        from glost.trade.assortments.lists import Complete, Lists

        found: dict[URIRef, list[ListOf]] = defaultdict(list)
        for each in Lists(self.belief).all:
            claims = self.kept(self.belief.saying(each.list, GLOST.complete))
            sure = any(claim.certainty not in _UNSURE for claim in claims)
            complete = each.complete == Complete.YES and sure
            found[each.shape].append(ListOf(each.list, complete, claims))
        return {shape: tuple(lists) for shape, lists in found.items()}

    def sharing(self, shape: URIRef) -> dict[URIRef, tuple[Triple, ...]]:
        """Return the shapes that share a shape's flatware, each with the statements that say so.

        Sharing goes both ways and no further: what shares with a second, perhaps at another
        time, does not share with the second's other partners.
        """
        found: dict[URIRef, list[Triple]] = defaultdict(list)
        for said in (
            *self.belief.graph.triples((shape, GLOST.sharesFlatwareWith, None)),
            *self.belief.graph.triples((None, GLOST.sharesFlatwareWith, shape)),
        ):
            other = said[2] if said[0] == shape else said[0]
            if isinstance(other, URIRef) and other != shape:
                found[other].append(said)
        return {other: tuple(sorted(found[other], key=str)) for other in sorted(found)}

    @cached_property
    def crossed(self) -> "OnRecord":
        """What may explain that a treatment is on another shape than its home."""
        from glost.trade.crossings import OnRecord, gather

        return OnRecord(gather(self.belief, DEFAULT_MARGIN), self._forms)

    @cached_property
    def treatments(self) -> tuple[tuple[URIRef, str], ...]:
        """Every treatment with each number it is given."""
        found = self.belief.pairs(GLOST.treatmentNumber)
        return tuple(sorted((URIRef(str(t)), str(n)) for t, n in found))

    @cached_property
    def _schemes(self) -> tuple[CodeScheme, ...]:
        return tuple(s for s in schemes(self.belief) if "treatment-number" in s.codes)

    def number_schemes(self, pottery: URIRef | None) -> tuple[CodeScheme, ...]:
        """Return the schemes of treatment numbers; of one pottery only, if it is known."""
        return tuple(s for s in self._schemes if pottery is None or pottery in s.potteries)

    @cached_property
    def marks(self) -> tuple[tuple[URIRef, str], ...]:
        """Every mark with each wording it is given."""
        found = self.belief.pairs(GLOST.wording)
        return tuple(sorted((URIRef(str(m)), str(w)) for m, w in found))

    def wider(self, form: Node) -> set[Node]:
        """Return a form and every form above it."""
        above = graph_of(self.graph).transitive_objects(form, SKOS.broader)
        return {each for each in above if each is not None}

    def is_flatware(self, form: Node) -> bool:
        """Say whether a form counts as flatware."""
        return isinstance(form, URIRef) and self._forms.is_flatware(form)

    @cached_property
    def _forms(self) -> "Forms":
        from glost.trade.assortments.forms import Forms

        return Forms(self.belief)

    def names(self, things: Iterable[Node]) -> str:
        """Return what things are called, sorted, each once; a mark by its wording."""
        return ", ".join(sorted({self.name(thing) for thing in things}))

    def name(self, thing: Node) -> str:
        """Return what a thing is called; see `called`."""
        return label(thing, self.graph)

    def speaks_of_making(self, application: Node) -> bool:
        """Say whether a mark so applied was set before the glaze was fired."""
        return bool(self.wider(application) & _MAKING)

    def succession(self, a: Node, b: Node) -> bool:
        """Say whether one pottery followed on the other, at once or by way of others."""
        graph, follows = self.belief.graph, GLOST.succeeds
        return b in set(graph.transitive_objects(a, follows)) or a in set(
            graph.transitive_objects(b, follows)
        )
