"""What was judged of shapes and of stated absences, superlatives and totals, as statements."""

from collections.abc import Iterable, Iterator
from urllib.parse import quote

from rdflib import Literal, URIRef
from rdflib.namespace import PROV, RDF

from glost.names import GLOST
from glost.record.claims import Claim, Triple
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
        and the claims under it (``prov:wasDerivedFrom``). For each absence, superlative and total
        the same of the statement itself; and for each form that came instead of another, whether
        both were offered side by side.
    """
    for each in Judge(having, words).every():
        yield from judgement(each, base)
        yield from _derived(name(each, base), each.claims)
    yield from stated(having, holding, times)


def stated(having: Having, holding: Holding, times: Chronology) -> Iterator[Triple]:
    """Yield what was judged of absences, superlatives, totals and what came instead of what."""
    for held in holding.all:
        yield from _verdict(held.stated.iri, str(held.verdict), held.because, held.deciding, "")
        yield held.stated.iri, GLOST.says, Literal(held.says)
        yield from _derived(held.stated.iri, held.claims)
    for beside in side_by_side(having, times):
        disputed = "yes" if beside.disputed else ""
        yield from _verdict(beside.substitution, str(beside.verdict), "", beside.deciding, disputed)
        yield from _derived(beside.substitution, beside.claims)


def name(each: Judgement, base: str) -> URIRef:
    """Return the IRI of a judgement."""
    parts = [str(each.best), _slug(each.among), _slug(each.article.form), _slug(each.shape)]
    return URIRef(f"{base}judgement/{'.'.join(part for part in parts if part)}")


def judgement(each: Judgement, base: str) -> Iterator[Triple]:
    """Yield a judgement as statements, but for the claims under it."""
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


def _derived(iri: URIRef, claims: Iterable[Claim]) -> Iterator[Triple]:
    for claim in claims:
        yield iri, PROV.wasDerivedFrom, claim.iri
