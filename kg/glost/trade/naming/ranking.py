"""The shapes a piece may be of, ranked, each with what speaks for and against it."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from rdflib import Graph, URIRef

from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim
from glost.trade.naming import appearance, marks
from glost.trade.naming.known import Known
from glost.trade.naming.next_looks import Look, looks
from glost.trade.naming.points import Bearing, NamingPoint, weights
from glost.trade.naming.seen import Seen
from glost.trade.naming.sight import Sight
from glost.words.labels import Words, label

_ASKED: tuple[Callable[[Sight, URIRef], Iterator[NamingPoint]], ...] = (
    appearance.pottery,
    appearance.form,
    appearance.size,
    appearance.texts,
    appearance.features,
    marks.marks,
    marks.number,
    marks.glaze,
)


def judge(sight: Sight, shape: URIRef) -> tuple[NamingPoint, ...]:
    """Hold everything seen against one shape.

    Returns
    -------
    tuple of NamingPoint
        One for each thing seen, in a fixed order.
    """
    return tuple(point for ask in _ASKED for point in ask(sight, shape))


@dataclass(frozen=True, slots=True)
class Likeness:
    """A caution: another shape that a source finds like a candidate.

    Attributes
    ----------
    other
        The other shape.
    words
        ``much like`` or ``hardly to be told apart from``.
    look
        The observation by which the record would part the two best; empty if by none.
    claims
        Those that say so.
    """

    other: URIRef
    words: str
    look: str
    claims: tuple[Claim, ...]

    def says(self, graph: Graph | Words) -> str:
        """Say it in a sentence; `graph` words names."""
        look = (
            f"look at the {self.look.replace('_', ' ')}"
            if self.look
            else "nothing recorded parts them"
        )
        return f"{self.words} {label(self.other, graph)}: {look}"


@dataclass(frozen=True)
class RankedShape:
    """A shape that a piece may be of.

    Attributes
    ----------
    shape
        The shape.
    points
        What each observation comes to, in the order of the observations.
    likenesses
        Other shapes not ruled out that it is said to be like, by IRI. They change no score.
    """

    shape: URIRef
    points: tuple[NamingPoint, ...]
    likenesses: tuple[Likeness, ...] = ()

    @cached_property
    def score(self) -> int:
        """The sum of the weights of the points, as the scoring table gives them."""
        return sum(point.weight.weight for point in self.points)

    @cached_property
    def ruled_out(self) -> bool:
        """Whether any point rules it out."""
        return any(point.verdict == Bearing.RULES_OUT for point in self.points)

    def of(self, verdict: Bearing) -> tuple[NamingPoint, ...]:
        """Return the points with a verdict."""
        return tuple(point for point in self.points if point.verdict == verdict)


@dataclass(frozen=True)
class Naming:
    """What a piece may be.

    Attributes
    ----------
    seen
        What is seen on it.
    candidates
        The shapes not ruled out, by score, the highest first; equal ones by IRI.
    ruled_out
        The others, likewise.
    next_looks
        What to look at next, the most telling first.
    """

    seen: Seen
    candidates: tuple[RankedShape, ...]
    ruled_out: tuple[RankedShape, ...]
    next_looks: tuple[Look, ...]

    @property
    def equal(self) -> tuple[RankedShape, ...]:
        """The candidates that score highest: more than one if nothing yet parts them.

        None if nothing speaks for any of them.
        """
        best = self.candidates[0].score if self.candidates else 0
        return tuple(c for c in self.candidates if c.score == best > 0)

    @cached_property
    def in_play(self) -> tuple[RankedShape, ...]:
        """The candidates that one good look could bring level with the first."""
        return in_play(self.candidates)


def in_play(candidates: tuple[RankedShape, ...]) -> tuple[RankedShape, ...]:
    """Return the candidates within reach of the first, as the scoring table sets it.

    If anything speaks for one of them, those for which nothing speaks are left out.
    """
    reach = weights()["leaders", "within"].weight
    best = candidates[0].score if candidates else 0
    near = tuple(c for c in candidates if c.score >= best - reach)
    return tuple(c for c in near if c.of(Bearing.AGREES)) or near


def name_piece(
    belief: Belief, seen: Seen, graph: Graph | Words | None = None, without: Iterable[URIRef] = ()
) -> Naming:
    """Rank the shapes a piece may be of by what is seen on it.

    Parameters
    ----------
    belief
        What is believed.
    seen
        What is seen.
    graph
        What is believed with the vocabulary, if it is at hand.
    without
        Pieces that are no evidence: the piece itself, if it is on record.

    Returns
    -------
    Naming
        Every shape of the record, either as a candidate or ruled out. The score of a candidate is
        the sum of the weights in ``weights.csv``, each of which says why in one sentence; it
        orders candidates and is no likelihood.
    """
    return ranked(Known(belief, graph, without), seen)


def ranked(known: Known, seen: Seen) -> Naming:
    """Rank the shapes a piece may be of; see `name_piece`.

    Parameters
    ----------
    known
        What the record says, so that it is gathered once for many pieces.
    seen
        What is seen. What is told of it is put in words when somebody asks, so before `known`
        comes to know something else.
    """
    sight = Sight(seen, known)
    judged = {shape: judge(sight, shape) for shape in known.shapes}
    left = {
        shape
        for shape, points in judged.items()
        if all(each.verdict != Bearing.RULES_OUT for each in points)
    }
    like = _likenesses(left, seen, known)
    every = [RankedShape(shape, points, like.get(shape, ())) for shape, points in judged.items()]
    every.sort(key=lambda c: (-c.score, str(c.shape)))
    candidates = tuple(c for c in every if c.shape in left)
    play = [c.shape for c in in_play(candidates)]
    return Naming(
        seen,
        candidates,
        tuple(c for c in every if c.shape not in left),
        looks(seen, play, known) if len(play) > 1 else (),
    )


_ALIKE = {
    GLOST.hardlyToldFrom: "hardly to be told apart from",
    GLOST.muchLike: "much like",
}


def _likenesses(
    left: set[URIRef], seen: Seen, known: Known
) -> Mapping[URIRef, tuple[Likeness, ...]]:
    """Find, of each of the shapes left, which others it is said to be like, and what parts them."""
    found: dict[URIRef, list[Likeness]] = defaultdict(list)
    for property_, words in _ALIKE.items():
        for shape, others in known.alike(property_).items():
            for other in others if shape in left else ():
                if other in left:
                    ways = ((shape, property_, other), (other, property_, shape))
                    parting = looks(seen, [shape, other], known)
                    look = parting[0].observation if parting else ""
                    claims = known.belief.supporting(ways)
                    found[shape].append(Likeness(other, words, look, claims))
    return {shape: tuple(sorted(some, key=lambda e: e.other)) for shape, some in found.items()}
