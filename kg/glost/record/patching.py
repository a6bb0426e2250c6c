"""What is believed after a change, made of what was believed before it.

`believe` looks at every claim. Here only those are looked at that a change adds or takes away, and
corrections with the claims they speak of. What the earlier belief knows by statement, thing and
value goes over to the later one and is patched, so the earlier one must not be asked any more.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from rdflib import URIRef

from glost.record.belief import Belief, believe, corrections_among
from glost.record.changes import Change
from glost.record.claims import Claim, Triple
from glost.record.sequence import ClaimSequence


@dataclass(frozen=True)
class Shift:
    """What a change does to what is believed.

    Attributes
    ----------
    touched
        IRIs of claims, believed or not, that change or of which it changes whether and why they
        are believed, or of which that was looked into; sorted.
    came
        Claims that are believed now and were not, or that say something else or are read from
        elsewhere.
    went
        Claims that were believed and are not, or as they were before they came to say something
        else.
    stated, unstated
        Statements that some claim makes now and none did; that some claim made and none does now.
    """

    touched: tuple[str, ...]
    came: tuple[Claim, ...]
    went: tuple[Claim, ...]
    stated: tuple[Triple, ...]
    unstated: tuple[Triple, ...]

    @property
    def new(self) -> tuple[Claim, ...]:
        """The claims that came, those left out that say what they said and are read elsewhere."""
        return _other(self.came, self.went)

    @property
    def gone(self) -> tuple[Claim, ...]:
        """The claims that went, the same left out."""
        return _other(self.went, self.came)

    @property
    def claims(self) -> tuple[Claim, ...]:
        """Those new and gone; one that says something else stands there as it is and as it was."""
        return (*self.new, *self.gone)

    @property
    def statements(self) -> tuple[Triple, ...]:
        """Every statement of the claims that came and went, each once."""
        return tuple(dict.fromkeys(t for c in (*self.came, *self.went) for t in c.statements))


def _other(some: Iterable[Claim], others: Iterable[Claim]) -> tuple[Claim, ...]:
    """Leave out claims that are among others alike."""
    known = {claim.iri: claim for claim in others}
    return tuple(
        claim
        for claim in some
        if known.get(claim.iri) != claim or known[claim.iri].statements != claim.statements
    )


class Corrections:
    """The corrections of a record, and every claim they speak of, kept up to date.

    Parameters
    ----------
    claims
        The record's claims.
    """

    def __init__(self, claims: ClaimSequence) -> None:
        found = corrections_among(claims)
        self._claims = {claim.iri: claim for claim in found}
        self._targets = {
            claim.iri: (*says.withdraws, *says.replaced_by) for claim, says in found.items()
        }

    def change(self, change: Change) -> bool:
        """Take a change in; say whether it bears on what is withdrawn."""
        touched = {*change.removed, *(claim.iri for claim in change.added)}
        bears = not touched.isdisjoint(self._involved())
        for iri in touched & self._claims.keys():
            del self._claims[iri], self._targets[iri]
        for claim, says in corrections_among(change.added).items():
            self._claims[claim.iri] = claim
            self._targets[claim.iri] = (*says.withdraws, *says.replaced_by)
            bears = True
        return bears

    def involved(self, claims: ClaimSequence) -> ClaimSequence:
        """Return the corrections and the claims they speak of, in the order of their IRIs."""
        found = (claims.at(str(iri)) for iri in sorted(self._involved()))
        return ClaimSequence.given(claim for claim in found if claim is not None)

    def _involved(self) -> set[URIRef]:
        return {*self._claims, *(iri for of in self._targets.values() for iri in of)}


def foreseen(
    belief: Belief, change: Change, claims: ClaimSequence, corrections: Corrections
) -> tuple[Belief, Shift]:
    """Work out what is believed after a change; see `hand_over` for what it then knows.

    Parameters
    ----------
    belief
        What is believed before it.
    change
        The change.
    claims
        The record's claims after it.
    corrections
        The record's corrections before it; they are brought up to date.

    Returns
    -------
    tuple
        What is believed, the same as `glost.record.belief.believe` gives, and what changes in it.
    """
    day = belief.as_of.isoformat() if belief.as_of else ""
    touched = {str(iri) for iri in (*change.removed, *(claim.iri for claim in change.added))}
    withdrawn, parts, replaced = belief.withdrawn, belief.parts, belief.replaced
    less: ClaimSequence | None = None
    if corrections.change(change):
        found = believe(corrections.involved(claims), belief.as_of)
        touched |= {str(iri) for said in (withdrawn, parts, replaced) for iri in said}
        withdrawn, parts, replaced, less = (
            found.withdrawn,
            found.parts,
            found.replaced,
            found.claims,
        )
        touched |= {str(iri) for said in (withdrawn, parts, replaced) for iri in said}
    after: dict[str, Claim | None] = {}
    for iri in touched:
        claim = claims.at(iri)
        if claim is None or (day and claim.recorded_on > day) or URIRef(iri) in withdrawn:
            after[iri] = None
        elif URIRef(iri) in parts and less is not None:
            after[iri] = less.find(iri)
        else:
            after[iri] = claim
    before = {iri: belief.claims.at(iri) for iri in touched}
    moved = sorted(iri for iri in touched if not _same(before[iri], after[iri]))
    came = tuple(claim for iri in moved if (claim := after[iri]) is not None)
    went = tuple(claim for iri in moved if (claim := before[iri]) is not None)
    sequence = belief.claims.changed(came, [iri for iri in moved if after[iri] is None])
    result = Belief(sequence, withdrawn, replaced, belief.as_of, parts)
    return result, Shift(tuple(sorted(touched)), came, went, *_statements(belief, came, went))


def _same(one: Claim | None, other: Claim | None) -> bool:
    if one is None or other is None:
        return one is other
    same = one == other and one.origin == other.origin
    return same and (one.expand is other.expand or one.statements == other.statements)


def _statements(
    belief: Belief, came: Iterable[Claim], went: Iterable[Claim]
) -> tuple[tuple[Triple, ...], tuple[Triple, ...]]:
    """Return what is stated with a change and was not, and what was stated and is no longer."""
    says = dict.fromkeys(statement for claim in came for statement in claim.statements)
    said: dict[Triple, set[URIRef]] = {}
    for claim in went:
        for statement in claim.statements:
            said.setdefault(statement, set()).add(claim.iri)
    stated = tuple(each for each in says if not belief.rests_on(each))
    unstated = tuple(
        each
        for each, by in said.items()
        if each not in says and all(claim.iri in by for claim in belief.rests_on(each))
    )
    return stated, unstated


def hand_over(old: Belief, new: Belief, shift: Shift) -> None:
    """Hand over what a belief knows by statement, thing and value, and patch it.

    Parameters
    ----------
    old
        What was believed; it must not be asked any more.
    new
        What is believed now.
    shift
        What changed.
    """
    index = old.index
    index.change(shift.came, shift.went)
    new.__dict__.update(index=index, worded=old.worded)
