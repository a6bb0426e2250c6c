"""How many periodic kilns a tunnel kiln replaced, and how many would have made as much."""

from collections.abc import Iterator
from fractions import Fraction

from rdflib import URIRef

from glost.names import GLOST, SCHEMES
from glost.record.claims import in_order
from glost.trade.kilns.figures import SEVERAL, Figures, count_of
from glost.trade.kilns.periodic import Periodic
from glost.trade.kilns.reckoned import Input, Reckoned, reckon
from glost.trade.kilns.tunnel import Tunnel

BISQUE = URIRef(f"{SCHEMES}firing/bisque")


def replacing(figures: Figures, tunnel: Tunnel) -> Iterator[Reckoned]:
    """Set a tunnel kiln's output against the periodic kilns it replaced.

    What each of them came to, had they made as much together, is the output over their number.
    How many of one kind would make as much is the output over that of one: of a replaced kiln
    whose own figures tell it, else, for a bisque kiln whose ware is counted in dozens, as assumed.
    """
    output = tunnel.output()
    if output is None or tunnel.push is None or tunnel.ware is None:
        return
    replaced = figures.belief.values(tunnel.kiln, GLOST.replaces)
    if replaced:
        number, open_above = _count(figures, tunnel.kiln)
        yield reckon(
            "output of each kiln it replaced, had they made as much together",
            output.unit,
            "output / kilns replaced",
            lambda t, w, n: 1440 / t * w / n,
            tunnel.push,
            tunnel.ware,
            number,
            limit="at most" if open_above else "",
        )
    known = [one for kiln in replaced if (one := _one(figures, kiln, output.unit)) is not None]
    if not known and tunnel.ware.unit == "dozen" and _bisque(figures, tunnel.kiln):
        known = [figures.assumed["periodic-bisque-output"].input()]
    for one in known:
        yield reckon(
            "periodic kilns that would make as much",
            "kilns",
            "output / output of one periodic kiln",
            lambda t, w, each: 1440 / t * w / each,
            tunnel.push,
            tunnel.ware,
            one,
        )


def _count(figures: Figures, kiln: URIRef) -> tuple[Input, bool]:
    """Count the kilns that one replaced, and say whether there may be more than the most of it."""
    belief = figures.belief
    counts = [count_of(belief, other) for other in belief.values(kiln, GLOST.replaces)]
    claims = [*belief.saying(kiln, GLOST.replaces)]
    claims += [claim for count in counts for claim in count.claims]
    low = sum(count.low for count in counts)
    high = sum(count.high or count.low for count in counts)
    given = f"{low}" if low == high else f"{low} to {high}"
    several = any(count.high is None for count in counts)
    given = f"at least {low}, {SEVERAL}" if several else given
    number = Input(
        "kilns replaced", Fraction(low), Fraction(high), "kilns", (given,), in_order(claims)
    )
    return number, several


def _one(figures: Figures, kiln: object, unit: str) -> Input | None:
    """Return what a replaced kiln came to in a day, if sources tell it in that unit."""
    if not isinstance(kiln, URIRef):
        return None
    output = Periodic(figures, kiln).output()
    if output is None or output.unit != unit:
        return None
    slug = str(kiln).rsplit("/", 1)[-1]
    given = ", ".join(f"{e.name} {' or '.join(e.given)}" for e in output.inputs if e.given)
    return Input(
        f"output of {slug}", output.low, output.high, unit, (given,), output.claims,
        "; ".join(output.assumptions),
    )  # fmt: skip


def _bisque(figures: Figures, kiln: URIRef) -> bool:
    return (kiln, GLOST.firing, BISQUE) in figures.belief.graph
