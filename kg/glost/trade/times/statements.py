"""The statements that bear on time, as columns of numbers.

A statement is what may be set aside: it stands as long as one claim makes it. Beside statements,
a whole claim may be a ground, where what matters is that this very claim was made (that a list
shows a treatment, that a code was read).
"""

from dataclasses import dataclass, field
from functools import cache, cached_property

import numpy as np
import polars as pl
from numpy.typing import NDArray
from rdflib import URIRef
from rdflib.namespace import PROV, RDF

from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.columns import NOTHING, NumberedClaims
from glost.trade.times.arguments import BROADER, TELLING, predicate, telling
from glost.trade.times.numbering import TermNumbers, keys_of, numbered
from glost.trade.times.rules import IS_A, WHOLE, rules

Ints = NDArray[np.int64]

OTHERS = (
    BROADER,
    *(
        "date",
        "sourceDate",
        "subjectRun",
        "objectRun",
        "timeRelation",
        "yearsAtLeast",
        "yearsAtMost",
    ),
    *("sourceKind", "complete", "concerns", "appearsOn", "offeredOn", "repeats", "quotedIn"),
)
"""Properties that rules with a `how` look at, by local name."""


@dataclass(frozen=True)
class TimeStatements:
    """Coded statements of what is believed.

    Attributes
    ----------
    claims
        The claims believed.
    terms
        Each term by its number.
    properties
        Each property's local name by its number; the first is `IS_A`.
    table
        A row for each statement a claim makes: `property`, `subject`, `object`, `claim`, and
        `ground`, the number that all rows of the same statement share. Sorted by ground and claim.
    """

    claims: NumberedClaims
    terms: TermNumbers
    properties: list[str]
    table: pl.DataFrame = field(repr=False)

    @cached_property
    def once(self) -> pl.DataFrame:
        """Each statement once, without its claims."""
        return self.table.unique("ground", keep="first", maintain_order=True).drop("claim")

    @cached_property
    def _told(self) -> tuple[Ints, Ints, Ints]:
        once = self.once
        return once["property"].to_numpy(), once["subject"].to_numpy(), once["object"].to_numpy()

    @property
    def count(self) -> int:
        """How many statements there are; grounds from here on are claims."""
        return self.once.height

    @cached_property
    def _rows(self) -> tuple[Ints, Ints]:
        ground = self.table["ground"].to_numpy()
        starts = np.searchsorted(ground, np.arange(self.count + 1))
        return starts, self.table["claim"].to_numpy()

    @cached_property
    def support(self) -> Ints:
        """A number for each ground, the same for grounds that the very same claims make."""
        starts, claim = self._rows
        size = np.diff(starts)
        first = claim[starts[:-1]] if self.count else np.zeros(0, np.int64)
        support = np.concatenate([first, np.arange(len(self.claims))])
        sets: dict[bytes, int] = {}
        for ground in np.flatnonzero(size > 1).tolist():
            key = claim[starts[ground] : starts[ground + 1]].tobytes()
            support[ground] = sets.setdefault(key, len(self.claims) + len(sets))
        return support

    @cached_property
    def _tellings(self) -> dict[tuple[int, int, int], int]:
        """The ground of each statement of the properties in `TELLING`."""
        numbers = [at for at, name in enumerate(self.properties) if name in TELLING]
        chosen = self.once.filter(pl.col("property").is_in(numbers))
        rows = chosen.select("property", "subject", "object", "ground").iter_rows()
        return {(row[0], row[1], row[2]): row[3] for row in rows}

    def of_claim(self, at: int) -> int:
        """Return the ground of what a claim tells most; if rules do not look at it, the claim's."""
        subject, verb, value = telling(self.claims[at])
        name = str(verb).rsplit("#", 1)[-1]
        key = (
            self.properties.index(name) if name in TELLING else -1,
            self.terms.find(subject),
            self.terms.find(value),
        )
        return self._tellings.get(key, self.count + at)

    def of_claims(self, claims: Ints) -> Ints:
        """Return the grounds that stand for whole claims."""
        return self.count + claims

    def claims_of(self, ground: int) -> tuple[Claim, ...]:
        """Return the claims that make a statement, or the claim that a ground is."""
        if ground >= self.count:
            return (self.claims[ground - self.count],)
        starts, claim = self._rows
        return tuple(self.claims[c] for c in claim[starts[ground] : starts[ground + 1]].tolist())

    def triple(self, ground: int) -> Triple:
        """Return a statement; for a claim, that it rests on its source."""
        if ground >= self.count:
            claim = self.claims[ground - self.count]
            return claim.iri, PROV.hadPrimarySource, claim.passage.source
        property_, subject, value = (int(column[ground]) for column in self._told)
        return self.terms[subject], predicate(self.properties[property_]), self.terms[value]

    def told(self, ground: int) -> Triple:
        """Return a statement; for a claim, that one of its statements which tells most."""
        if ground not in self._once_told:
            claim = ground - self.count
            told = self.triple(ground) if claim < 0 else telling(self.claims[claim])
            self._once_told[ground] = told
        return self._once_told[ground]

    @cached_property
    def _once_told(self) -> dict[int, Triple]:
        """Statements that were asked for: hundreds of points may rest on the very same."""
        return {}

    def where(self, *names: str) -> pl.DataFrame:
        """Return `subject`, `object` and `ground` of the statements of some properties."""
        found = [self._by_property[name] for name in names if name in self._by_property]
        empty = pl.DataFrame(schema=dict.fromkeys(("subject", "object", "ground"), pl.Int64))
        return pl.concat(found) if found else empty

    @cached_property
    def _by_property(self) -> dict[str, pl.DataFrame]:
        parts = self.once.partition_by("property", as_dict=True, include_key=False)
        return {self.properties[int(key[0])]: part for key, part in parts.items()}

    def iri(self, number: int) -> URIRef:
        """Return a term that names a thing."""
        return URIRef(self.terms.text(number))


def wanted() -> list[str]:
    """Return the local names of the properties that rules look at, `IS_A` first."""
    patterns = [pattern for rule in rules().values() for pattern in rule.where]
    names = {name for pattern in patterns for name in pattern[1].split("|")}
    return [IS_A, *sorted((names | {*OTHERS, *TELLING}) - {IS_A, *WHOLE})]


@cache
def looked_at() -> frozenset[str]:
    """Return the IRIs of the properties that rules look at."""
    return frozenset(str(predicate(name)) for name in wanted())


def classes() -> frozenset[str]:
    """Return the classes that rules look at."""
    found = {w[2] for rule in rules().values() for w in rule.where if w[1] == IS_A}
    return frozenset(str(GLOST[name]) for name in found)


def code(belief: Belief) -> TimeStatements:
    """Give numbers to the statements of what is believed that bear on time."""
    names = wanted()
    number = {str(predicate(name)): at for at, name in enumerate(names)}
    told = belief.table(looked_at())
    said = dict(told.of)
    kinds = pl.col("object").is_in(sorted(classes()))
    said[str(RDF.type)] = said[str(RDF.type)].filter(kinds)
    found = [(number[iri], said[iri]) for iri in sorted(said) if said[iri].height]
    every = pl.concat([NOTHING, *(frame for _, frame in found)])
    terms, (subject, object_) = numbered([every["subject"], keys_of(every)])
    property_ = np.repeat([at for at, _ in found], [frame.height for _, frame in found])
    table = pl.DataFrame(
        {
            "property": property_.astype(np.int64),
            "subject": subject,
            "object": object_,
            "claim": every["claim"],
        }
    )
    keys = ["property", "subject", "object"]
    table = table.unique().sort(*keys, "claim")
    new = pl.any_horizontal(pl.col(key) != pl.col(key).shift() for key in keys).fill_null(False)
    table = table.with_columns(new.cast(pl.Int64).cum_sum().alias("ground"))
    return TimeStatements(told.claims, terms, names, table)
