"""What crossings are reckoned from, as columns: one pass over the claims, whatever their number."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import compress, count

import polars as pl
from rdflib import URIRef

from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.columns import SCHEMA, NumberedClaims
from glost.record.dates import DateError, Margin
from glost.record.dates import read as read_date
from glost.trade.codes import Decoded, Reading, decode_many
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
        "sourceDate",
        "sourceKind",
    ),
)
ON_RECORD = (
    *("homeShape", "usesDecal", "treatmentNumber"),
    *("issuedBy", "sharesFlatwareWith", "reissueOf"),
)
"""What tells homes, and what may explain that a treatment is away from its own."""
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
        for text, at in (*self.of("date", point), *self.of("sourceDate", point)):
            try:
                date = read_date(text, self.margin)
            except DateError:
                continue
            found.append(((date.earliest, date.latest), self.claims[at]))
        return found


def gather(belief: Belief, margin: Margin, names: Iterable[str] = _NAMES) -> Facts:
    """Gather the statements that crossings are reckoned from.

    A treatment that no claim gives a home has the one its number tells by its pottery's schemes.

    Parameters
    ----------
    belief
        What is believed.
    margin
        How far approximate dates are widened.
    names
        The local names of the properties that are wanted; see `ON_RECORD`.
    """
    wanted = {str(GLOST[name]): name for name in names}
    said = belief.table(frozenset(wanted))
    found = {name: said.of[iri].select(_KEPT) for iri, name in wanted.items()}
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
    numbers = [s for s in known if NUMBER in s.codes]
    by_schemes: dict[tuple[int, ...], list[tuple[str, str, int]]] = defaultdict(list)
    for row in homeless.sort("subject", "object", "claim").rows():
        potteries = set(facts.values("issuedBy", row[0]))
        its = [not potteries.isdisjoint(map(str, s.potteries)) for s in numbers]
        by_schemes[tuple(compress(count(), its))].append(row)
    for some, rows in by_schemes.items():
        many = decode_many([number for _, number, _ in rows], [numbers[at] for at in some])
        found: dict[int, list[int]] = defaultdict(list)
        for place, _, alike in many.readings.rows():
            found[place].append(alike)
        once: dict[tuple[int, ...], list[tuple[str, list[int]]]] = {}
        for place, readings in found.items():
            treatment, number, at = rows[place]
            if (key := tuple(readings)) not in once:
                decoded = Decoded(number, tuple(many.alike[each] for each in readings))
                once[key] = list(_told(decoded.counting, facts))
            for shape, places in once[key]:
                yield treatment, shape, at
                yield from ((treatment, shape, place) for place in places)


def _told(readings: Sequence[Reading], facts: Facts) -> Iterator[tuple[str, list[int]]]:
    """Yield the shapes readings tell, with the places of the claims that say so."""
    for shape in sorted({str(r.things["shape"]) for r in readings if "shape" in r.things}):
        resting = [r for r in readings if str(r.things.get("shape")) == shape]
        claims = (claim.iri for reading in resting for claim in reading.claims)
        yield shape, list(facts.claims.places(claims).values())


def claims_at(facts: Facts, places: Iterable[int]) -> tuple[Claim, ...]:
    """Return the claims at some places, each once, in order."""
    return tuple(facts.claims[at] for at in sorted(set(places)))
