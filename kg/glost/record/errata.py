"""Public statements that corrections overtook: what must be put right, and what has been."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from rdflib import URIRef
from rdflib.namespace import DCTERMS
from rdflib.term import Node

from glost.names import GLOST, SCHEMES
from glost.record.belief import Belief, Correcting, corrections_among
from glost.record.claims import Claim, Triple
from glost.record.fitting import row_of
from glost.record.record import Record
from glost.record.rows import without
from glost.record.tables import tables

TALK = URIRef(f"{SCHEMES}source-kind/talk")
"""The kind of sources that are talks."""


@dataclass(frozen=True, slots=True)
class Overtaken:
    """A public statement that used something a correction has withdrawn.

    Attributes
    ----------
    statement
        The public statement.
    said
        The claim that it was made in public: where, when and in which words.
    used
        The claim it used, as that stood.
    correction
        The claim of the correction.
    withdrawn
        Statements of the used claim that no longer hold; all of them were used.
    now
        The claims that stand in place of the used one, as far as they are believed, sorted by IRI.
    done
        The claim of the erratum, if it has been published; else None.
    done_on
        The day on which it was put right, ``YYYY-MM-DD``; empty as long as it is not.
    to_come
        Whether it is still to be said: the talk it stands in has no date.
    """

    statement: URIRef
    said: Claim
    used: Claim
    correction: Claim
    withdrawn: tuple[Triple, ...]
    now: tuple[Claim, ...]
    done: Claim | None
    done_on: str
    to_come: bool

    @property
    def wording(self) -> str:
        """What was said in public."""
        return _text(self.said, GLOST.saidSo)

    @property
    def said_in(self) -> URIRef:
        """Where it was said."""
        return _said_in(self.said)

    @property
    def reason(self) -> str:
        """Why the correction was made."""
        return _text(self.correction, GLOST.reason)

    @property
    def instead(self) -> tuple[Triple, ...]:
        """What is said now of the same things in the same respects."""
        respects = {(s, p) for s, p, _ in self.withdrawn}
        every = (t for claim in self.now for t in claim.statements if t[:2] in respects)
        return tuple(dict.fromkeys(every))


def overtaken(record: Record, belief: Belief) -> tuple[Overtaken, ...]:
    """Find the public statements that corrections overtook.

    Parameters
    ----------
    record
        The record, in which withdrawn claims are kept as they stood.
    belief
        What is believed on the day that counts.

    Returns
    -------
    tuple of Overtaken
        By public statement, used claim and correction; those that have been put right among them.
        What a claim put in its place says again is not overtaken.
    """
    corrections = corrections_among(belief.claims)
    done = _published(belief.claims.of_tables("errata"))
    found = []
    for said in belief.claims.of_tables("public_statements"):
        for statement, uses in _uses(said).items():
            columns = tuple(
                str(o) for s, p, o in said.statements if (s, p) == (statement, GLOST.usesColumn)
            )
            for used in filter(None, map(record.claim, uses)):
                gone = _gone(used, columns, belief)
                for correction, triples in gone.items():
                    now = tuple(_standing(correction, corrections, belief))
                    kept = {t for claim in now for t in claim.statements}
                    left = tuple(t for t in triples if t not in kept)
                    erratum = done.get((statement, correction.iri))
                    day = _text(erratum, DCTERMS.issued) if erratum else ""
                    if left:
                        found.append(
                            Overtaken(
                                statement, said, used, correction, left, now,
                                erratum if day else None, day, to_come(_said_in(said), belief),
                            )
                        )  # fmt: skip
    return tuple(
        sorted(found, key=lambda e: (e.statement, e.used.iri, e.correction.iri, e.said.iri))
    )


def to_come(talk: URIRef, belief: Belief) -> bool:
    """Say whether a talk is still to be given: it then has no date."""
    facts = belief.graph
    return (talk, GLOST.sourceKind, TALK) in facts and (talk, GLOST.sourceDate, None) not in facts


def unknown_columns(record: Record, belief: Belief) -> Iterator[tuple[Claim, str]]:
    """Yield the claims of public statements that name a column none of the rows they used has."""
    for said in belief.claims.of_tables("public_statements"):
        used = [record.claim(iri) for uses in _uses(said).values() for iri in uses]
        own = [tables().get(claim.origin.table) for claim in used if claim is not None]
        known = {column.name for table in own if table is not None for column in table.real}
        for _, predicate, value in said.statements:
            if predicate == GLOST.usesColumn and known and str(value) not in known:
                yield said, str(value)


def _said_in(said: Claim) -> URIRef:
    found = (o for _, p, o in said.statements if p == GLOST.saidIn)
    return URIRef(str(next(found, said.passage.source)))


def _gone(used: Claim, columns: tuple[str, ...], belief: Belief) -> dict[Claim, list[Triple]]:
    """Return what no longer holds of what some columns of a row say, by the correction."""
    found: dict[Claim, list[Triple]] = defaultdict(list)
    for triple in of_columns(used, columns):
        correction = belief.against(used.iri, triple)
        if correction is not None:
            found[correction].append(triple)
    return found


def _uses(said: Claim) -> dict[URIRef, list[URIRef]]:
    found: dict[URIRef, list[URIRef]] = defaultdict(list)
    for subject, predicate, value in said.statements:
        if predicate == GLOST.usesClaim and isinstance(subject, URIRef):
            found[subject].append(URIRef(str(value)))
    return found


def _standing(
    correction: Claim, corrections: Mapping[Claim, Correcting], belief: Belief
) -> Iterator[Claim]:
    """Yield what is believed of what a correction, and later ones, put in a claim's place."""
    placed: dict[URIRef, set[URIRef]] = defaultdict(set)
    for says in corrections.values():
        for old in says.withdraws:
            placed[old].update(says.replaced_by)
    says_now = corrections.get(correction)
    open_ = list(says_now.replaced_by) if says_now is not None else []
    found: set[URIRef] = set()
    while open_:
        new = open_.pop()
        if new not in found:
            found.add(new)
            open_ += sorted(placed[new])
    yield from belief.claims.only(found)


def _published(rows: Iterable[Claim]) -> dict[tuple[Node, Node], Claim]:
    """Return the errata by public statement and correction; of several, one that has a day."""
    found: dict[tuple[Node, Node], Claim] = {}
    for claim in rows:
        said = {(p, o) for _, p, o in claim.statements}
        for right in (o for p, o in said if p == GLOST.putsRight):
            for correction in (o for p, o in said if p == GLOST.afterCorrection):
                if (right, correction) not in found or _text(claim, DCTERMS.issued):
                    found[right, correction] = claim
    return found


def of_columns(claim: Claim, columns: tuple[str, ...]) -> tuple[Triple, ...]:
    """Return the statements that some columns of a row make; all of them if none is named."""
    row = row_of(claim) if columns else None
    if row is None:
        return claim.statements
    expander, values = row
    kept = frozenset(expander.statements(without(values, columns)))
    return tuple(triple for triple in claim.statements if triple not in kept)


def _text(claim: Claim, predicate: URIRef) -> str:
    return " ".join(sorted(str(o) for _, p, o in claim.statements if p == predicate))
