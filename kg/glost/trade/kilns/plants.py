"""A plant's firing history, and its capacity through time with what is assumed in it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby
from typing import TypeAlias

from rdflib import Graph, URIRef

from glost.findings import Finding
from glost.names import GLOST, SCHEMES
from glost.record.belief import Belief
from glost.record.claims import Claim, in_order
from glost.trade.cautions import Caution, cautions_for
from glost.trade.kilns.assumptions import Assumptions, usual
from glost.trade.kilns.converting import KilnChange, changed
from glost.trade.kilns.figures import PERIODIC, SEVERAL, TUNNEL, Figures, KilnCount
from glost.trade.kilns.findings import kiln_findings
from glost.trade.kilns.periodic import Periodic
from glost.trade.kilns.reckoned import AT_LEAST, Reckoned, reckon
from glost.trade.kilns.replacing import BISQUE
from glost.trade.kilns.timeline import Stay, stays, years
from glost.trade.kilns.tunnel import Tunnel
from glost.trade.times.bounded import Timed
from glost.words.labels import Words, label

FIRINGS = (BISQUE, URIRef(f"{SCHEMES}firing/glost"), URIRef(f"{SCHEMES}firing/decorating"))
"""The firings in the order in which ware went through them."""
UNIT = "dozen a day"
Outputs: TypeAlias = Mapping[tuple[URIRef, URIRef], Reckoned | None]


@dataclass(frozen=True, slots=True)
class Period:
    """Years in which a plant had the same kilns for one firing.

    Attributes
    ----------
    firing
        The firing.
    first, last
        The years, both inclusive.
    certain, possible
        Kilns certainly, and kilns possibly in use on some day of each of these years; the second
        include the first.
    at_least, at_most
        How many kilns that is: at least so many certainly, at most so many possibly in use. Kilns
        recorded one by one may be among several that a row stands for; `at_most` is None where
        such a row does not count them.
    capacity
        What they came to in dozens a day: the least that those certainly in use, and the most
        that those possibly in use came to; open above where a row stands for several, number not
        stated. None if nothing is known of any.
    left_out
        Kilns possibly in use whose output nothing tells, so that the capacity leaves them out.
    claims
        The claims under kilns and figures.
    """

    firing: URIRef
    first: int
    last: int
    certain: tuple[URIRef, ...]
    possible: tuple[URIRef, ...]
    at_least: int
    at_most: int | None
    capacity: Reckoned | None
    left_out: tuple[URIRef, ...]
    claims: tuple[Claim, ...]

    @property
    def number(self) -> str:
        """How many kilns, in words for a cell of a table."""
        if self.at_most is None:
            return f"{self.at_least} or more" if self.at_least else f"0 or more, {SEVERAL}"
        most = str(self.at_most)
        return most if self.at_least == self.at_most else f"{self.at_least} to {most}"


@dataclass(frozen=True, slots=True)
class PlantResult:
    """A plant's kilns through time.

    Attributes
    ----------
    plant, name
        The plant, and what it is called.
    stays
        When each kiln was in use.
    names
        What each kiln, kind and firing is called.
    change
        How it changed from periodic to tunnel kilns.
    periods
        Its kilns and its capacity through time, firing by firing.
    findings
        Where figures of its kilns disagree.
    cautions
        What must be said with it.
    """

    plant: URIRef
    name: str
    stays: tuple[Stay, ...]
    names: Mapping[URIRef, str]
    change: KilnChange
    periods: tuple[Period, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]

    @property
    def number(self) -> str:
        """How many kilns are recorded of it in all, in words; a row may stand for several."""
        counts = [stay.count for stay in self.stays]
        highs = [count.high for count in counts if count.high is not None]
        counted = KilnCount(
            sum(count.low for count in counts if count.high is not None), sum(highs)
        )
        parts = [f"{counted.words} kilns"] if highs or not counts else []
        parts += [SEVERAL] if len(highs) < len(counts) else []
        return " and ".join(parts)

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Everything assumed in any figure, in words, each once."""
        found = (a for p in self.periods if p.capacity for a in p.capacity.assumptions)
        return tuple(dict.fromkeys(found))


def plant_result(
    belief: Belief,
    graph: Graph | Words,
    plant: URIRef,
    times: Timed,
    assumed: Assumptions | None = None,
) -> PlantResult:
    """Gather a plant's kilns through time and reckon its capacity.

    Parameters
    ----------
    belief
        What is believed.
    graph
        The same with the vocabulary, for wording.
    plant
        The plant.
    times
        The chronology, by which the kilns' times are bounded.
    assumed
        What is assumed for want of a source; the usual if None.
    """
    figures = Figures(belief, usual() if assumed is None else assumed)
    found = stays(belief, plant, times)
    outputs = {
        (stay.kiln, firing): daily(figures, stay, firing)
        for stay in found
        for firing in stay.firings
    }
    concepts = {c for stay in found for c in (stay.kiln, *stay.kinds, *stay.firings)}
    return PlantResult(
        plant,
        label(plant, graph),
        found,
        {each: label(each, graph) for each in sorted({*concepts, *FIRINGS})},
        changed(belief, found),
        tuple(p for firing in FIRINGS for p in _periods(firing, found, outputs)),
        tuple(
            finding
            for stay in found
            for finding in kiln_findings(belief, graph, figures.assumed, stay.kiln)
        ),
        cautions_for(("Plant",)),
    )


def daily(figures: Figures, stay: Stay, firing: URIRef) -> Reckoned | None:
    """Reckon what a kiln came to in dozens a day, by its figures, as stated, or as assumed.

    Parameters
    ----------
    figures
        What is said of kilns.
    stay
        The kiln's time in its plant.
    firing
        The firing in question.

    Returns
    -------
    Reckoned or None
        None if nothing tells: sources count its ware otherwise, and nothing is assumed of its
        kind of kiln.
    """
    kinds = figures.kinds(stay.kiln)
    if TUNNEL in kinds:
        found = Tunnel(figures, stay.kiln).output()
    elif PERIODIC in kinds:
        found = Periodic(figures, stay.kiln).output()
    else:
        found = None
    if found is not None and found.unit == UNIT:
        return found
    stated = figures.input(stay.kiln, GLOST.statedOutput, "dozen")
    if stated is not None:
        return reckon("output", UNIT, "as stated", lambda given: given, stated)
    if PERIODIC in kinds and firing == BISQUE:
        assumed = figures.assumed["periodic-bisque-output"].input()
        return reckon("output", UNIT, "as assumed", lambda given: given, assumed)
    return None


def _periods(firing: URIRef, found: tuple[Stay, ...], outputs: Outputs) -> Iterator[Period]:
    """Put together years in which the same kilns were certainly and possibly in use."""
    of = tuple(stay for stay in found if firing in stay.firings)

    def kilns(year: int) -> tuple[tuple[Stay, ...], tuple[Stay, ...]]:
        possible = tuple(stay for stay in of if stay.possibly(year))
        return tuple(stay for stay in possible if stay.certainly(year)), possible

    for (certain, possible), run in groupby(years(of), key=kilns):
        span = list(run)
        if possible:
            capacity = _capacity(firing, certain, possible, outputs)
            yield Period(
                firing,
                span[0],
                span[-1],
                tuple(stay.kiln for stay in certain),
                tuple(stay.kiln for stay in possible),
                *_number(certain, possible),
                capacity,
                tuple(s.kiln for s in possible if outputs[s.kiln, firing] is None),
                in_order(
                    [*(c for stay in possible for c in stay.claims),
                     *(capacity.claims if capacity else ())]
                ),
            )  # fmt: skip


def _number(certain: tuple[Stay, ...], possible: tuple[Stay, ...]) -> tuple[int, int | None]:
    """Count kilns: at least those certainly, at most those possibly in use."""
    singles = sum(not stay.count.stated for stay in certain)
    least = max([singles, *(stay.count.low for stay in certain if stay.count.stated)])
    highs = [stay.count.high for stay in possible]
    return least, None if None in highs else sum(high for high in highs if high is not None)


def _capacity(
    firing: URIRef, certain: tuple[Stay, ...], possible: tuple[Stay, ...], outputs: Outputs
) -> Reckoned | None:
    """Add up outputs; a kiln that served several firings may have made nothing of this one.

    Kilns recorded one by one may be among several that a row stands for, so the least is that of
    the ones or of the others.
    """
    low, high, inputs = Fraction(0), Fraction(0), []
    groups = [Fraction(0)]
    for stay in possible:
        output = outputs[stay.kiln, firing]
        if output is None:
            continue
        high += output.high * (stay.count.high or stay.count.low)
        least = output.low * stay.count.low if stay in certain and len(stay.firings) == 1 else 0
        if stay.count.stated:
            groups.append(Fraction(least))
        else:
            low += least
        slug = str(stay.kiln).rsplit("/", 1)[-1]
        inputs += [
            each if each.assumed and not each.given else replace(each, name=f"{slug} {each.name}")
            for each in output.inputs
        ]
    if not inputs:
        return None
    formula = (
        "the least that the kilns certainly in use came to, and the most that those possibly in "
        "use did, added up"
    )
    several = any(stay.count.high is None for stay in possible)
    if several:
        formula += f"; of some {SEVERAL}, two at the least, so that nothing bounds it above"
    least = max(low, *groups)
    limit = AT_LEAST if several else ""
    return Reckoned("capacity", least, high, UNIT, formula, tuple(dict.fromkeys(inputs)), limit)
