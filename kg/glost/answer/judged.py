"""What was judged of shapes and of stated absences, superlatives and totals, as statements."""

from collections.abc import Iterable, Iterator
from hashlib import sha256
from urllib.parse import quote

from rdflib import Literal, URIRef
from rdflib.namespace import PROV, RDF

from glost.names import GLOST
from glost.record.claims import Triple
from glost.trade.assortments.among import Among, Resting, Span
from glost.trade.assortments.having import Having
from glost.trade.assortments.holding import Holding
from glost.trade.assortments.judging import Judge, Judgement
from glost.trade.assortments.replaced import side_by_side
from glost.trade.times import Chronology
from glost.words.labels import Words


def judged(
    having: Having, holding: Holding, times: Chronology, words: Words, base: str
) -> Iterator[Triple]:
    """Yield every judgement as statements.

    Parameters
    ----------
    having
        Which shape had what.
    holding
        What sources state about lists, held against everything else.
    times
        The chronology of the same belief.
    words
        What things are called.
    base
        The collection's base IRI.

    Returns
    -------
    Iterator of triple
        For each form, the shapes that were or may have been the first and the last to have it,
        among all on record and in each pottery, and the only one in a pottery: a
        ``glost:Judgement`` with its verdict, the reason, what would decide it, what is disputed,
        and what it was derived from. For each absence, superlative and total the same of the
        statement itself; and for each form that came instead of another, whether both were
        offered side by side.
    """
    yield from judgements(Judge(having, words).every(), base)
    yield from stated(having, holding, times)


def judgements(every: Iterable[Judgement], base: str) -> Iterator[Triple]:
    """Yield judgements, and the evidence that they share."""
    evidence = SharedEvidence(base)
    for each in every:
        yield from judgement(each, base)
        for under in sorted(evidence.under(each.resting)):
            yield name(each, base), PROV.wasDerivedFrom, under
    yield from evidence.statements()


class SharedEvidence:
    """Evidence that judgements share, each piece of it told once.

    Of a thousand shapes that had a form dozens may have been the first, and whether each was rests
    on what is on record of nearly all. So the claims about each shape are gathered, the shapes by
    twos in the order in which they were brought in, these by twos again, and so on; a judgement
    names the largest gatherings of which it rests on everything, a few for each part of what is on
    record.

    Parameters
    ----------
    base
        The collection's base IRI.
    """

    def __init__(self, base: str) -> None:
        self._base = base
        self._members: dict[URIRef, tuple[URIRef, ...]] = {}
        self._among: Among | None = None
        self._gathered: dict[Span, URIRef | None] = {}

    def under(self, resting: Resting) -> set[URIRef]:
        """Return the gatherings and the single claims that something rests on."""
        if resting.among is not self._among:
            self._among, self._gathered = resting.among, {}
        found = {URIRef(claim.iri) for claim in resting.more}
        for span in resting.spans():
            found.update(self._cover(resting.among, span, (0, len(resting.among.had))))
        return found

    def statements(self) -> Iterator[Triple]:
        """Yield what each gathering holds: claims and smaller gatherings."""
        for iri, members in self._members.items():
            yield iri, RDF.type, GLOST.Evidence
            for member in members:
                yield iri, PROV.hadMember, member

    def _cover(self, among: Among, span: Span, within: tuple[int, int]) -> Iterator[URIRef]:
        """Yield the largest gatherings that make up a span."""
        begin, end = within
        if span.end <= begin or end <= span.begin:
            return
        if span.begin <= begin and end <= span.end:
            whole = self._gather(among, span._replace(begin=begin, end=end))
            yield from () if whole is None else (whole,)
            return
        for half in _halves(begin, end):
            yield from self._cover(among, span, half)

    def _gather(self, among: Among, span: Span) -> URIRef | None:
        """Return the gathering of a whole span; a claim if it is one, None if there is none."""
        if span not in self._gathered:
            if span.end - span.begin == 1:
                members = {URIRef(claim.iri) for claim in among.claims_in(span)}
            else:
                halves = (span._replace(begin=b, end=e) for b, e in _halves(span.begin, span.end))
                parts = (self._gather(among, half) for half in halves)
                members = {each for each in parts if each is not None}
            self._gathered[span] = self._named(sorted(members))
        return self._gathered[span]

    def _named(self, members: list[URIRef]) -> URIRef | None:
        """Name some claims and gatherings together, by what they are."""
        if len(members) < 2:
            return members[0] if members else None
        told = sha256("\n".join(members).encode()).hexdigest()[:16]
        iri = URIRef(f"{self._base}evidence/{told}")
        self._members[iri] = tuple(members)
        return iri


def _halves(begin: int, end: int) -> tuple[tuple[int, int], tuple[int, int]]:
    middle = (begin + end) // 2
    return (begin, middle), (middle, end)


def stated(having: Having, holding: Holding, times: Chronology) -> Iterator[Triple]:
    """Yield what was judged of absences, superlatives, totals and what came instead of what."""
    for held in holding.all:
        yield from _verdict(held.stated.iri, str(held.verdict), held.because, held.deciding, "")
        yield held.stated.iri, GLOST.says, Literal(held.says)
        for claim in held.claims:
            yield held.stated.iri, PROV.wasDerivedFrom, claim.iri
    for beside in side_by_side(having, times):
        disputed = "yes" if beside.disputed else ""
        yield from _verdict(beside.substitution, str(beside.verdict), "", beside.deciding, disputed)
        for claim in beside.claims:
            yield beside.substitution, PROV.wasDerivedFrom, claim.iri


def name(each: Judgement, base: str) -> URIRef:
    """Return the IRI of a judgement."""
    parts = [str(each.best), _slug(each.among), _slug(each.article.form), _slug(each.shape)]
    return URIRef(f"{base}judgement/{'.'.join(part for part in parts if part)}")


def judgement(each: Judgement, base: str) -> Iterator[Triple]:
    """Yield a judgement as statements, but for what it was derived from."""
    iri = name(each, base)
    yield iri, RDF.type, GLOST.Judgement
    yield iri, GLOST.judges, Literal(str(each.best))
    yield iri, GLOST.judgedForm, each.article.form
    yield iri, GLOST.judgedShape, each.shape
    if each.among is not None:
        yield iri, GLOST.judgedAmong, each.among
    for listed in each.lists:
        yield iri, GLOST.byList, listed.list
    yield from _verdict(iri, str(each.verdict), each.because, each.deciding, each.disputed)


def _slug(thing: URIRef | None) -> str:
    return "" if thing is None else quote("-".join(str(thing).rsplit("/", 2)[-2:]), safe="")


def _verdict(
    iri: URIRef, verdict: str, because: str, deciding: str, disputed: str
) -> Iterator[Triple]:
    yield iri, GLOST.verdict, Literal(verdict)
    for verb, text in (
        (GLOST.because, because),
        (GLOST.deciding, deciding),
        (GLOST.disputed, disputed),
    ):
        if text:
            yield iri, verb, Literal(text)
