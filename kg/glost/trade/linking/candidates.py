"""Which lines of two lists, and which things, may be the same, and why.

A candidate says nothing of the record: a person accepts or rejects it, and that is a link. What was
rejected is no candidate again; what was accepted is known, and goes with nothing else.
"""

import csv
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

import numpy as np
import polars as pl
from rdflib import URIRef

from glost.record.belief import Belief
from glost.trade.linking.assigning import one_to_one
from glost.trade.linking.estimating import estimated
from glost.trade.linking.keepers import KINDS, Keeper, known
from glost.trade.linking.links import NONE, Links, Standing
from glost.trade.linking.records import Line, Thing, frame, lines, things
from glost.trade.linking.weighing import DRAWN, HERE, LevelWeights, Weighing
from glost.trade.times import Timed

LEAST = 0.5
"""The least probability of a candidate, where each record goes with one other at most."""

TIED = 0.45
"""The same, where a pair shares its probability with others: one of two alike is proposed."""

AGAIN = 0.8
"""The share of a list's lines that are expected in another of the same line of ware."""

MET = 0.6
"""The share of a keeper's things that are expected with another keeper of the same potteries."""

TWICE = 0.02
"""The share of a collection's things that are expected to stand in it twice."""


@cache
def worded() -> Mapping[str, str]:
    """Return what is compared, in words, by its name in `Reason.column`."""
    text = HERE.joinpath("columns.csv").read_text(encoding="utf-8")
    return {row["column"]: row["words"] for row in csv.DictReader(text.splitlines())}


@dataclass(frozen=True, slots=True)
class Reason:
    """What one comparison says.

    Attributes
    ----------
    column
        What is compared: ``shape``, ``size``.
    meaning
        How far it agrees, in words.
    one, other
        What each has; empty if it is not given.
    bits
        What it adds for being the same; below 0 it speaks against it.
    """

    column: str
    meaning: str
    one: str
    other: str
    bits: float


@dataclass(frozen=True, slots=True)
class Match:
    """A pair that may be the same.

    Attributes
    ----------
    one, other
        The two.
    probability
        That they are the same, by what is compared and how many are expected to be.
    bits
        All the evidence together, and what was expected before.
    reasons
        What each comparison says, what says most first.
    deciding
        What is not given in one of them and would say most, what would say most first; see
        `worded`.
    standing
        What has come of comparing the two before.
    """

    one: URIRef
    other: URIRef
    probability: float
    bits: float
    reasons: tuple[Reason, ...]
    deciding: tuple[str, ...]
    standing: Standing = Standing.OPEN


def lines_alike(
    belief: Belief,
    issue: URIRef,
    other: URIRef,
    *,
    again: float = AGAIN,
    estimate: bool = False,
    links: Links = NONE,
    same: Mapping[URIRef, URIRef] = MappingProxyType({}),
) -> tuple[Match, ...]:
    """Find which line of a list is which of another, each with one at most.

    Parameters
    ----------
    belief
        What is believed.
    issue, other
        The two lists.
    again
        The share of the shorter list that is expected to stand in the other.
    estimate
        Whether to estimate weights from the lists in place of those given.
    links
        What people found when they compared some of them.
    same
        Shapes of either that seem to be the other's, each with the one by whose name both go.

    Raises
    ------
    NotStableError
        If weights are to be estimated and cannot be relied on.
    """
    # One keeper keeps shapes apart: what is called otherwise is another shape. Two may spell it.
    one_keeper = issue.rsplit("/", 2)[0] == other.rsplit("/", 2)[0]
    apart = [pl.lit(value=True).alias("shape_there")] if one_keeper else []
    first = {**same, **links.sound.first}
    records = lines(belief, issue, first), lines(belief, other, first)
    if not all(records):
        return ()
    return _chosen(*records, "line", again, estimate, links, *apart).told()


def twice(belief: Belief, times: Timed, kind: URIRef, links: Links = NONE) -> tuple[Match, ...]:
    """Find which things of a kind may stand in a collection twice, or more often.

    Parameters
    ----------
    belief, times
        What is believed, and between which days things fall.
    kind
        The class.
    links
        As for `lines_alike`.
    """
    return _twice(things(belief, times, kind), links)


class Meeting:
    """Two keepers, and which of their things seem to be one.

    All kinds are matched, one after another and again, so that what is found of one tells of what
    stands around it; see `glost.trade.linking.keepers`. That is done once.

    Parameters
    ----------
    one, other
        What either describes.
    again
        The share of the shorter list of things that is expected to stand in the other.
    links
        What people found when they compared some of them.
    """

    def __init__(
        self, one: Keeper, other: Keeper, *, again: float = MET, links: Links = NONE
    ) -> None:
        self._one, self._other, self._again = one, other, again
        self._same: dict[URIRef, list[tuple[str, str]]] = {}
        kinds = [each for each in KINDS if one.has(each) and other.has(each)]
        for _ in range(_ROUNDS):
            before = dict(self._same)
            for kind in kinds:
                self._same[kind] = self._met(kind, links).likely()
            if self._same == before:
                break

    def alike(
        self, kind: URIRef, *, estimate: bool = False, links: Links = NONE
    ) -> tuple[Match, ...]:
        """Find which things of a kind may be the same.

        Parameters
        ----------
        kind
            The class.
        estimate, links
            As for `lines_alike`.

        Raises
        ------
        NotStableError
            As for `lines_alike`.
        """
        if not (self._one.has(kind) and self._other.has(kind)):
            return ()
        return self._met(kind, links, estimate=estimate).told()

    def same(self, kind: URIRef) -> dict[URIRef, URIRef]:
        """Return of either keeper's things of a kind the one by whose name both go."""
        ours, theirs = known(self._same.get(kind, ()))
        return {URIRef(thing): URIRef(one) for thing, one in (*ours.items(), *theirs.items())}

    def _met(self, kind: URIRef, links: Links, *, estimate: bool = False) -> "_Chosen":
        """Match the things of a kind by what is known of the other kinds."""
        others = (pair for of, pairs in self._same.items() if of != kind for pair in pairs)
        ours, theirs = known(others)
        first = self._one.things(kind, ours, self._one.called)
        second = self._other.things(kind, theirs, self._one.called)
        return _chosen(
            first, second, "kept", self._again, estimate, links,
            drawn=_DRAWN, every=_EVERY, apart=True,
        )  # fmt: skip


_ROUNDS = 4
"""So often all kinds are matched at most, each time by what was found before."""
_DRAWN = 250
"""So many things of either keeper are drawn to count how often others agree."""
_EVERY = 40_000
"""So many pairs of things of two keepers are compared all."""


@dataclass(frozen=True, slots=True)
class _Chosen:
    """Who goes with whom of two lists of records."""

    weighing: Weighing
    weights: Sequence[LevelWeights]
    chosen: pl.DataFrame
    one: Sequence[Line] | Sequence[Thing]
    other: Sequence[Line] | Sequence[Thing]

    def told(self) -> tuple[Match, ...]:
        return _told(self.weighing, self.weights, self.chosen, self.one, self.other)

    def likely(self) -> list[tuple[str, str]]:
        """Return the IRIs of the pairs that are one, as it seems or by a link."""
        disputed = str(Standing.DISPUTED)
        rows = self.chosen.filter(pl.col("standing") != disputed).select("one", "other").rows()
        return sorted((str(self.one[a].iri), str(self.other[b].iri)) for a, b in rows)


def _chosen(
    one: Sequence[Line] | Sequence[Thing],
    other: Sequence[Line] | Sequence[Thing],
    of: str,
    again: float,
    estimate: bool,
    links: Links,
    *more: pl.Expr,
    drawn: int = DRAWN,
    every: int = 0,
    apart: bool = False,
) -> "_Chosen":
    records = [frame(each).with_columns(*more) for each in (one, other)]
    weighing = Weighing(records[0], records[1], of, again, drawn=drawn, every=every, apart=apart)
    known = _known(links, one, other)
    pairs = weighing.pairs(also=[pair for pair, standing in known.items() if standing in _SHOWN])
    weights = estimated(weighing, pairs) if estimate else weighing.counted()
    scored = _marked(weighing.scored(weights, pairs), known)
    if apart:
        scored = scored.with_columns(probability=_shared(scored, again))
    decided = scored.filter(pl.col("standing").is_in(_SHOWN))
    # What was accepted goes with nothing else.
    free = scored.filter(~pl.col("standing").is_in([*_SHOWN, Standing.REJECTED]))
    for side in ("one", "other"):
        accepted = decided.filter(pl.col("standing") == Standing.ACCEPTED)
        free = free.join(accepted.select(side), on=side, how="anti", maintain_order="left")
    chosen = pl.concat([decided, one_to_one(free, TIED if apart else LEAST)])
    return _Chosen(weighing, weights, chosen, one, other)


def _shared(scored: pl.DataFrame, again: float) -> pl.Series:
    """Return the probability of each pair among all in which either of the two stands, and none.

    A record goes with one other at most, and with none as often as is expected: not `again`.
    """
    odds = pl.col("bits").clip(-500, 500).mul(np.log(2)).exp()
    most = pl.max_horizontal(odds.sum().over("one"), odds.sum().over("other"))
    return scored.select(odds / (1 - again + most)).to_series()


_SHOWN = (Standing.ACCEPTED, Standing.DISPUTED)
"""What is shown however unlike the two are."""


def _known(
    links: Links, one: Iterable[Line | Thing], other: Iterable[Line | Thing]
) -> dict[tuple[int, int], Standing]:
    """Return what has come of comparing pairs of records, by their places."""
    places = {record.iri: at for at, record in enumerate(other)}
    return {
        (at, places[far]): links.standing(record.iri, far)
        for at, record in enumerate(one)
        for far in links.beside(record.iri)
        if far in places
    }


def _marked(scored: pl.DataFrame, known: dict[tuple[int, int], Standing]) -> pl.DataFrame:
    """Add what has come of comparing the pairs."""
    pairs = zip(scored["one"].to_list(), scored["other"].to_list(), strict=True)
    told = [str(known.get(pair, Standing.OPEN)) for pair in pairs]
    return scored.with_columns(standing=pl.Series("standing", told, pl.String))


def _twice(things: Sequence[Thing], links: Links) -> tuple[Match, ...]:
    """Find things that stand in one list twice; any may stand there more often."""
    if len(things) < 2:
        return ()
    own = frame(things)
    weighing = Weighing(own, own, "thing", TWICE)
    known = _known(links, things, things)
    also = [pair for pair, standing in known.items() if standing in _SHOWN]
    pairs = weighing.pairs(also=also).filter(pl.col("one") < pl.col("other"))
    weights = weighing.counted()
    scored = _marked(weighing.scored(weights, pairs), known)
    likely = (pl.col("probability") >= LEAST) & (pl.col("standing") != Standing.REJECTED)
    scored = scored.filter(likely | pl.col("standing").is_in(_SHOWN))
    return _told(weighing, weights, scored, things, things)


def _told(
    weighing: Weighing,
    weights: Sequence[LevelWeights],
    chosen: pl.DataFrame,
    one: Sequence[Line] | Sequence[Thing],
    other: Sequence[Line] | Sequence[Thing],
) -> tuple[Match, ...]:
    """Tell chosen pairs, the likeliest first."""
    found = []
    given = {
        c.column
        for c in weighing.comparisons
        if any(getattr(each, c.column) is not None for each in (*one, *other))
    }
    for row in chosen.iter_rows(named=True):
        first, second = one[row["one"]], other[row["other"]]
        reasons, missing = [], []
        for comparison, own in zip(weighing.comparisons, weights, strict=True):
            column, level = comparison.column, row[comparison.column]
            if level < 0:
                if column in given:  # what such things never have decides nothing
                    missing.append((-float(own.bits[-1]), column))
                continue
            cells = [_cell(getattr(each, column)) for each in (first, second)]
            reasons.append(
                Reason(column, comparison.meaning(level), cells[0], cells[1], row[f"{column}_bits"])
            )
        reasons.sort(key=lambda reason: (-abs(reason.bits), reason.column))
        deciding = tuple(column for _, column in sorted(missing))
        found.append(
            Match(
                first.iri,
                second.iri,
                row["probability"],
                row["bits"],
                tuple(reasons),
                deciding,
                Standing(row["standing"]),
            )
        )
    return tuple(sorted(found, key=lambda each: (-each.bits, each.one, each.other)))


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, tuple):
        years = all(isinstance(each, int | float) for each in value)
        texts = (f"{v:g}" if years else "/".join(str(v).rsplit("/", 2)[-2:]) for v in value)
        return ("–" if years else ", ").join(texts)
    return f"{value:g}" if isinstance(value, float) else str(value)
