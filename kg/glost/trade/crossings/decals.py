"""The life of a decal across shapes and numbers."""

from collections.abc import Iterator
from dataclasses import dataclass

from rdflib import URIRef

from glost.record.belief import Belief
from glost.record.claims import Claim
from glost.record.dates import DEFAULT_MARGIN, Margin
from glost.trade.codes import piece_dates
from glost.trade.codes.schemes import schemes
from glost.trade.crossings.facts import Facts, gather
from glost.trade.crossings.model import Days, rows
from glost.trade.times import Chronology


@dataclass(frozen=True, slots=True)
class DecalEvidence:
    """Something dated that shows a decal in use.

    Attributes
    ----------
    where
        The piece, the source, or the treatment whose begin or end is given.
    how
        ``begin`` or ``end`` of the treatment, ``decorated`` or ``made`` of a piece, ``code`` on a
        piece, ``list`` that shows it, ``reckoned`` from all that is known.
    days
        The first and last day on which it was in use, as far as this says, both inclusive: once at
        least between them. A piece was decorated after it was made, at an open time.
    claims
        The claims it rests on.
    """

    where: URIRef
    how: str
    days: Days
    claims: tuple[Claim, ...]


@dataclass(frozen=True, slots=True)
class DecalUse:
    """One treatment of a decal, or the decal on pieces of one shape whose treatment is not known.

    Attributes
    ----------
    treatment
        The treatment; None if it is not known.
    numbers, homes
        Its numbers as written, and its home shapes; sorted.
    seen_on
        Every shape on which it is seen, its home among them if a piece or a source shows it there.
    evidence
        What dates it, sorted.
    claims
        The claims that it is of this decal, and for its number and home.
    """

    treatment: URIRef | None
    numbers: tuple[str, ...]
    homes: tuple[URIRef, ...]
    seen_on: tuple[URIRef, ...]
    evidence: tuple[DecalEvidence, ...]
    claims: tuple[Claim, ...]


@dataclass(frozen=True, slots=True)
class DecalLife:
    """How long a decal was in use, and under which numbers on which shapes.

    Attributes
    ----------
    decal
        The decal.
    uses
        Its treatments, by the first day any of them is shown in use, then by IRI.
    """

    decal: URIRef
    uses: tuple[DecalUse, ...]

    @property
    def earliest(self) -> DecalEvidence | None:
        """What shows it in use earliest: the evidence that ends first."""
        dated = [e for use in self.uses for e in use.evidence if e.days[1] is not None]
        return min(
            dated, key=lambda e: (e.days[1] or 0, e.how == "reckoned", e.where), default=None
        )

    @property
    def latest(self) -> DecalEvidence | None:
        """What shows it in use latest: the evidence that begins last."""
        dated = [e for use in self.uses for e in use.evidence if e.days[0] is not None]
        return max(
            dated, key=lambda e: (e.days[0] or 0, e.how != "reckoned", e.where), default=None
        )


def decal_life(
    belief: Belief, decal: URIRef, margin: Margin = DEFAULT_MARGIN, times: Chronology | None = None
) -> DecalLife:
    """Follow a decal across shapes and numbers.

    Parameters
    ----------
    belief
        What is believed.
    decal
        The decal.
    margin
        How far dates marked approximate are widened.
    times
        The chronology of what is believed, if it is at hand: then when each piece was decorated
        is told as reckoned from all that is known, too.
    """
    facts = gather(belief, margin)
    codes: dict[str, list[DecalEvidence]] = {}
    for piece, point, first, last, claims in piece_dates(belief, schemes(belief, margin)):
        days = (first, last) if point == "decorated" else (first, None)
        codes.setdefault(str(piece), []).append(DecalEvidence(piece, "code", days, claims))
    reader = _Reader(facts, codes, times)
    uses = [reader.use(t, str(decal)) for t in _subjects(facts, "usesDecal", str(decal))]
    uses += reader.loose(str(decal))

    def first_day(use: DecalUse) -> tuple[int, str]:
        known = [e.days[1] for e in use.evidence if e.days[1] is not None]
        known += [e.days[0] for e in use.evidence if e.days[0] is not None]
        return min(known, default=10**9), str(use.treatment)

    return DecalLife(decal, tuple(sorted(uses, key=first_day)))


def _subjects(facts: Facts, name: str, value: str) -> list[str]:
    column = facts.columns[name]
    return sorted(set(column.filter(column["object"] == value)["subject"].to_list()))


@dataclass(frozen=True)
class _Reader:
    facts: Facts
    codes: dict[str, list[DecalEvidence]]
    times: Chronology | None

    def use(self, treatment: str, decal: str) -> DecalUse:
        facts = self.facts
        pieces = _subjects(facts, "bearsTreatment", treatment)
        shapes = {shape for piece in pieces for shape in facts.values("ofShape", piece)}
        shapes |= set(facts.values("appearsOn", treatment))
        evidence = [*self._own(treatment), *self._lists(treatment)]
        for piece in pieces:
            because = facts.stating("bearsTreatment", piece, treatment)
            evidence += self._piece(piece, because)
        homes = facts.values("homeShape", treatment)
        claims = [
            *facts.stating("usesDecal", treatment, decal),
            *(facts.claims[at] for _, at in facts.of("treatmentNumber", treatment)),
            *(c for home in homes for c in facts.stating("homeShape", treatment, home)),
        ]
        return DecalUse(
            URIRef(treatment), tuple(facts.values("treatmentNumber", treatment)),
            tuple(map(URIRef, homes)), tuple(map(URIRef, sorted(shapes))),
            _sorted(evidence), tuple(dict.fromkeys(claims)),
        )  # fmt: skip

    def loose(self, decal: str) -> Iterator[DecalUse]:
        """Yield a use for each shape with pieces that bear the decal but no treatment of it."""
        facts = self.facts
        by_shape: dict[str, list[str]] = {}
        for piece in _subjects(facts, "bearsDecal", decal):
            treatments = facts.values("bearsTreatment", piece)
            if not any(decal in facts.values("usesDecal", t) for t in treatments):
                for shape in facts.values("ofShape", piece):
                    by_shape.setdefault(shape, []).append(piece)
        for shape, pieces in sorted(by_shape.items()):
            evidence: list[DecalEvidence] = []
            claims: list[Claim] = []
            for piece in pieces:
                because = facts.stating("bearsDecal", piece, decal)
                claims += because
                evidence += self._piece(piece, because)
            yield DecalUse(
                None, (), (), (URIRef(shape),), _sorted(evidence), tuple(dict.fromkeys(claims))
            )

    def _own(self, treatment: str) -> Iterator[DecalEvidence]:
        for how in ("begin", "end"):
            for days, claim in self.facts.dates(f"{treatment}#{how}"):
                yield DecalEvidence(URIRef(treatment), how, days, (claim,))

    def _lists(self, treatment: str) -> Iterator[DecalEvidence]:
        """Yield the lists of their own time that give or show the treatment, with their dates."""
        facts = self.facts
        shown = {row["kind"] for row in rows("shown_in.csv")}
        found: dict[str, list[Claim]] = {}
        for name in ("issuedBy", "homeShape", "appearsOn"):
            for _, at in facts.of(name, treatment):
                claim = facts.claims[at]
                found.setdefault(str(claim.passage.source), []).append(claim)
        for source, claims in sorted(found.items()):
            kinds = {kind.rsplit("/", 1)[-1] for kind in facts.values("sourceKind", source)}
            if kinds & shown:
                for days, dating in facts.dates(source):
                    because = tuple(dict.fromkeys([*claims, dating]))
                    yield DecalEvidence(URIRef(source), "list", days, because)

    def _piece(self, piece: str, because: list[Claim]) -> Iterator[DecalEvidence]:
        for days, claim in self.facts.dates(f"{piece}#decorated"):
            yield DecalEvidence(URIRef(piece), "decorated", days, (*because, claim))
        for days, claim in self.facts.dates(f"{piece}#made"):
            yield DecalEvidence(URIRef(piece), "made", (days[0], None), (*because, claim))
        for found in self.codes.get(piece, ()):
            yield DecalEvidence(found.where, found.how, found.days, (*because, *found.claims))
        if self.times is not None:
            yield from _reckoned(self.times, URIRef(piece), because)


def _reckoned(times: Chronology, piece: URIRef, because: list[Claim]) -> Iterator[DecalEvidence]:
    """Yield when a piece was decorated as all that is known bounds it, with every claim used."""
    point = URIRef(f"{piece}#decorated")
    bounds = times.bounds(point)
    claims = dict.fromkeys(because)
    for argument in (times.why_not_before(point), times.why_not_after(point)):
        claims.update(dict.fromkeys(argument.claims if argument is not None else ()))
    if bounds.earliest is not None or bounds.latest is not None:
        yield DecalEvidence(piece, "reckoned", (bounds.earliest, bounds.latest), tuple(claims))


def _sorted(evidence: list[DecalEvidence]) -> tuple[DecalEvidence, ...]:
    def order(one: DecalEvidence) -> tuple[int, str, str]:
        first, last = one.days
        return (first if first is not None else last or 0), str(one.where), one.how

    return tuple(sorted(evidence, key=order))
