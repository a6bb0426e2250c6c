"""What crossings are reckoned from, as columns: one pass over the claims, whatever their number."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

import polars as pl
from rdflib import URIRef

from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.columns import SCHEMA, NumberedClaims
from glost.record.dates import DateError, Margin
from glost.record.dates import read as read_date
from glost.trade.codes import CodeError, decode
from glost.trade.codes.scheme import NUMBER
from glost.trade.codes.schemes import schemes
from glost.trade.crossings.model import Days

_NAMES = (
    *("bearsTreatment", "bearsDecal", "ofShape", "form", "homeShape", "appearsOn", "usesDecal"),
    *(
        "treatmentNumber",
        "issuedBy",
        "sharesFlatwareWith",
        "sharedBy",
        "sharedWith",
        "reissueOf",
        "date",
        "sourceKind",
    ),
)
_WANTED = {str(GLOST[name]): name for name in _NAMES}
_KEPT = ["subject", "object", "claim"]
Said = tuple[str, int]
"""A value and the place of a claim that gives it."""


@dataclass(frozen=True)
class Facts:
    """Statements by property, each with the claim that makes it.

    Attributes
    ----------
    claims
        The claims, in order; columns hold their places.
    columns
        Subject, object and claim for every statement, by the property's local name.
    margin
        How far approximate dates are widened.
    by_number
        Treatments of which the home is known only by their number.
    """

    claims: NumberedClaims
    columns: dict[str, pl.DataFrame] = field(repr=False)
    margin: Margin
    by_number: frozenset[str]
    _of: dict[str, dict[str, list[Said]]] = field(default_factory=dict, repr=False)

    def of(self, name: str, subject: str) -> list[Said]:
        """Return the values a thing is given for a property, with the claims; sorted."""
        if name not in self._of:
            index: dict[str, list[Said]] = defaultdict(list)
            for one, value, claim in self.columns[name].sort("subject", "object", "claim").rows():
                index[one].append((value, claim))
            self._of[name] = index
        return self._of[name].get(subject, [])

    def values(self, name: str, subject: str) -> list[str]:
        """Return the values a thing is given for a property, once each; sorted."""
        return list(dict.fromkeys(value for value, _ in self.of(name, subject)))

    def stating(self, name: str, subject: str, value: str) -> list[Claim]:
        """Return the claims that make a statement."""
        return [self.claims[at] for other, at in self.of(name, subject) if other == value]

    def dates(self, point: str) -> list[tuple[Days, Claim]]:
        """Return the days each date given for a point allows, with the claim that gives it."""
        found = []
        for text, at in self.of("date", point):
            try:
                date = read_date(text, self.margin)
            except DateError:
                continue
            found.append(((date.earliest, date.latest), self.claims[at]))
        return found


def gather(belief: Belief, margin: Margin) -> Facts:
    """Gather the statements that crossings are reckoned from.

    A treatment that no claim gives a home has the one its number tells by its pottery's schemes.
    """
    said = belief.table(frozenset(_WANTED))
    found = {name: said.of[iri].select(_KEPT) for iri, name in _WANTED.items()}
    facts = Facts(said.claims, found, margin, frozenset())
    schema = {name: SCHEMA[name] for name in _KEPT}
    told = pl.DataFrame(list(_homes_by_number(belief, facts)), schema=schema, orient="row")
    if not told.height:
        return facts
    homes = pl.concat([found["homeShape"], told])
    return Facts(
        said.claims, {**found, "homeShape": homes}, margin, frozenset(told["subject"].to_list())
    )


def homes_by_number(belief: Belief, margin: Margin) -> dict[Triple, tuple[Triple, ...]]:
    """Return the home of every treatment that only its number tells, and what each rests on.

    Parameters
    ----------
    belief
        What is believed.
    margin
        How far approximate dates are widened.

    Returns
    -------
    dict
        By statement, ``glost:homeByNumber``, the statements of number and schemes it follows from.
    """
    facts = gather(belief, margin)
    homes = (
        facts.columns["homeShape"].select("subject", "object").unique().sort("subject", "object")
    )
    return {
        (URIRef(treatment), GLOST.homeByNumber, URIRef(shape)): tuple(
            fact
            for claim in facts.stating("homeShape", treatment, shape)
            for fact in claim.statements
            if str(fact[0]) != treatment or fact[1] == GLOST.treatmentNumber
        )
        for treatment, shape in homes.rows()
        if treatment in facts.by_number
    }


def _homes_by_number(belief: Belief, facts: Facts) -> Iterator[tuple[str, str, int]]:
    homeless = facts.columns["treatmentNumber"].join(
        facts.columns["homeShape"], on="subject", how="anti"
    )
    if not homeless.height:
        return
    known = schemes(belief.among("code_schemes", "code_parts"), facts.margin)
    for treatment, number, at in homeless.sort("subject", "object", "claim").rows():
        potteries = set(facts.values("issuedBy", treatment))
        its = [s for s in known if NUMBER in s.codes and potteries & set(map(str, s.potteries))]
        try:
            readings = decode(number, its).counting
        except CodeError:
            continue
        for shape in sorted({str(r.things["shape"]) for r in readings if "shape" in r.things}):
            resting = [r for r in readings if str(r.things.get("shape")) == shape]
            yield treatment, shape, at
            for place in facts.claims.places(c.iri for r in resting for c in r.claims).values():
                yield treatment, shape, place


def claims_at(facts: Facts, places: Iterable[int]) -> tuple[Claim, ...]:
    """Return the claims at some places, each once, in order."""
    return tuple(facts.claims[at] for at in sorted(set(places)))
