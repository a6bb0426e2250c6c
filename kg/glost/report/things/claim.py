"""The report of a claim: what it says, on what it rests, and what became of it."""

from collections.abc import Iterator

from glost.names import GLOST
from glost.record.claims import Claim, Passage
from glost.record.fragments import FragmentError, read_fragment
from glost.record.provenance import keeper_base, passage_iri, recorder_iri
from glost.report.things.basis import ThingBasis
from glost.report.things.conflicts import found_of, in_dispute
from glost.report.things.related import claims_table
from glost.report.things.said import Said, capital
from glost.report.tree import Group, Ref, Report, Section, Sentence, Statement
from glost.words.sentences import FRAME, correction_kind, withdrawal

__all__ = ["claim_report", "claims_table", "heard"]

_WITHDRAWN = {
    "transcription": "It was written down wrongly, and is kept so that one can see what was held.",
    "undoing": "It belongs to a correction that was taken back.",
    "": "It was withdrawn on evidence, and is kept so that one can see what was believed.",
}
"""How a claim stands that a correction of some kind withdrew."""
_DISPUTED = "It stands, and takes part in a contradiction with other claims."


def claim_report(basis: ThingBasis, claim: Claim, said: Said) -> Report:
    """Make the report of a claim.

    Parameters
    ----------
    basis
        The collection.
    claim
        The claim.
    said
        What words statements.
    """
    said.about = ""
    sections = (
        Section("rests", "What it rests on", (Group(tuple(_facts(basis, said, claim))),)),
        *_correction(basis, said, claim),
        *_lost(basis, said, claim),
        *found_of(basis, said, str(claim.iri)),
    )
    settings = basis.snapshot.collection
    return Report(
        str(claim.iri),
        capital(basis.words.claim(claim)),
        tuple(_lead(basis, said, claim)),
        sections,
        kind="Claim",
        collection=settings.title,
        licence=settings.licence,
    )


def _lead(basis: ThingBasis, said: Said, claim: Claim) -> Iterator[Statement]:
    grounds = said.grounds([claim])
    gone = basis.belief.withdrawn.get(claim.iri)
    kept = claim.statements if gone is not None else basis.belief.kept(claim)
    disputed = in_dispute(basis, str(claim.iri))
    status = "withdrawn" if gone is not None else "disputed" if disputed else ""
    sentence = said.says(kept) or said.says(claim.statements)
    if sentence:
        yield Statement(sentence, grounds, status)
    if gone is not None:
        how = correction_kind(gone)
        told = _WITHDRAWN.get(how, _WITHDRAWN[""])
        yield Statement((told,), said.grounds([gone]))
    elif disputed:
        yield Statement((_DISPUTED,), grounds)
    parts = basis.belief.parts.get(claim.iri, ())
    if parts and gone is None:
        by = said.grounds([part.correction for part in parts])
        yield Statement(("A part of it was withdrawn; the rest stands.",), by)


def _facts(basis: ThingBasis, said: Said, claim: Claim) -> Iterator[Statement]:
    grounds = said.grounds([claim])
    for name, told in _told(basis, said, claim):
        yield Statement(told, grounds, _name=(name,))


def _told(basis: ThingBasis, said: Said, claim: Claim) -> Iterator[tuple[str, Sentence]]:
    passage = claim.passage
    yield "Source", (said.source(passage.source),)
    name = passage_iri(keeper_base(claim), passage)
    if name is not None:
        yield "Passage", (Ref(str(name), passage.place),)
    for address, words in heard(basis, passage):
        yield "In the recording", (Ref(address, words),)
    if claim.certainty is not None:
        yield "Certainty", (said.ref(claim.certainty),)
    if claim.recorded_by:
        by = Ref(str(recorder_iri(keeper_base(claim), claim.recorded_by)), claim.recorded_by)
        yield "Recorded by", (by,)
    if claim.recorded_on:
        yield "Recorded on", (claim.recorded_on,)
    if claim.note:
        yield "Note", (claim.note,)
    collection = basis.snapshot.collection
    if collection.members and (keeper := collection.holding(claim.iri)) is not None:
        yield "Kept by", (keeper.publisher or keeper.title,)
    yield "Read from", (str(claim.origin),)


def heard(basis: ThingBasis, passage: Passage) -> Iterator[tuple[str, str]]:
    """Yield the addresses of a stretch of a recording, each with the stretch in words."""
    try:
        fragment = read_fragment(passage.region)
    except FragmentError:
        return
    if not fragment.timed:
        return
    said = basis.belief.graph.objects(passage.source, GLOST.address)
    part = passage.region.rpartition("#")[2]
    for address in sorted({str(each).partition("#")[0] for each in said}):
        yield f"{address}#{part}", fragment.words


def _correction(basis: ThingBasis, said: Said, claim: Claim) -> Iterator[Section]:
    """Tell what withdrew a claim, and what it replaces."""
    told: list[Statement] = []
    by = basis.belief.withdrawn.get(claim.iri)
    if by is not None:
        told.append(_withdrawing(said, by))
    for old in basis.belief.replaced.get(claim.iri, ()):
        sentence = ("It replaces ", Ref(str(old), f"claim {str(old).rsplit('/', 1)[-1]}"), ".")
        told.append(Statement(sentence, said.grounds([claim])))
    if told:
        yield Section("correction", "Correction", (Group(tuple(told)),))


def _withdrawing(said: Said, correction: Claim) -> Statement:
    ref = Ref(str(correction.iri), f"correction {correction.id}")
    sentence = (f"{withdrawal(correction)} (", ref, ")")
    return Statement(sentence, said.grounds([correction]))


def _lost(basis: ThingBasis, said: Said, claim: Claim) -> Iterator[Section]:
    """Tell what was withdrawn of a claim by itself, each part with its correction."""
    told = []
    for part in basis.belief.parts.get(claim.iri, ()):
        statements = [t for t in part.statements if t[1] not in FRAME] or part.statements
        grounds = said.grounds([claim, part.correction])
        parts = (_withdrawing(said, part.correction),)
        told.append(Statement(said.says(statements), grounds, "withdrawn", parts=parts))
    if told:
        yield Section("withdrawn", "What was withdrawn of it", (Group(tuple(told)),))
